import { join } from 'node:path';
import { statSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Effect, Happening } from '../../src/bench/index.ts';
import { createRun, journalPath, memoryJournal, openRun, type Journal } from '../../src/journal/index.ts';
import { momentOf, simulatedClock, type SimulatedClock } from '../../src/keeper/clock.ts';
import { benchEngine } from '../../src/keeper/bench-engine.ts';
import { openCore, type Core, type CoreChange, type CoreOptions, type Taken } from '../../src/keeper/core.ts';
import { epochMs, seconds, temperatureOf } from '../../src/units/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { fakeBench } from '../support/fake-bench.ts';
import { tempFolder } from '../support/folder.ts';
import { tinySetup } from '../support/tiny-setup.ts';

const setup = tinySetup();
const START = setup.begunAt;

/** A keeper on a clock of the test, and everything it did in the order it did it. */
interface Scene {
  readonly clock: SimulatedClock;
  readonly core: Core;
  readonly journal: Journal;
  /** `event 1 timer`, `taken 1`, `effects 1`, ... */
  readonly trail: string[];
  press(happening: Happening, id?: string): Taken;
  tick(afterMs: number): void;
}

let presses = 0;

function scene(more: Partial<CoreOptions> & { clock?: SimulatedClock } = {}): Scene {
  const clock = more.clock ?? simulatedClock(START);
  const journal = more.journal ?? memoryJournal(setup);
  const trail: string[] = [];
  const perform = (effects: readonly Effect[]): void => {
    trail.push(...effects.map((effect) => `${effect.kind} ${effect.key}`));
  };
  const core = openCore({ engine: fakeBench, perform, ...more, journal, clock });
  core.watch((change) => trail.push(describeChange(change)));
  return {
    clock,
    core,
    journal,
    trail,
    press(happening, id = `press-${(presses += 1)}`) {
      let answer: Taken | undefined;
      core.take({ kind: 'act', id, source: 'cook', happening }, (taken) => {
        answer = taken;
        trail.push(taken.ok ? `taken ${taken.seq}` : `refused: ${taken.why}`);
      });
      if (answer === undefined) throw new Error('an act is always answered');
      return answer;
    },
    tick(afterMs) {
      clock.advance(afterMs);
      core.take({ kind: 'tick' });
    },
  };
}

function describeChange(change: CoreChange): string {
  if (change.kind === 'event') return `event ${change.seq} ${change.event.kind}`;
  return 'reason' in change ? `ended ${change.reason}` : change.kind;
}

const timer = (name: string, length: number): Happening => ({ kind: 'timer', name, length: seconds(length) });
const written = ({ journal }: Scene): unknown[] =>
  journal.events.map((event) => [event.kind, (event.time - START) / 1000]);

describe('the order of things', () => {
  test('journalled, then adopted, then acknowledged, then let out', () => {
    const at = scene();
    at.press(timer('tea', 60));
    at.clock.advance(3000);
    at.clock.advance(1000);
    at.tick(0);
    for (let second = 0; second < 60; second++) at.tick(1000);
    at.press({ kind: 'timer done', name: 'tea' });
    expect(at.trail).toEqual([
      'event 1 timer',
      'taken 1',
      'event 2 clock',
      'ring timer tea',
      'event 3 timer done',
      'taken 3',
    ]);
    expect(written(at)).toEqual([
      ['timer', 0],
      ['clock', 60],
      ['timer done', 64],
    ]);
  });

  test('a refused press leaves no trace', () => {
    const at = scene();
    expect(at.press({ kind: 'timer done', name: 'tea' })).toEqual({
      ok: false,
      why: 'there is no timer tea',
    });
    expect([at.journal.events, at.core.state.history]).toEqual([[], []]);
  });

  test.each(['\u001b]0;x\u0007', 'a\u009b2J', 'te\u202ea'])(
    'a name that is not all seen is refused: %j',
    (name) => {
      const at = scene();
      const why = 'there are unseen characters in that name';
      expect(at.press(timer(name, 60))).toEqual({ ok: false, why });
      const temperature = temperatureOf(20, 'C');
      expect(at.press({ kind: 'reading', probe: name, temperature })).toEqual({ ok: false, why });
      expect(at.journal.events).toEqual([]);
    },
  );

  test('the same press twice is once, and gets the same answer', () => {
    const at = scene();
    expect([at.press(timer('tea', 60), 'one'), at.press(timer('tea', 60), 'one')]).toEqual([
      { ok: true, seq: 1 },
      { ok: true, seq: 1 },
    ]);
    expect(at.core.state.timers).toHaveLength(1);
  });

  test('a fault in the bench is a refusal, and the keeper goes on', () => {
    const complaints: string[] = [];
    const at = scene({ complain: (what) => complaints.push(what) });
    const reading: Happening = { kind: 'reading', probe: 'broken', temperature: temperatureOf(20, 'C') };
    expect(at.press(reading)).toMatchObject({ ok: false, why: expect.stringContaining('mistake') });
    expect(at.press(timer('tea', 60))).toEqual({ ok: true, seq: 1 });
    expect(complaints).toEqual([expect.stringContaining('the fake bench fails')]);
  });

  test('what fell due comes before a press that comes later', () => {
    const at = scene();
    at.press(timer('tea', 1));
    at.clock.advance(3000);
    at.press(timer('milk', 60));
    expect(at.trail).toEqual([
      'event 1 timer',
      'taken 1',
      'event 2 clock',
      'event 3 timer',
      'taken 3',
      'ring timer tea',
    ]);
  });
});

