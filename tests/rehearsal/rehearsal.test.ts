import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { apply, begin, replay, type BenchEvent, type BenchState } from '../../src/bench/index.ts';
import { componentId } from '../../src/plan/index.ts';
import { createRehearsal, rehearseToEnd, type Fault, type RehearsalEnd } from '../../src/rehearsal/index.ts';
import { minutes, plus, seconds, secondsBetween, wallClock } from '../../src/units/index.ts';
import { id, NOON, smallRun } from './small-run.ts';

/** What happened, a line each, without readings and the clock. */
const told = ({ events }: RehearsalEnd): string[] =>
  events.flatMap((event) => {
    if (event.kind === 'clock' || event.kind === 'reading') return [];
    const what =
      'step' in event ? event.step : 'oven' in event ? event.oven : 'key' in event ? event.key : '';
    return [`${wallClock(event.time, 'UTC', 'second')} ${event.kind} ${what}`.trim()];
  });

const served = (end: RehearsalEnd) => {
  if (end.ended !== 'served') throw new Error(end.why);
  return end;
};

const runOf = (state: BenchState, step: string) =>
  state.components.flatMap((component) => component.steps).find((run) => run.step === id(step));

/** How long a step took, in seconds. */
function lengthOf(end: RehearsalEnd, step: string): number {
  const run = runOf(end.state, step);
  if (run?.state !== 'ended') throw new Error(`${step} has not ended`);
  return secondsBetween(run.startedAt, run.endedAt);
}

describe('a small service', () => {
  test('as it is lived with seed 1', () => {
    expect(told(served(rehearseToEnd(smallRun, 1)))).toEqual([
      '12:02:16 start cream.cook',
      '12:12:10 done cream.cook',
      '12:12:29 start cream.chill',
      '12:18:18 oven set oven',
      '12:30:14 start buns.knead',
      '12:36:43 done buns.knead',
      '12:40:22 start buns.bake',
      '12:52:28 oven set oven',
      '13:00:05 done cream.chill',
      '13:00:21 start buns.fill',
      '13:05:42 done buns.fill',
      '13:15:00 served',
    ]);
  });

  test('ends served in time for fifty seeds, each step within what the plan allows', () => {
    for (let seed = 0; seed < 50; seed++) {
      const end = served(rehearseToEnd(smallRun, seed));
      expect(end.late).toBe(0);
      expect(lengthOf(end, 'cream.cook')).toBeGreaterThanOrEqual(9 * 60);
      expect(lengthOf(end, 'cream.cook')).toBeLessThanOrEqual(13 * 60 + 20);
      expect(lengthOf(end, 'buns.bake')).toBe(12 * 60);
      expect(lengthOf(end, 'cream.chill')).toBeGreaterThanOrEqual(30 * 60);
      expect(end.state.alarms).toEqual([]);
    }
  });

  test('the same seed gives the same events; another gives others', () => {
    expect(rehearseToEnd(smallRun, 7).events).toEqual(rehearseToEnd(smallRun, 7).events);
    expect(told(rehearseToEnd(smallRun, 7))).not.toEqual(told(rehearseToEnd(smallRun, 8)));
  });

  test('the state is what its events give when they are replayed', () => {
    const end = rehearseToEnd(smallRun, 3);
    expect(replay(smallRun, end.events)).toEqual(end.state);
  });
});

describe('the next act', () => {
  const rehearsal = createRehearsal({ workload: smallRun.workload, seed: 1 });

  test('is never before now, and does not move while nothing happens', () => {
    const state = begin(smallRun);
    const tick: BenchEvent = { id: 'e1', time: plus(NOON, 1), source: 'clock', kind: 'clock' };
    const started = apply(state, tick).state;
    const first = rehearsal.nextAct(started, NOON);
    expect(first?.happening).toMatchObject({ kind: 'start', step: 'cream.cook' });
    const between = secondsBetween(plus(NOON, 120), first?.at ?? NOON);
    expect(between).toBeGreaterThanOrEqual(2);
    expect(between).toBeLessThanOrEqual(20);
    expect(rehearsal.nextAct(started, plus(NOON, 100))).toEqual(first);
    expect(rehearsal.nextAct(started, plus(NOON, 1000))?.at).toBe(plus(NOON, 1000));
  });

  test('a step that is taken back and done again meets the same luck', () => {
    const end = served(rehearseToEnd(smallRun, 1));
    const done = end.events.findIndex((event) => event.kind === 'done' && event.step === id('cream.cook'));
    const before = replay(smallRun, end.events.slice(0, done));
    const act = rehearsal.nextAct(before, before.time);
    const pressed = apply(before, {
      id: 'p1',
      time: plus(before.time, 1),
      source: 'cook',
      kind: 'done',
      step: id('cream.cook'),
      at: before.time,
    }).state;
    const back = apply(pressed, { id: 'p2', time: plus(before.time, 2), source: 'cook', kind: 'undo' }).state;
    expect(runOf(back, 'cream.cook')?.state).toBe('running');
    expect(rehearsal.nextAct(back, back.time)).toEqual(act);
  });

  test('nothing once it is served', () => {
    const end = served(rehearseToEnd(smallRun, 1));
    expect(rehearsal.nextAct(end.state, end.servedAt)).toBeUndefined();
  });
});

