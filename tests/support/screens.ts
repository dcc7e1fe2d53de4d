import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect } from 'vitest';
import type { Rehearsing } from '../../src/board/rehearsing.ts';
import { viewOf } from '../../src/view/index.ts';
import { benchLink } from './bench-link.ts';
import { drawBoard } from './drawn.ts';
import type { Scene } from './states.ts';

/*
 * What a person sees, compared with what was looked at and found right: the board is drawn by Ink, its bytes are read by
 * a terminal, and the cells are kept as text. UPDATE_GOLDENS=1 writes them anew; look at the difference before you keep it.
 */
const folder = fileURLToPath(new URL('../screens/', import.meta.url));
const update = process.env['UPDATE_GOLDENS'] === '1';

async function shown(
  scene: Scene,
  columns: number,
  rows: number,
  keys: string,
  rehearsing?: Rehearsing,
): Promise<string[]> {
  const link = benchLink(scene.state.setup, () => scene.now, scene.state);
  const drawn = drawBoard(link, {
    columns,
    rows,
    look: (state, now, options) =>
      viewOf(state, scene.projection, now, {
        ...options,
        ...(scene.offered ? { offered: scene.offered } : {}),
      }),
    ...(rehearsing ? { rehearsing } : {}),
  });
  try {
    let seen = await drawn.settled();
    for (const key of keys) {
      drawn.type(key);
      seen = await drawn.settled();
    }
    return seen;
  } finally {
    await drawn.leave();
  }
}

/** What is seen now and what was kept; both as one text. */
export async function screens(
  name: string,
  scene: Scene,
  size: string,
  keys = '',
  rehearsing?: Rehearsing,
): Promise<{ readonly seen: string; readonly kept: string }> {
  const [columns = 0, rows = 0] = size.split('x').map(Number);
  const cells = await shown(scene, columns, rows, keys, rehearsing);
  // The last row stays free, or the terminal would scroll.
  expect(cells).toHaveLength(rows);
  expect(cells.at(-1)).toBe('');
  const file = `${folder}${name}.${size}.txt`;
  const seen = `${cells.join('\n').trimEnd()}\n`;
  if (update) {
    mkdirSync(folder, { recursive: true });
    writeFileSync(file, seen);
  }
  return { seen, kept: existsSync(file) ? readFileSync(file, 'utf8') : `UPDATE_GOLDENS=1 writes ${file}` };
}