describe('stamps', () => {
  test('a press cannot lie in the future, and may lie in the past', () => {
    const at = scene();
    const [first] = setup.timetable.steps;
    if (first === undefined) throw new Error('the setup has steps');
    at.clock.advance(4000);
    at.press({ kind: 'start', step: first.step, at: epochMs(START + 99_000) });
    at.press({ kind: 'done', step: first.step, at: epochMs(START + 1000) });
    expect(at.journal.events.map((event) => 'at' in event && event.at - START)).toEqual([4000, 1000]);
  });

  test('time never runs backwards, whatever the clocks do', () => {
    const clock = simulatedClock(START);
    const at = scene({ clock });
    at.press(timer('tea', 60));
    clock.step(-3_600_000);
    at.press(timer('milk', 60));
    clock.advance(500);
    at.press(timer('eggs', 60));
    expect(written(at)).toEqual([
      ['timer', 0],
      ['gap', 0],
      ['timer', 0],
      ['timer', 0.5],
    ]);
  });
});

describe('gaps', () => {
  test.each([3_600_000, -3_600_000, 10_000])(
    'a wall clock stepped by %d ms moves no timer and is told once',
    (step) => {
      const at = scene();
      at.press(timer('tea', 60));
      at.tick(1000);
      at.clock.step(step);
      for (let second = 0; second < 59; second++) at.tick(1000);
      expect(written(at)).toEqual([
        ['timer', 0],
        ['gap', 2],
        ['clock', 60],
      ]);
      expect(at.journal.events[1]).toMatchObject({ reason: 'clock stepped' });
    },
  );

  test('a wall clock that is set by less than two seconds is left alone', () => {
    const at = scene();
    at.clock.step(1500);
    at.tick(1000);
    expect(written(at)).toEqual([]);
  });

  test('after an hour of sleep the gap is told, and what fell due rings', () => {
    const at = scene();
    at.press(timer('tea', 60));
    at.tick(1000);
    at.tick(3_600_000);
    expect(at.journal.events.slice(1)).toMatchObject([
      { kind: 'gap', from: START + 1000, time: START + 3_601_000, reason: 'machine slept' },
    ]);
    expect(at.trail.at(-1)).toBe('ring timer tea');
  });

  test('a press as the first thing after a sleep finds the gap told too', () => {
    const at = scene();
    at.clock.advance(3_600_000);
    at.press(timer('tea', 60));
    expect(at.trail).toEqual(['event 1 gap', 'event 2 timer', 'taken 2']);
  });
});

