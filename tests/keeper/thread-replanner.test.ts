import { monitorEventLoopDelay } from 'node:perf_hooks';
import { afterEach, expect, test } from 'vitest';
import { threadReplanner } from '../../src/keeper/thread-replanner.ts';
import type { Replanned, Replanner } from '../../src/keeper/replanner.ts';
import { progressOf } from '../../src/bench/index.ts';
import { benchEngine } from '../../src/keeper/bench-engine.ts';
import { epochMs } from '../../src/units/index.ts';
import { tinySetup } from '../support/tiny-setup.ts';
import { until } from '../support/until.ts';

/* The thread of these tests breaks, ends or hangs when it is asked to: see support/replan-thread.ts. */
const setup = tinySetup();
const progress = progressOf(benchEngine.begin(setup));
const HOUR = Math.floor(setup.begunAt / 3_600_000) * 3_600_000;

const open: Replanner[] = [];
afterEach(() => {
  for (const replanner of open.splice(0)) replanner.close();
});

function replanner(patience = 20_000): {
  readonly ask: (minute: number) => Promise<Replanned>;
  readonly complaints: string[];
  readonly close: () => void;
} {
  const complaints: string[] = [];
  const made = threadReplanner({
    workload: setup.workload,
    entry: new URL('../support/replan-thread.ts', import.meta.url),
    complain: (what) => complaints.push(what),
    patience,
  });
  open.push(made);
  return {
    ask: (minute) =>
      new Promise((resolve) => made.ask({ ...progress, now: epochMs(HOUR + minute * 60_000) }, resolve)),
    complaints,
    close: () => made.close(),
  };
}

const askedAt = (minute: number): Replanned => ({
  kind: 'none',
  reasons: [{ message: `asked at ${minute}`, steps: [], places: [] }],
});

test('answers come from a thread of their own, one after another', async () => {
  const { ask, complaints } = replanner();
  expect(await ask(1)).toEqual(askedAt(1));
  expect(await ask(2)).toEqual(askedAt(2));
  expect(complaints).toEqual([]);
});

test('a planner that fails is told of once, and its thread goes on', async () => {
  const { ask, complaints } = replanner();
  const detail = 'Error: this planner fails at thirteen';
  expect(await ask(13)).toEqual({ kind: 'failed', why: 'thirdhand made a mistake', detail });
  expect(await ask(13)).toMatchObject({ kind: 'failed', detail });
  expect(complaints).toEqual([`a new timetable could not be worked out: ${detail}`]);
  expect(await ask(3)).toEqual(askedAt(3));
});

test('a thread that ends is told of, and the next question gets a new one', async () => {
  const { ask, complaints } = replanner();
  const detail = 'the thread ended by itself';
  expect(await ask(14)).toEqual({ kind: 'failed', why: 'thirdhand made a mistake', detail });
  expect(await ask(3)).toEqual(askedAt(3));
  expect(complaints).toEqual([`a new timetable could not be worked out: ${detail}`]);
});

test('a thread that hangs is put away, and stalls nobody meanwhile', async () => {
  const { ask } = replanner(1500);
  const delay = monitorEventLoopDelay({ resolution: 5 });
  delay.enable();
  expect(await ask(15)).toMatchObject({ kind: 'failed', why: 'it took too long' });
  delay.disable();
  // It spun for over a second; this thread never waited for it.
  expect(delay.max / 1e6).toBeLessThan(700);
  expect(await ask(4)).toEqual(askedAt(4));
});

test('a file that is not there is a failure like any other', async () => {
  const complaints: string[] = [];
  const made = threadReplanner({
    workload: setup.workload,
    entry: new URL('./no-such-thread.ts', import.meta.url),
    complain: (what) => complaints.push(what),
  });
  open.push(made);
  const answer = await new Promise<Replanned>((resolve) => made.ask(progress, resolve));
  expect(answer.kind).toBe('failed');
  expect(complaints).toHaveLength(1);
});

test('after it is closed nothing is answered', async () => {
  const answers: Replanned[] = [];
  const { ask, close, complaints } = replanner();
  await ask(5);
  void ask(6).then((answer) => answers.push(answer));
  close();
  const other = replanner();
  await until('another thread answers', () => other.ask(7));
  expect([answers, complaints]).toEqual([[], []]);
});
