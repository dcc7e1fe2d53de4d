import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { spawn } from '@lydell/node-pty';
import xterm from '@xterm/headless';
import { build } from './build.ts';

/*
 * Draws docs/board.svg: a real board in a real pseudo-terminal, some way into a rehearsal of the gallery plan, cell by
 * cell as a terminal shows it. `npm run picture`.
 */

const COLUMNS = 110;
const ROWS = 36;
const CELL = { width: 8.4, height: 18 };
const PALETTE = ['#1b1f24', '#ff7b72', '#7ee787', '#e3b341', '#79c0ff', '#d2a8ff', '#56d4dd', '#e6edf3'];
const INK = '#e6edf3';
const PAPER = '#0d1117';
/** How far into the service the picture is taken: lowered heat, the door still locked. */
const WANTED = /▶ bake low\D+[5-9]:\d\d/;
const root = fileURLToPath(new URL('..', import.meta.url));

await build();

const program = [
  'bin/thirdhand.cjs',
  'rehearse',
  'gallery-opening',
  '--watch',
  '--speed',
  '240',
  '--seed',
  '3',
  '--serve',
  '19:30',
];
const env = Object.fromEntries(
  Object.entries(process.env).filter(
    (pair): pair is [string, string] => pair[1] !== undefined && pair[0] !== 'CI',
  ),
);
const child = spawn(process.execPath, program, {
  name: 'xterm-256color',
  cols: COLUMNS,
  rows: ROWS,
  cwd: root,
  env,
});
const grid = new xterm.Terminal({ cols: COLUMNS, rows: ROWS, allowProposedApi: true });
child.onData((chunk) => {
  grid.write(chunk, () => {
    const text = Array.from(
      { length: ROWS },
      (_, row) => grid.buffer.active.getLine(row)?.translateToString(true) ?? '',
    );
    if (!text.some((row) => WANTED.test(row))) return;
    writeFileSync(join(root, 'docs/board.svg'), svg());
    child.kill();

    process.exit(0);
  });
});

child.onExit(() => {
  process.stderr.write(`the rehearsal ended and no screen matched ${String(WANTED)}\n`);
  process.exit(1);
});

function svg(): string {
  const rows = Array.from({ length: ROWS }, (_, row) => rowSvg(row)).join('\n');
  const [width, height] = [COLUMNS * CELL.width + 24, ROWS * CELL.height + 24];
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img" aria-label="The board in the middle of a service">
<rect width="${width}" height="${height}" rx="8" fill="${PAPER}"/>
<g font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="14" xml:space="preserve">
${rows}
</g>
</svg>
`;
}

/** One row: a rectangle where the background is not the paper's, and each cell's sign in its own place, so that no font can shift it. */
function rowSvg(row: number): string {
  const line = grid.buffer.active.getLine(row);
  const parts: string[] = [];
  for (let column = 0; line && column < COLUMNS; column += 1) {
    const cell = line.getCell(column);
    const sign = cell?.getChars() ?? '';
    if (!cell) continue;
    const colour = cell.isFgPalette() ? (PALETTE[cell.getFgColor() % 8] ?? INK) : INK;
    const [ink, paper] = cell.isInverse() ? [PAPER, colour] : [colour, undefined];
    const [x, y] = [12 + column * CELL.width, 12 + row * CELL.height];
    if (paper !== undefined)
      parts.push(
        `<rect x="${x.toFixed(1)}" y="${y}" width="${CELL.width + 0.3}" height="${CELL.height}" fill="${paper}"/>`,
      );
    if (sign.trim() === '') continue;
    const block = blockOf(sign);
    if (block) {
      const [left, top, wide, high] = block;
      const place = `x="${(x + left * CELL.width).toFixed(1)}" y="${(y + top * CELL.height).toFixed(1)}"`;
      parts.push(
        `<rect ${place} width="${(wide * CELL.width + 0.3).toFixed(1)}" height="${(high * CELL.height + 0.3).toFixed(1)}" fill="${ink}"/>`,
      );
      continue;
    }
    const weight = cell.isBold() ? ' font-weight="bold"' : '';
    const dim = cell.isDim() ? ' opacity="0.65"' : '';
    parts.push(
      `<text x="${x.toFixed(1)}" y="${y + 14}" fill="${ink}"${weight}${dim}>${escaped(sign)}</text>`,
    );
  }
  return parts.join('');
}

/** Full and half blocks are drawn as what they are: left, top, width and height within the cell. */
function blockOf(sign: string): readonly [number, number, number, number] | undefined {
  return (
    {
      '█': [0, 0, 1, 1],
      '▀': [0, 0, 1, 0.5],
      '▄': [0, 0.5, 1, 0.5],
      '▌': [0, 0, 0.5, 1],
      '▐': [0.5, 0, 0.5, 1],
    } as const
  )[sign];
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}