describe('taking up a run', () => {
  /** A stored run with a timer of one minute, left five seconds after it was set. */
  function left(): { store: string; clock: SimulatedClock } {
    const store = join(tempFolder(), 'store');
    const clock = simulatedClock(START);
    createRun(store, setup, momentOf(clock));
    const at = scene({ clock, journal: journalOf(store, clock) });
    at.press(timer('tea', 60));
    at.tick(4000);
    at.journal.close();
    return { store, clock };
  }

  function journalOf(store: string, clock: SimulatedClock, maxPages?: number): Journal {
    const opened = openRun(store, setup.run, {
      purpose: 'keep',
      now: momentOf(clock),
      ...(maxPages === undefined ? {} : { maxPages }),
    });
    if (opened.journal === undefined) throw new Error(opened.say);
    return opened.journal;
  }

  test('what nobody kept is a gap, and what fell due meanwhile rings', () => {
    const { store, clock } = left();
    clock.advance(600_000);
    const at = scene({ clock, journal: journalOf(store, clock) });
    expect(at.journal.events.slice(1)).toMatchObject([
      { kind: 'gap', from: START, time: START + 604_000, reason: 'keeper stopped' },
    ]);
    expect(at.trail).toEqual(['ring timer tea']);
    at.journal.close();
  });

  test('a moment between two keepers is no gap', () => {
    const { store, clock } = left();
    clock.advance(56_000 - 500);
    // The note of being alive is what the gap is measured from: here the run was kept until now.
    const first = journalOf(store, clock);
    first.noteAlive({ ...momentOf(clock), time: epochMs(START + 59_500) });
    first.close();
    clock.advance(600);
    const at = scene({ clock, journal: journalOf(store, clock) });
    expect(at.journal.events.slice(1)).toMatchObject([{ kind: 'clock', time: START + 60_100 }]);
    at.journal.close();
  });

  test('a wall clock that was stepped while nobody kept the run moves nothing', () => {
    const { store, clock } = left();
    clock.step(-7_200_000);
    clock.advance(30_000);
    const at = scene({ clock, journal: journalOf(store, clock) });
    expect(at.core.now() - START).toBe(34_000);
    at.journal.close();
  });

  test('after a new start of the machine the wall clock counts; behind the last event it does not', () => {
    const { store, clock } = left();
    const later = simulatedClock(epochMs(START + 40_000), 'another');
    const first = scene({ clock: later, journal: journalOf(store, later) });
    expect(first.core.now() - START).toBe(40_000);
    first.journal.close();
    const behind = simulatedClock(epochMs(START - 86_400_000), 'a third');
    const second = scene({ clock: behind, journal: journalOf(store, behind) });
    expect(second.core.now() - START).toBe(40_000);
    expect(second.journal.events.at(-1)).toMatchObject({ kind: 'gap', reason: 'clock stepped' });
    second.journal.close();
    expect(clock.wall()).toBeGreaterThan(behind.wall());
  });

  test('the state is what the journal makes of it', () => {
    const { store, clock } = left();
    const at = scene({ clock, journal: journalOf(store, clock) });
    at.press(timer('milk', 90));
    at.tick(60_000);
    const before = at.core.state;
    at.journal.close();
    const again = scene({ clock, journal: journalOf(store, clock) });
    expect(JSON.stringify(again.core.state)).toBe(JSON.stringify(before));
    again.journal.close();
  });

  test('a full disk: said once, the press refused, nothing applied that is not written', () => {
    const { store, clock } = left();
    const pages = statSync(journalPath(store, setup.run)).size / 4096;
    const at = scene({ clock, journal: journalOf(store, clock, pages + 3) });
    let answer = at.press(timer('0', 600));
    for (let n = 1; answer.ok && n < 500; n++) answer = at.press(timer(String(n), 600));
    expect(answer).toMatchObject({ ok: false, why: expect.stringContaining('the disk is full') });
    expect(at.core.trouble).toContain('the disk is full');
    const count = at.journal.events.length;
    expect([at.core.state.history.length, at.trail.filter((line) => line === 'trouble').length]).toEqual([
      count,
      1,
    ]);
    at.journal.close();
    const again = scene({ clock, journal: journalOf(store, clock) });
    expect(again.core.state.history).toHaveLength(count);
    expect(again.press(timer('more', 600)).ok).toBe(true);
    again.journal.close();
  });

  test('what falls due while the disk is full rings when there is room', () => {
    const real = memoryJournal(setup);
    let full = false;
    const problem = { code: 'disk full', what: 'the disk is full', hint: 'free some space' } as const;
    const journal: Journal = {
      ...real,
      events: real.events,
      get last() {
        return real.last;
      },
      get alive() {
        return real.last;
      },
      append: (event, now) => (full ? { ok: false, problem } : real.append(event, now)),
      tryRoom: () => (full ? problem : undefined),
    };
    const at = scene({ journal });
    at.press(timer('tea', 3), 'the press');
    full = true;
    at.press(timer('milk', 60), 'another');
    for (let second = 0; second < 10; second++) at.tick(1000);
    full = false;
    at.tick(1000);
    at.press(timer('milk', 60), 'another');
    expect(at.trail).toEqual([
      'event 1 timer',
      'taken 1',
      'trouble',
      'refused: the disk is full; free some space',
      'trouble over',
      'event 2 clock',
      'ring timer tea',
      'event 3 timer',
      'taken 3',
    ]);
  });
});

describe('the end', () => {
  test('some time after service, and not before', () => {
    const at = scene({ linger: 60_000, longestSilence: Infinity });
    at.tick(5000);
    at.press({ kind: 'served' });
    at.tick(59_000);
    expect(at.core.ended).toBe(false);
    at.tick(1000);
    expect([at.core.ended, at.trail.at(-1)]).toEqual([true, 'ended served']);
    expect(at.press(timer('tea', 60))).toEqual({ ok: false, why: 'the keeper has ended' });
  });

  test('when somebody says so', () => {
    const at = scene();
    at.core.take({ kind: 'stop', reason: 'stopped' });
    expect(at.trail).toEqual(['ended stopped']);
  });
});

test('a new timetable is asked for every rule before it is written', () => {
  const { workload } = setup;
  const planned = planTimetable(workload, {
    service: { kind: 'at', moments: [epochMs(START + 3 * 3_600_000)] },
    margins: 'keep',
  });
  if (planned.status !== 'optimal') throw new Error(planned.status);
  const { timetable } = planned;
  const at = scene({ engine: benchEngine });
  const steps = timetable.steps.map((step) =>
    step.step === 'shells.pipe'
      ? { ...step, start: epochMs(step.start - 1_200_000), end: epochMs(step.end - 1_200_000) }
      : step,
  );
  const refused = at.press({ kind: 'timetable', timetable: { ...timetable, steps } });
  expect(refused).toMatchObject({ ok: false, why: expect.stringContaining('breaks a rule') });
  expect(at.journal.events.filter((event) => event.kind === 'timetable')).toEqual([]);
  expect(at.press({ kind: 'timetable', timetable })).toMatchObject({ ok: true });
  expect(at.core.state.timetable.service).toEqual(timetable.service);
});
