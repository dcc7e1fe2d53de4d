import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { viewOf } from '../../src/view/index.ts';
import type { Playing, Rehearsing } from '../../src/board/rehearsing.ts';
import { benchLink } from '../support/bench-link.ts';
import { drawBoard } from '../support/drawn.ts';
import { SCENES } from '../support/scenes.ts';
import type { Scene } from '../support/states.ts';

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
async function screens(
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

const SIZES = ['60x20', '80x24', '120x40', '200x60'];

describe('the board', () => {
  for (const [name, scene] of Object.entries(SCENES))
    test.each(SIZES)(`${name} at %s`, async (size) => {
      const { seen, kept } = await screens(name, scene, size);
      expect(seen).toBe(kept);
    });
});

describe('its pages', () => {
  const scene = SCENES['oven-clash'];
  const due = SCENES['call-due'];
  if (!scene || !due) throw new Error('scenes are missing');
  test.each(SIZES)('far view at %s', async (size) => {
    const { seen, kept } = await screens('far', due, size, 'v');
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24', '120x40'])('help at %s', async (size) => {
    const { seen, kept } = await screens('help', scene, size, '?');
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24'])('alarms at %s', async (size) => {
    const { seen, kept } = await screens('alarms', scene, size, 'a');
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24'])('what was set aside at %s', async (size) => {
    const aside = SCENES['set-aside'];
    if (!aside) throw new Error('scenes are missing');
    const { seen, kept } = await screens('aside', aside, size, 'a');
    expect(seen).toBe(kept);
  });
  test.each(['40x10', '80x24'])('setting an alarm aside at %s', async (size) => {
    const { seen, kept } = await screens('aside-choice', scene, size, 'w');
    expect(seen).toBe(kept);
  });
  test.each(['40x10', '60x20', '80x24'])('three ways out at %s', async (size) => {
    const ways = SCENES['three-ways'];
    if (!ways) throw new Error('scenes are missing');
    const { seen, kept } = await screens('ways', ways, size, 'n');
    expect(seen).toBe(kept);
  });
  test.each(['40x10', '60x20', '80x24', '120x40'])('temperatures at %s', async (size) => {
    const cooling = SCENES['cooling-cream'];
    if (!cooling) throw new Error('scenes are missing');
    const { seen, kept } = await screens('temperatures', cooling, size, 'p');
    expect(seen).toBe(kept);
  });
  test('temperatures after a missed limit at 80x24', async () => {
    const missed = SCENES['cooling-missed'];
    if (!missed) throw new Error('scenes are missing');
    const { seen, kept } = await screens('temperatures-missed', missed, '80x24', 'p');
    expect(seen).toBe(kept);
  });
  test('log at 80x24', async () => {
    const gap = SCENES['after-gap'];
    // The first key only leaves what is told to somebody who comes back.
    if (!gap) throw new Error('scenes are missing');
    const { seen, kept } = await screens('log', gap, '80x24', ' l');
    expect(seen).toBe(kept);
  });
  test('a second press at 80x24', async () => {
    const { seen, kept } = await screens('prompt', due, '80x24', 'r');
    expect(seen).toBe(kept);
  });
  test.each(['60x20', '80x24', '120x40'])('a new timetable in full at %s', async (size) => {
    const moved = SCENES['offer-moved'];
    if (!moved) throw new Error('scenes are missing');
    const { seen, kept } = await screens('offer', moved, size, 'n');
    expect(seen).toBe(kept);
  });
  test('a new timetable in the far view at 80x24', async () => {
    const kept = SCENES['offer-kept'];
    if (!kept) throw new Error('scenes are missing');
    const shot = await screens('offer-far', kept, '80x24', 'v');
    expect(shot.seen).toBe(shot.kept);
  });
  test('a new timetable at 40x10', async () => {
    const moved = SCENES['offer-moved'];
    if (!moved) throw new Error('scenes are missing');
    const { seen, kept } = await screens('offer-least', moved, '40x10');
    expect(seen).toBe(kept);
  });
  test('too small at 38x9', async () => {
    const { seen, kept } = await screens('small', due, '38x9');
    expect(seen).toBe(kept);
  });
  test('just large enough at 40x10', async () => {
    const { seen, kept } = await screens('least', due, '40x10');
    expect(seen).toBe(kept);
  });
});

describe('a rehearsal', () => {
  const due = SCENES['call-due'];
  if (!due) throw new Error('scenes are missing');
  const playing = (of: Playing): Rehearsing => ({
    playing: () => of,
    control: () => ({ text: '', bad: false }),
  });
  test.each(['40x10', '80x24', '120x40'])('goes at %s', async (size) => {
    const { seen, kept } = await screens('rehearsal', due, size, '', playing({ speed: 60, stopped: false }));
    expect(seen).toBe(kept);
  });
  test('stands still at 80x24', async () => {
    const { seen, kept } = await screens(
      'rehearsal-stopped',
      due,
      '80x24',
      '',
      playing({ speed: 60, stopped: true }),
    );
    expect(seen).toBe(kept);
  });
  test('too small at 38x9', async () => {
    const { seen, kept } = await screens(
      'rehearsal-small',
      due,
      '38x9',
      '',
      playing({ speed: 1, stopped: false }),
    );
    expect(seen).toBe(kept);
  });
});
