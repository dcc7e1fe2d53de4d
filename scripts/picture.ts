import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { spawn } from '@lydell/node-pty';
import xterm from '@xterm/headless';
import { build } from './build.ts';

type Screen = InstanceType<typeof xterm.Terminal>;

/*
 * Draws the pictures of the board in docs: a real board in a real pseudo-terminal, some way into a rehearsal, cell by
 * cell as a terminal shows it. `npm run picture`.
 */

interface Scene {
  readonly file: string;
  /** What somebody hears who cannot see the picture. */
  readonly label: string;
  readonly plan: string;
  readonly serve: string;
  readonly rows: number;
  /** The picture is taken once each of these stands in a row of the screen. */
  readonly wanted: readonly RegExp[];
}

const SCENES: readonly Scene[] = [
  {
    file: 'docs/board.svg',
    label: 'The board in the middle of a service',
    plan: 'gallery-opening',
    serve: '19:30',
    rows: 36,
    // Lowered heat, the door still locked.
    wanted: [/▶ bake low\D+[5-9]:\d\d/],
  },
  {
    file: 'docs/stage.svg',
    label: 'The stage view in the middle of a demonstration',
    plan: 'lamplight-choux',
    serve: '20:00',
    rows: 24,
    wanted: [/ON AIR/, /^ *reach /, /^ *helper /],
  },
];

const COLUMNS = 110;
const CELL = { width: 8.4, height: 18 };
const PALETTE = ['#1b1f24', '#ff7b72', '#7ee787', '#e3b341', '#79c0ff', '#d2a8ff', '#56d4dd', '#e6edf3'];
const INK = '#e6edf3';
const PAPER = '#0d1117';
const root = fileURLToPath(new URL('..', import.meta.url));

await build();
for (const scene of SCENES) await draw(scene);

async function draw(scene: Scene): Promise<void> {
  const program = ['bin/thirdhand.cjs', 'rehearse', scene.plan, '--watch', '--serve', scene.serve];
  const env = Object.fromEntries(
    Object.entries(process.env).filter(
      (pair): pair is [string, string] => pair[1] !== undefined && pair[0] !== 'CI',
    ),
  );
  const child = spawn(process.execPath, [...program, '--speed', '240', '--seed', '3'], {
    name: 'xterm-256color',
    cols: COLUMNS,
    rows: scene.rows,
    cwd: root,
    env,
  });
  const grid = new xterm.Terminal({ cols: COLUMNS, rows: scene.rows, allowProposedApi: true });
  const taken = await new Promise<boolean>((resolve) => {
    child.onData((chunk) => {
      grid.write(chunk, () => {
        const text = Array.from(
          { length: scene.rows },
          (_, row) => grid.buffer.active.getLine(row)?.translateToString(true) ?? '',
        );
        if (!scene.wanted.every((sign) => text.some((row) => sign.test(row)))) return;
        writeFileSync(join(root, scene.file), svg(scene, grid));
        resolve(true);
      });
    });
    child.onExit(() => resolve(false));
  });
  child.kill();
  if (!taken)
    throw new Error(`${scene.file}: the rehearsal ended and no screen matched ${scene.wanted.join(' ')}`);
}

function svg(scene: Scene, grid: Screen): string {
  const rows = Array.from({ length: scene.rows }, (_, row) => rowSvg(grid, row)).join('\n');
  const [width, height] = [COLUMNS * CELL.width + 24, scene.rows * CELL.height + 24];
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img" aria-label="${scene.label}">
<rect width="${width}" height="${height}" rx="8" fill="${PAPER}"/>
<g font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="14" xml:space="preserve">
${rows}
</g>
</svg>
`;
}

/** One row: a rectangle where the background is not the paper's, and each cell's sign in its own place, so that no font can shift it. */
function rowSvg(grid: Screen, row: number): string {
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
