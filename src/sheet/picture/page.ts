import { FONTS } from './letters.ts';
import { escaped, figure } from './xml.ts';

/** What surrounds a picture. */
export interface Page {
  readonly title: string;
  /** Rules for its classes. */
  readonly style: string;
  /** In units of the picture. */
  readonly width: number;
  readonly height: number;
  /** On paper, in mm. */
  readonly wide: number;
  readonly high: number;
}

/** Slanting lines that fill what is near: for those who print without grey. */
const HATCH =
  '<defs><pattern id="near" width="4" height="4" patternUnits="userSpaceOnUse"><rect width="4" height="4" fill="#fff"/><path d="M-1 1L1 -1M0 4L4 0M3 5L5 3" stroke="#000" stroke-width="1"/></pattern></defs>';

/** A whole picture (SVG), black on white; `url(#near)` fills with a hatch. Parts that are empty are left out. */
export function svgOf({ title, style, width, height, wide, high }: Page, parts: readonly string[]): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${figure(wide)}mm" height="${figure(high)}mm" viewBox="0 0 ${figure(width)} ${figure(height)}" role="img" font-family="${escaped(FONTS)}">
<title>${escaped(title)}</title>
<style>${style}</style>
${HATCH}
<rect width="100%" height="100%" fill="#fff"/>
${parts.filter((part) => part !== '').join('\n')}
</svg>
`;
}
