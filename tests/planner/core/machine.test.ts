import { describe, expect, test } from 'vitest';
import { solve, startOf, endOf, type Problem } from '../../../src/planner/core/index.ts';
import { machineBound } from '../../../src/planner/core/machine.ts';
import { exhaustive } from './support/exhaustive.ts';
import { randomProblem } from './support/random-problem.ts';

describe('what one pair of hands can do', () => {
  const byHand = (
    jobs: readonly (readonly [length: number, due: number])[],
    closed: readonly { readonly from: number; readonly to: number }[] = [],
  ): Problem => ({
    activities: jobs.map(([length, due]) => ({ least: length, most: length, due, calendar: 0, rule: 0 })),
    lags: [],
    resources: [
      { capacity: 1, claims: jobs.map((_, i) => ({ from: startOf(i), to: endOf(i), amount: 1, rule: 0 })) },
    ],
    ovens: [],
    demands: [],
    groups: [],
    calendars: [{ closed }],
    objective: [{ name: 'close', terms: jobs.map((_, i) => ({ point: startOf(i), weight: -1 })) }],
  });
  const boundOf = (problem: Problem): number | undefined => {
    const [level] = problem.objective;
    return (
      level &&
      machineBound(problem, level, (point) => {
        const { due = 0, least = 0 } = problem.activities[point >> 1] ?? {};
        return due - (point & 1 ? 0 : least);
      })
    );
  };

  test.each([
    [
      'the shortest comes last',
      byHand([
        [5, 0],
        [1, 0],
        [3, 0],
      ]),
      1 + 4 + 9,
    ],
    [
      'one that is due earlier waits for its time',
      byHand([
        [2, 0],
        [2, -10],
      ]),
      2 + 12,
    ],
    [
      'the rest of a long one is put off for a short one',
      byHand([
        [6, 0],
        [1, -2],
      ]),
      3 + 7,
    ],
    [
      'closed hours are left out',
      byHand(
        [
          [2, 0],
          [2, 0],
        ],
        [{ from: -12, to: -3 }],
      ),
      2 + 13,
    ],
  ])('%s', (_, problem, bound) => {
    expect(boundOf(problem)).toBe(bound);
  });

  const SEEDS = 500;
  test(`${SEEDS} small problems whose starts are all wanted late come to the same as trying everything`, () => {
    for (let seed = 1; seed <= SEEDS; seed += 1) {
      const random = randomProblem(seed);
      const terms = random.activities.map((__, i) => ({ point: startOf(i), weight: -1 }));
      const problem = { ...random, objective: [{ name: 'close', terms }] };
      const best = exhaustive(problem);
      const result = solve(problem, { budget: { work: 20_000_000 } });
      const found = 'levels' in result ? result.levels.map(({ value, bound }) => [value, bound]) : undefined;
      expect({ seed, found }).toEqual({ seed, found: best?.map((value) => [value, value]) });
    }
  });
});
