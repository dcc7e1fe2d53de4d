import { describe, expect, test } from 'vitest';
import type { ForecastClash, Happening } from '../../src/bench/index.ts';
import { memoryJournal } from '../../src/journal/index.ts';
import { benchEngine } from '../../src/keeper/bench-engine.ts';
import { simulatedClock } from '../../src/keeper/clock.ts';
import { openCore, type Core } from '../../src/keeper/core.ts';
import {
  foreseen,
  threadForecaster,
  type AheadQuestion,
  type Foreseen,
  type Forecaster,
} from '../../src/keeper/forecaster.ts';
import { componentId, stepId } from '../../src/plan/index.ts';
import { plus, seconds } from '../../src/units/index.ts';
import { setupOf } from '../support/plans.ts';

/* A keeper and somebody of the test's own who looks ahead: what is asked is kept, and answered when the test says so. */
const setup = setupOf(`
components:
  cream:
    steps:
      - warm:  { takes: 6 min, hands: near }
      - chill: { rest: 30 min - 4 h, uses: [fridge shelf] }
  finish:
    steps:
      - fold: { takes: 10 min, hands: busy, needs: [cream] }
`);
const WARM = stepId(componentId('cream'), 'warm');
const FOLD = stepId(componentId('finish'), 'fold');

const CLASH: ForecastClash = {
  key: 'hands a | b',
  kind: 'hands',
  steps: [WARM, FOLD],
  why: 'cream: warm and finish: fold both want the hands',
  chance: 0.25,
  soonest: plus(setup.begunAt, 1200),
  usual: plus(setup.begunAt, 1500),
};

interface Scene {
  readonly core: Core;
  readonly asked: AheadQuestion[];
  press(happening: Happening): void;
  tick(afterMs: number): void;
  answer(clashes: readonly ForecastClash[] | 'failed'): void;
  /** What the journal holds of looks ahead. */
  written(): number;
  isClosed(): boolean;
}

function scene(): Scene {
  const clock = simulatedClock(setup.begunAt);
  const asked: AheadQuestion[] = [];
  let waiting: ((foreseen: Foreseen) => void) | undefined;
  let closed = false;
  const forecaster: Forecaster = {
    ask(question, answer) {
      expect(waiting).toBeUndefined();
      asked.push(question);
      waiting = answer;
    },
    close: () => (closed = true),
  };
  const core = openCore({ journal: memoryJournal(setup), engine: benchEngine, clock, forecaster });
  let presses = 0;
  return {
    core,
    asked,
    press(happening) {
      presses += 1;
      core.take({ kind: 'act', id: `press-${presses}`, source: 'cook', happening });
    },
    tick(afterMs) {
      for (let left = afterMs; left > 0; left -= 1000) {
        clock.advance(Math.min(1000, left));
        core.take({ kind: 'tick' });
      }
    },
    answer(clashes) {
      const answered = waiting;
      if (!answered) throw new Error('nothing was asked');
      waiting = undefined;
      answered(
        clashes === 'failed' ? { kind: 'failed', why: 'x', detail: 'x' } : { kind: 'foreseen', clashes },
      );
    },
    written: () => core.journal.events.filter(({ kind }) => kind === 'forecast').length,
    isClosed: () => closed,
  };
}

describe('a look ahead', () => {
  test('is asked for when the run is taken up, and what it sees is an event', () => {
    const at = scene();
    expect(at.asked).toHaveLength(1);
    at.tick(2000);
    at.answer([CLASH]);
    expect(at.core.state.forecast?.clashes).toEqual([CLASH]);
    expect(at.written()).toBe(1);
  });

  test('one at a time, and a press asks for the next one, not more often than every 15 s', () => {
    const at = scene();
    at.tick(1000);
    at.press({ kind: 'start', step: WARM, at: plus(setup.begunAt, 1) });
    at.tick(20_000);
    expect(at.asked).toHaveLength(1);
    // It was of a run in which nothing had been started.
    at.answer([CLASH]);
    expect(at.written()).toBe(0);
    expect(at.asked).toHaveLength(2);
    at.tick(1000);
    at.press({ kind: 'more', step: WARM, length: seconds(60) });
    at.answer([CLASH]);
    expect(at.asked).toHaveLength(2);
    at.tick(13_000);
    expect(at.asked).toHaveLength(2);
    at.tick(2000);
    expect(at.asked).toHaveLength(3);
    at.answer([CLASH]);
    expect(at.written()).toBe(1);
  });

  test('that the way is still clear is not written down, and not asked again before minutes have passed', () => {
    const at = scene();
    at.answer([]);
    at.tick(280_000);
    expect([at.asked.length, at.written()]).toEqual([1, 0]);
    at.tick(40_000);
    expect(at.asked).toHaveLength(2);
    at.answer([CLASH]);
    at.tick(320_000);
    expect(at.asked).toHaveLength(3);
    // That it has become clear is.
    at.answer([]);
    expect(at.written()).toBe(2);
    expect(at.core.state.forecast?.clashes).toEqual([]);
  });

  test('one that fails changes nothing, and is asked for again', () => {
    const at = scene();
    at.answer('failed');
    expect([at.core.state.forecast, at.written()]).toEqual([undefined, 0]);
    at.tick(16_000);
    expect(at.asked).toHaveLength(2);
  });

  test('none is asked for once the run is over, and whoever looks ahead is let go', () => {
    const at = scene();
    at.answer([]);
    at.core.take({ kind: 'stop', reason: 'stopped' });
    at.tick(400_000);
    expect([at.asked.length, at.isClosed()]).toEqual([1, true]);
  });
});

test('the thread says what is said in this very thread', async () => {
  const state = benchEngine.begin(setup);
  const complaints: string[] = [];
  const forecaster = threadForecaster((what) => complaints.push(what));
  const question = { state, now: state.time };
  const answer = await new Promise<Foreseen>((resolve) => forecaster.ask(question, resolve));
  forecaster.close();
  expect([answer, complaints]).toEqual([foreseen(question), []]);
});
