import { expect, test } from 'vitest';
import type { RunSetup } from '../../src/bench/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { courseOf, createPlayedRun, play, windowsOf } from '../../src/rehearsal/fast/index.ts';
import { judge, type Window } from '../../src/rehearsal/fast/windows.ts';
import { shareOfFall } from '../../src/rehearsal/probes.ts';
import { plus, seconds, temperatureOf } from '../../src/units/index.ts';
import { step, workload } from '../support/workloads.ts';
import { NOON } from './small-run.ts';

const RUNS = 50;

/** In what share of rehearsals each cooling limit of a cream is broken that goes into the cold so long after it was cooked. */
function broken(chill: string, goal: number, waits: string): Readonly<Record<string, number>> {
  const of = workload({
    kitchen: { rules: 'us food code', items: { hob: 1, 'fridge shelf': 1 } },
    components: {
      cream: {
        cooling: 'cooked',
        steps: [
          step('cook', { takes: '10 min', hands: 'busy', uses: ['hob'] }),
          step('chill', {
            rest: [chill],
            after: waits,
            within: waits,
            uses: ['fridge shelf'],
            until: {
              kind: 'probe',
              probe: 'cream',
              goal: { kind: 'falls to', to: temperatureOf(goal, 'C') },
              lasting: seconds(10),
            },
          }),
          step('fold', { takes: '5 min', hands: 'busy' }),
        ],
      },
    },
  });
  const result = planTimetable(of, { service: { kind: 'at', moments: [plus(NOON, 12 * 3600)] } });
  if (!('timetable' in result)) throw new Error(`no timetable: ${result.status}`);
  const setup: RunSetup = { run: 'cooling', workload: of, timetable: result.timetable, begunAt: NOON };
  const course = courseOf(setup);
  const run = createPlayedRun(course);
  const counts = windowsOf(course).map(() => 0);
  for (let seed = 1; seed <= RUNS; seed += 1) {
    play(course, seed, run);
    for (const index of counts.keys()) counts[index] = (counts[index] ?? 0) + (run.broken[index] ?? 0);
  }
  return Object.fromEntries(
    windowsOf(course).flatMap(({ kind, words }, index) =>
      kind === 'cooling' ? [[words.replace(/ \(.*/, ''), (counts[index] ?? 0) / RUNS]] : [],
    ),
  );
}

const [WARM, COLD] = ['cream at 21 C within 2 h', 'cream at 5 C within 6 h'];

test('what is to be at 5 C after two hours and a half has passed 21 C long before', () => {
  expect(broken('150 min', 5, '5 min')).toEqual({ [WARM]: 0, [COLD]: 0 });
});

test('what stood warm for an hour and a half has not, and what cools for six hours is not cold in time', () => {
  expect(broken('150 min', 5, '90 min')).toEqual({ [WARM]: 1, [COLD]: 0 });
  expect(broken('8 h', 5, '5 min')).toEqual({ [WARM]: 1, [COLD]: 1 });
});

test('where a step waits for the very figure of the limit, that is when it is there', () => {
  expect(broken('80 min', 21, '5 min')).toEqual({ [WARM]: 0 });
  expect(broken('150 min', 21, '5 min')).toEqual({ [WARM]: 1 });
});

test('a third temperature is passed by the law of cooling', () => {
  // Newton: from 100 C towards 3 C, 5 C is reached after ln(97/2) and 21 C after ln(97/18) time constants.
  expect(shareOfFall(100, 5, 21)).toBeCloseTo(Math.log(97 / 18) / Math.log(97 / 2), 10);
  expect([shareOfFall(100, 5, 5), shareOfFall(100, 5, 2), shareOfFall(20, 5, 21)]).toEqual([1, 1, 0]);
});

test('a wait may be overstepped by half a minute before it counts, a cooling rule by nothing', () => {
  const rule = (at: 'start' | { readonly share: number }): Window => ({
    kind: at === 'start' ? 'within' : 'cooling',
    steps: [],
    words: '',
    rule: { from: { step: 0, end: true }, to: { steps: [1], at }, most: 600 },
  });
  const windows = [rule('start'), rule({ share: 0.5 })];
  const broken = (start: number, drawn: number): readonly number[] => {
    const run = {
      seed: 1,
      starts: Float64Array.of(0, start * 1000),
      ends: Float64Array.of(60_000, 2_000_000),
      drawn: Float64Array.of(60, drawn),
      servedAt: Float64Array.of(),
      late: 0,
      leaves: 'played' as const,
      leftAt: NaN,
      broken: new Uint8Array(2),
    };
    judge(windows, run);
    return [...run.broken];
  };
  // It may begin until 660 s, and must be cold by then.
  expect(broken(660, 0)).toEqual([0, 0]);
  expect(broken(690, 0)).toEqual([0, 1]);
  expect(broken(691, 0)).toEqual([1, 1]);
  expect([broken(600, 120), broken(600, 122)]).toEqual([
    [0, 0],
    [0, 1],
  ]);
});
