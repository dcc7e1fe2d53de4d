import { cells, cut } from '../view/index.ts';

/** What a stretch of text means; the palette turns it into one of 16 colours, or none. Never the only sign of anything. */
export type Ink = 'good' | 'care' | 'bad' | 'accent' | 'quiet';

/** A stretch of text in one style. */
export interface Span {
  readonly text: string;
  readonly ink?: Ink | undefined;
  readonly bold?: boolean | undefined;
  readonly inverse?: boolean | undefined;
}

/** One row of the screen, never wider than it. */
export type Line = readonly Span[];

export const BLANK: Line = [];

/** A row of one style. */
export const line = (text: string, style: Omit<Span, 'text'> = {}): Line => [{ text, ...style }];

export const widthOf = (row: Line): number => row.reduce((sum, span) => sum + cells(span.text), 0);

/** The row cut to at most `width` cells. */
export function cutLine(row: Line, width: number): Line {
  const kept: Span[] = [];
  let left = width;
  for (const span of row) {
    const wide = cells(span.text);
    if (wide <= left) {
      kept.push(span);
      left -= wide;
    } else {
      if (left > 0) kept.push({ ...span, text: cut(span.text, left) });
      break;
    }
  }
  return kept;
}

/** The row filled with spaces to `width` cells, or cut to them. */
export function fillLine(row: Line, width: number): Line {
  const wide = widthOf(row);
  if (wide > width) return fillLine(cutLine(row, width), width);
  return wide === width ? row : [...row, { text: ' '.repeat(width - wide) }];
}

/** `left` and `right` at the two ends of a row of `width` cells; the left one is cut where they would meet. */
export function ends(left: Line, right: Line, width: number): Line {
  const rightWide = widthOf(right);
  if (rightWide >= width) return cutLine(right, width);
  return [
    ...fillLine(left, width - rightWide - (rightWide > 0 ? 1 : 0)),
    ...(rightWide > 0 ? [{ text: ' ' }] : []),
    ...right,
  ];
}

/** Exactly `height` rows of at most `width` cells. */
export function fit(rows: readonly Line[], width: number, height: number): Line[] {
  return Array.from({ length: height }, (_, index) => {
    const row = rows[index] ?? BLANK;
    return row.some((span) => cells(span.text) > 0) ? cutLine(row, width) : BLANK;
  });
}

/** Spans from single cells, neighbours of one style joined. */
export function joinCells(signs: readonly Span[]): Line {
  const joined: Span[] = [];
  for (const sign of signs) {
    const last = joined.at(-1);
    if (last && last.ink === sign.ink && last.bold === sign.bold && last.inverse === sign.inverse)
      joined[joined.length - 1] = { ...last, text: last.text + sign.text };
    else joined.push(sign);
  }
  return joined;
}

/** The row as it reads without any style. */
export const wordsOf = (row: Line): string => row.map((span) => span.text).join('');
