import { afterEach, expect, test } from 'vitest';
import type { BenchState } from '../../src/bench/index.ts';
import { plus } from '../../src/units/index.ts';
import { viewOf } from '../../src/view/index.ts';
import { benchLink, type BenchLink } from '../support/bench-link.ts';
import { drawBoard, type Drawn } from '../support/drawn.ts';
import { SCENES } from '../support/scenes.ts';
import { at, type Scene } from '../support/states.ts';

/* What a board does with what its link tells, drawn by Ink on a terminal of this process's own. */
const { 'call-due': due, 'two-running': calm } = SCENES;
if (!due || !calm) throw new Error('scenes are missing');

const open: Drawn[] = [];
afterEach(async () => {
  for (const drawn of open.splice(0)) await drawn.leave();
});

function board(
  scene: Scene,
  steady = { now: 0 },
): { readonly link: BenchLink; readonly drawn: Drawn; readonly steady: { now: number } } {
  const link = benchLink(scene.state.setup, () => scene.now, scene.state);
  const drawn = drawBoard(link, {
    columns: 80,
    rows: 24,
    steady: () => steady.now,
    look: (state, now, options) => viewOf(state, scene.projection, now, options),
  });
  open.push(drawn);
  return { link, drawn, steady };
}

test('a keeper that goes silent is told, and told to be back', async () => {
  const { link, drawn } = board(calm);
  await drawn.until((text) => text.includes('Gallery opening'));
  link.tell({ kind: 'lost', detail: 'no answer' });
  await drawn.until((text) =>
    text.includes("! the run's keeper is not answering: times go on from what is known"),
  );
  link.tell({ kind: 'back' });
  await drawn.until((text) => !text.includes('not answering'));
  expect(drawn.rows()[0]).toContain('serve 19:30');
});

test('a disk that is full is told', async () => {
  const { link, drawn } = board(calm);
  await drawn.until((text) => text.includes('Gallery opening'));
  link.tell({ kind: 'trouble', detail: 'the disk is full' });
  await drawn.until((text) => text.includes('! nothing can be written down: the disk is full'));
  link.tell({ kind: 'trouble over' });
  await drawn.until((text) => !text.includes('the disk is full'));
  expect(drawn.rows().join('')).not.toContain('written down');
});

test('what the keeper refuses is told in one line, with its why', async () => {
  const { drawn, steady } = board(calm);
  await drawn.until((text) => text.includes('Gallery opening'));
  drawn.type('t');
  await drawn.until((text) => text.includes('timer of how many minutes?'));
  steady.now += 1000;
  drawn.type('\u001B');
  await drawn.until((text) => !text.includes('how many minutes?'));
  steady.now += 1000;
  drawn.type('u');
  await drawn.until((text) => text.includes('! there is nothing to take back'));
  expect(drawn.rows().filter((row) => row.includes('nothing to take back'))).toHaveLength(1);
});

test('the end of the run stays in sight until a key, and not the key that ended it', async () => {
  const { link, drawn, steady } = board(calm);
  await drawn.until((text) => text.includes('Gallery opening'));
  link.tell({ kind: 'ended', reason: 'served' });
  await drawn.until((text) => text.includes('served: the run is over; any key closes the board'));
  steady.now += 500;
  drawn.type(' ');
  await drawn.settled();
  expect(drawn.rows().join('')).toContain('served: the run is over');
  steady.now += 600;
  drawn.type('x');
  open.splice(0);
  expect(await drawn.end).toEqual({ kind: 'served' });
});

test('a keeper that failed is handed on with its words', async () => {
  const { link, drawn, steady } = board(calm);
  await drawn.until((text) => text.includes('Gallery opening'));
  link.tell({ kind: 'ended', reason: 'failed', detail: 'the journal is gone' });
  await drawn.until((text) => text.includes('could not go on: the journal is gone'));
  steady.now += 2000;
  drawn.type(' ');
  open.splice(0);
  expect(await drawn.end).toEqual({ kind: 'failed', detail: 'the journal is gone' });
});

test('whoever opens a board after a long time is first told what happened since the last press', async () => {
  const state: BenchState = {
    ...calm.state,
    history: [{ id: 'a', time: at('18:05'), source: 'cook', kind: 'heard', key: 'x' }],
    log: [
      { at: at('18:04'), text: 'cream: warm is over', kind: 'step' },
      { at: at('18:12'), text: 'shells: bake high begins', kind: 'step' },
    ],
  };
  const { drawn } = board({ ...calm, state });
  await drawn.until((text) => text.includes('WHILE YOU WERE AWAY'));
  const text = drawn.rows().join('\n');
  expect(text).toContain('18:05 to 18:20, 16 min: nobody pressed a key');
  expect(text).toContain('18:12  shells: bake high begins');
  expect(text).not.toContain('cream: warm is over');
  drawn.type(' ');
  await drawn.until((now) => now.includes('all keys'));
});

test.each([
  [59, false],
  [60, true],
])('a gap of %d s takes the screen: %s', async (length, told) => {
  const gap = { from: plus(calm.now, -length), to: calm.now, reason: 'keeper stopped' as const };
  const { drawn } = board({ ...calm, state: { ...calm.state, gap } });
  const text = (await drawn.settled()).join('\n');
  expect(text.includes('WHILE YOU WERE AWAY')).toBe(told);
});

test('what is said above the board is said whole, in two rows where it must', async () => {
  const { link, drawn, steady } = board(calm);
  await drawn.settled();
  link.tell({ kind: 'ended', reason: 'stopped' });
  await drawn.until((text) => text.includes('the run was stopped'));
  const rows = drawn.rows();
  expect(`${rows[1]} ${rows[2]}`.replaceAll(/ +/g, ' ')).toContain(
    '! the run was stopped; "thirdhand resume" carries it on; any key closes the board',
  );
  steady.now += 2000;
  drawn.type(' ');
  open.splice(0);
  expect(await drawn.end).toEqual({ kind: 'stopped' });
});

test('nothing is written while nothing changes', async () => {
  const { drawn } = board(calm);
  await drawn.settled();
  const before = drawn.written();
  // Its clock stands still, so two ticks later there is nothing new to draw.
  await new Promise((resolve) => setTimeout(resolve, 2100));
  expect(drawn.written()).toBe(before);
});

test('only what nobody has heard alternates', async () => {
  const beat = { ...due, now: at('18:16:41') };
  const heard = {
    ...beat,
    state: { ...due.state, calls: due.state.calls.map((call) => ({ ...call, heard: true })) },
  };
  const rows = async (scene: Scene): Promise<string> => {
    const { drawn } = board(scene);
    return (await drawn.settled()).join('\n');
  };
  expect(await rows(due)).toContain('██ SHELLS');
  expect(await rows(beat)).toContain('░░ SHELLS');
  expect(await rows(heard)).toContain('██ SHELLS');
});
