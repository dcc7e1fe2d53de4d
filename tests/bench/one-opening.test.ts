import { expect, test } from 'vitest';
import { apply, begin, type BenchState } from '../../src/bench/index.ts';
import { componentId, stepId } from '../../src/plan/index.ts';
import type { OvenSetting, Timetable } from '../../src/planner/index.ts';
import { celsius, plus, temperatureOf, type EpochMs } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';

const NOON = moment('2027-05-14 12:00');
const shut = { at: '180 C', door: 'shut' as const };
const named = (name: string) => stepId(componentId(name), 'bake');

/** Rolls and buns for a shut oven of two shelves, told for these minutes after noon; the oven is hot, and the rolls went in at noon. */
function rollsAreIn(
  buns: number,
  more: (at: (minute: number) => EpochMs) => readonly OvenSetting[] = () => [],
): BenchState {
  const of = workload({
    kitchen: { ovens: [{ shelves: 2, load: celsius(20) }] },
    components: {
      rolls: [step('bake', { takes: ['20 min', '24 min'], usually: '20 min', oven: shut })],
      buns: [step('bake', { takes: ['20 min', '24 min'], usually: '20 min', oven: shut })],
    },
  });
  const at = (minute: number) => plus(NOON, 60 * minute);
  const heat = { kind: 'at', temperature: temperatureOf(180, 'C') } as const;
  const timetable: Timetable = {
    service: [at(90)],
    steps: [
      { step: named('rolls'), start: NOON, end: at(20), oven: 'oven' },
      { step: named('buns'), start: at(buns), end: at(buns + 20), oven: 'oven' },
    ],
    settings: [{ oven: 'oven', heat, at: at(-60), hotBy: NOON, step: named('rolls') }, ...more(at)],
  };
  const acts = [
    { kind: 'oven set', oven: 'oven', heat, time: at(-60) },
    { kind: 'start', step: named('rolls'), at: NOON, time: NOON },
  ] as const;
  return acts.reduce<BenchState>(
    (state, act, index) => apply(state, { id: `e${index}`, source: 'cook', ...act }).state,
    begin({ run: 'bread', workload: of, timetable, begunAt: at(-60) }),
  );
}

/** What is called so many seconds after noon. */
function called(state: BenchState, after: number): readonly string[] {
  const time = plus(NOON, after);
  return apply(state, { id: 'later', time, source: 'clock', kind: 'clock' }).state.calls.map(
    ({ key }) => key,
  );
}

test('what is told to go into a shut oven at one moment goes in by one opening of its door', () => {
  const state = rollsAreIn(0);
  expect(called(state, 0)).toEqual(['start buns.bake#1']);
  expect(called(state, 59)).toEqual(['start buns.bake#1']);
  expect(called(state, 60)).toEqual([]);
});

test('the first of two that go in together takes the oven down for both: the second does not wait until it is hot again', () => {
  const [buns] = rollsAreIn(0).calls;
  expect([buns?.key, buns?.due]).toEqual(['start buns.bake#1', NOON]);
});

test('what is told for later waits until the door may be opened', () => {
  const state = rollsAreIn(1);
  expect(called(state, 59)).toEqual([]);
});

test('the oven is switched off when all that was told for it is out, and not while one of two loads is still in', () => {
  const off = { oven: 'oven', heat: { kind: 'off' }, step: named('rolls') } as const;
  const state = rollsAreIn(0, (at) => [{ ...off, at: at(20), hotBy: at(20) }]);
  const act = (before: BenchState, minute: number, kind: 'start' | 'done', name: string): BenchState => {
    const time = plus(NOON, 60 * minute);
    return apply(before, { id: `${kind} ${name}`, time, source: 'cook', kind, step: named(name), at: time })
      .state;
  };
  const both = act(act(state, 0.5, 'start', 'buns'), 20, 'done', 'rolls');
  expect(called(both, 20 * 60)).not.toContain('oven oven off for rolls.bake#1');
  expect(called(act(both, 22, 'done', 'buns'), 22 * 60)).toContain('oven oven off for rolls.bake#1');
});
