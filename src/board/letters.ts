import { cells } from '../view/index.ts';

/*
 * Large letters for what must be read from across the room. At two metres a sign must be about 12 mm high (20 minutes
 * of arc); a terminal's row is 4 to 5 mm, so letters three rows high are right for the call, and figures five rows or
 * more for the far view.
 *
 * A letter is five rows of dots, `#` for ink; rows are split by spaces.
 */
const SHAPES: Readonly<Record<string, string>> = {
  A: '.#. #.# ### #.# #.#',
  B: '##. #.# ##. #.# ##.',
  C: '.## #.. #.. #.. .##',
  D: '##. #.# #.# #.# ##.',
  E: '### #.. ##. #.. ###',
  F: '### #.. ##. #.. #..',
  G: '.### #... #.## #..# .###',
  H: '#.# #.# ### #.# #.#',
  I: '# # # # #',
  J: '..# ..# ..# #.# .#.',
  K: '#.# #.# ##. #.# #.#',
  L: '#.. #.. #.. #.. ###',
  M: '#...# ##.## #.#.# #...# #...#',
  N: '#..# ##.# #.## #..# #..#',
  O: '.##. #..# #..# #..# .##.',
  P: '##. #.# ##. #.. #..',
  Q: '.##. #..# #..# #.#. .#.#',
  R: '##. #.# ##. #.# #.#',
  S: '.## #.. .#. ..# ##.',
  T: '### .#. .#. .#. .#.',
  U: '#.# #.# #.# #.# ###',
  V: '#.# #.# #.# #.# .#.',
  W: '#...# #...# #.#.# ##.## #...#',
  X: '#.# #.# .#. #.# #.#',
  Y: '#.# #.# .#. .#. .#.',
  Z: '### ..# .#. #.. ###',
  '0': '### #.# #.# #.# ###',
  '1': '.#. ##. .#. .#. ###',
  '2': '### ..# ### #.. ###',
  '3': '### ..# .## ..# ###',
  '4': '#.# #.# ### ..# ..#',
  '5': '### #.. ### ..# ###',
  '6': '### #.. ### #.# ###',
  '7': '### ..# .#. .#. .#.',
  '8': '### #.# ### #.# ###',
  '9': '### #.# ### ..# ###',
  ' ': '.. .. .. .. ..',
  ':': '. # . # .',
  '.': '. . . . #',
  ',': '. . . # #',
  '-': '.. .. ## .. ..',
  '+': '... .#. ### .#. ...',
  '/': '..# ..# .#. #.. #..',
  "'": '# # . . .',
  '(': '.# #. #. #. .#',
  ')': '#. .# .# .# #.',
  '!': '# # # . #',
  '?': '### ..# .#. ... .#.',
  '%': '#.# ..# .#. #.. #.#',
  '&': '.#. #.# .#. #.# .##',
};
const HIGH = 5;

/** How a dot is drawn: `half` packs two rows of dots into one row of cells; `block` makes a dot two cells wide. */
export type LetterSize = 'half' | 'block' | 'double';

/** Rows of cells that letters of a size take. */
export const ROWS: Readonly<Record<LetterSize, number>> = { half: 3, block: 5, double: 10 };
const DOT_CELLS: Readonly<Record<LetterSize, number>> = { half: 1, block: 2, double: 4 };

/**
 * The text in large letters, as rows of equal width; nothing where it has signs without a large shape or is wider than
 * `width` cells. Letters lose their accents and their case.
 */
export function large(text: string, size: LetterSize, width: number): string[] | undefined {
  const shapes = shapesOf(text);
  if (!shapes || shapes.length === 0) return undefined;
  const dots = Array.from({ length: HIGH }, (_, row) => shapes.map((shape) => shape[row] ?? '').join('.'));
  if ((dots[0]?.length ?? 0) * DOT_CELLS[size] > width) return undefined;
  switch (size) {
    case 'half':
      return [0, 2, 4].map((row) => halves(dots[row] ?? '', dots[row + 1] ?? ''));
    case 'block':
      return dots.map((row) => widened(row, 2));
    case 'double':
      return dots.flatMap((row) => [widened(row, 4), widened(row, 4)]);
  }
}

/** The text in large letters over as many lines as it takes, at most `most`; broken between words. */
export function largeLines(
  text: string,
  size: LetterSize,
  width: number,
  most: number,
): string[][] | undefined {
  const lines: string[][] = [];
  let line = '';
  let drawn: string[] | undefined;
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    const fits = large(longer, size, width);
    if (fits) {
      line = longer;
      drawn = fits;
      continue;
    }
    if (!drawn) return undefined;
    lines.push(drawn);
    line = word;
    drawn = large(word, size, width);
    if (!drawn) return undefined;
  }
  if (drawn) lines.push(drawn);
  return lines.length <= most && lines.length > 0 ? lines : undefined;
}

function shapesOf(text: string): string[][] | undefined {
  const plain = text.normalize('NFD').replace(/\p{M}/gu, '').replace(/[°]/gu, '').toUpperCase();
  const shapes: string[][] = [];
  for (const sign of plain) {
    const shape = SHAPES[sign];
    if (shape === undefined || cells(sign) !== 1) return undefined;
    shapes.push(shape.split(' '));
  }
  return shapes;
}

function halves(upper: string, lower: string): string {
  let row = '';
  for (let at = 0; at < upper.length; at += 1) {
    const top = upper[at] === '#';
    const bottom = lower[at] === '#';
    row += top ? (bottom ? '█' : '▀') : bottom ? '▄' : ' ';
  }
  return row;
}

const widened = (row: string, by: number): string =>
  Array.from(row, (dot) => (dot === '#' ? '█' : ' ').repeat(by)).join('');
