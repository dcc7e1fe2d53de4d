import stringWidth from 'string-width';
import { fit, wrapped } from '../wrap.ts';

/** How many columns a label is wide, with its frame, and how many lines it is high. All are of one size: one cut goes through a whole sheet. */
export const LABEL_COLUMNS = 39;
export const LABEL_LINES = 10;

/** A sheet of A4 holds 60 lines of 80 columns with margins to spare: two labels side by side, five below each other. */
const SIDE_BY_SIDE = 2;
const ROWS = 5;

/** What stands on one label: a word large enough to be found by, a mark beside it, and lines below. */
export interface LabelWords {
  readonly name: string;
  /** `2 of 3`. */
  readonly copy: string;
  /** `BACKUP`, where it is one. */
  readonly mark?: string;
  readonly lines: readonly string[];
}

const INNER = LABEL_COLUMNS - 4;

/** Pages of labels, each with no more than 60 lines of 80 columns. A label is never split, and what is too long for it ends in `~`. */
export function labelPages(labels: readonly LabelWords[]): string[] {
  return chunks(labels, SIDE_BY_SIDE * ROWS).map((page) =>
    chunks(page, SIDE_BY_SIDE)
      .map((row) => beside(row.map(box)))
      .join('\n\n'),
  );
}

function box({ name, copy, mark, lines }: LabelWords): string[] {
  const head = fit(name, INNER - stringWidth(copy) - 1);
  const body = [
    ...(mark === undefined ? [] : [mark]),
    ...lines.flatMap((line) => wrapped(line, '', '  ', INNER)),
  ];
  const height = LABEL_LINES - 3;
  const shown = body.length > height ? [...body.slice(0, height - 1), `${body[height - 1] ?? ''}~`] : body;
  const inside = [`${head} ${copy}`, ...shown, ...Array.from({ length: height - shown.length }, () => '')];
  return [
    `┌${'─'.repeat(INNER + 2)}┐`,
    ...inside.map((line) => `│ ${fit(line, INNER)} │`),
    `└${'─'.repeat(INNER + 2)}┘`,
  ];
}

/** Boxes of one height, side by side. */
const beside = (boxes: readonly (readonly string[])[]): string =>
  Array.from({ length: LABEL_LINES }, (_, line) =>
    boxes
      .map((lines) => lines[line] ?? '')
      .join('  ')
      .trimEnd(),
  ).join('\n');

function chunks<T>(all: readonly T[], size: number): T[][] {
  const found: T[][] = [];
  for (let at = 0; at < all.length; at += size) found.push(all.slice(at, at + size));
  return found;
}
