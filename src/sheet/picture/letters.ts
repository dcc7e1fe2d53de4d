import stringWidth from 'string-width';
import { BREAK } from '../words.ts';
import { element, escaped, type Attributes } from './xml.ts';

/** A text in the picture. Its box reaches from the baseline up by its size and down by a quarter of it. */
export interface Type {
  readonly size: number;
  readonly bold?: boolean;
}

export const FONTS = "'DejaVu Sans', Verdana, Arial, Helvetica, sans-serif";

/**
 * How wide letters are, in parts of the size: the widths of DejaVu Sans, rounded up. It is the widest of the fonts asked
 * for, so that no label grows into its neighbour in another.
 */
const WIDTHS: readonly (readonly [string, number])[] = [
  ["iIjJl'", 0.3],
  [' .,:;!()[]ft-/r|`\\', 0.42],
  ['"cksvxyzF?_L*', 0.6],
  ['ABCDEGHKNOPQRSTUVXYZ&w+=<>~#^', 0.84],
  ['mMW@%', 1],
];
const [ORDINARY, EUROPEAN, WIDE] = [0.645, 0.72, 1.1];
const BOLD = 1.15;

/** How wide a text is at most, in the picture's units. */
export function widthOf(words: string, { size, bold = false }: Type): number {
  let width = 0;
  for (const letter of words) width += letterWidth(letter);
  return width * size * (bold ? BOLD : 1);
}

function letterWidth(letter: string): number {
  const code = letter.codePointAt(0) ?? 0;
  if (code < 0x80) return WIDTHS.find(([letters]) => letters.includes(letter))?.[1] ?? ORDINARY;
  // A mark that is set on the letter before it takes no width of its own.
  if (stringWidth(letter) === 0) return 0;
  return code < 0x180 ? EUROPEAN : WIDE;
}

/** The text, cut with an ellipsis where it is wider than `width`. */
export function fitted(words: string, width: number, type: Type): string {
  if (widthOf(words, type) <= width) return words;
  let kept = '';
  for (const letter of words) {
    if (widthOf(`${kept}${letter}\u2026`, type) > width) break;
    kept += letter;
  }
  return `${kept.trimEnd()}\u2026`;
}

/**
 * The text in lines no wider than `width` (the first no wider than `first`), broken between words; at most `most` of them, the
 * last one cut where it must be. A first word that only a full line has room for leaves the first line empty.
 */
export function inLines(words: string, width: number, type: Type, most = Infinity, first = width): string[] {
  const parts = words
    .replaceAll(/\s+/gu, ' ')
    .split(BREAK)
    .filter((word) => word !== '');
  const lines: string[] = [];
  const room = (): number => (lines.length === 0 ? first : width);
  if (most > 1 && widthOf(parts[0] ?? '', type) > first && first < width) lines.push('');
  let line = '';
  for (const [place, word] of parts.entries()) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line === '' || widthOf(longer, type) <= room()) {
      line = longer;
    } else if (lines.length + 1 >= most) {
      return [...lines, fitted([line, ...parts.slice(place)].join(' '), room(), type)];
    } else {
      lines.push(fitted(line, room(), type));
      line = word;
    }
  }
  return line === '' ? lines : [...lines, fitted(line, room(), type)];
}

/** A text with its left end and baseline at a point. */
export const text = (x: number, y: number, words: string, type: Type, rest: Attributes = {}): string =>
  element(
    'text',
    { x, y, 'font-size': type.size, ...(type.bold && { 'font-weight': 'bold' }), ...rest },
    escaped(words),
  );