describe('faults', () => {
  test('a late step takes so many times as long, and is the only thing that changes nature', () => {
    const plain = served(rehearseToEnd(smallRun, 5));
    const late = served(
      rehearseToEnd(smallRun, 5, { faults: [{ kind: 'late', step: id('cream.cook'), factor: 3 }] }),
    );
    expect(lengthOf(late, 'cream.cook') / lengthOf(plain, 'cream.cook')).toBeCloseTo(3, 0);
    expect(late.state.log.some((line) => line.text.includes('cream: cook') && line.kind === 'alarm')).toBe(
      true,
    );
  });

  test('a forgotten start is late by that much, and is nudged', () => {
    const plain = served(rehearseToEnd(smallRun, 5));
    const late = served(
      rehearseToEnd(smallRun, 5, { faults: [{ kind: 'forgets', step: id('cream.cook'), by: minutes(6) }] }),
    );
    const startOf = (end: RehearsalEnd) => end.events.find((event) => event.kind === 'start')?.time ?? NOON;
    expect(secondsBetween(startOf(plain), startOf(late))).toBe(360);
    expect(late.state.log.some((line) => line.kind === 'alarm')).toBe(true);
  });

  test('a door that is opened early is recorded once, and shut again', () => {
    const end = served(
      rehearseToEnd(smallRun, 5, {
        faults: [{ kind: 'door opened early', oven: 'oven', at: plus(NOON, 45 * 60) }],
      }),
    );
    expect(told(end).filter((line) => line.endsWith(' door oven'))).toEqual([
      '12:45:00 door oven',
      '12:45:30 door oven',
    ]);
    expect(end.state.ovens[0]?.earlyOpenings).toEqual([plus(NOON, 45 * 60)]);
  });

  test('a component that is lost is made again, once', () => {
    const end = served(
      rehearseToEnd(smallRun, 5, {
        faults: [{ kind: 'lost', component: componentId('cream'), during: id('cream.chill') }],
      }),
    );
    expect(end.state.components[0]?.attempt).toBe(2);
    expect(told(end).filter((line) => line.includes('lost'))).toHaveLength(1);
  });
});

describe('several faults at once', () => {
  const components = smallRun.workload.components;
  const step = fc.constantFrom(...components.flatMap(({ steps }) => steps));
  const fault: fc.Arbitrary<Fault> = fc.oneof(
    fc.record({
      kind: fc.constant('late' as const),
      step: step.map((each) => each.id),
      factor: fc.double({ min: 0.2, max: 8, noNaN: true }),
    }),
    fc.record({
      kind: fc.constant('forgets' as const),
      step: step.map((each) => each.id),
      by: fc.integer({ min: 0, max: 7200 }).map(seconds),
    }),
    fc.record({
      kind: fc.constant('door opened early' as const),
      oven: fc.constant('oven'),
      at: fc.integer({ min: 0, max: 7200 }).map((after) => plus(NOON, after)),
    }),
    step.map((each): Fault => ({ kind: 'lost', component: each.component, during: each.id })),
  );

  test('come to service all the same, and the events give the state', () => {
    fc.assert(
      fc.property(fc.nat(1000), fc.array(fault, { maxLength: 4 }), (seed, faults) => {
        const end = rehearseToEnd(smallRun, seed, { faults });
        expect(end.ended === 'stuck' ? end.why : end.ended).toBe('served');
        expect(replay(smallRun, end.events)).toEqual(end.state);
      }),
      { seed: 3, numRuns: 60 },
    );
  });
});

describe('a rehearsal that cannot end', () => {
  test('stops at its limit and names the seed and what is open', () => {
    const end = rehearseToEnd(smallRun, 42, { limit: 10 });
    expect(end).toMatchObject({ ended: 'stuck', why: expect.stringMatching(/after 10 events: .*seed 42/) });
  });

  test('a cook who never comes to an end is no stuck program', () => {
    const end = rehearseToEnd(smallRun, 1, { nature: { duration: () => seconds(1e9) }, limit: 200 });
    expect(end.ended).toBe('stuck');
  });
});
