import { describe, expect, test } from 'vitest';
import { faults } from '../../../src/planner/core/check.ts';
import { endOf, solve, startOf, type Problem } from '../../../src/planner/core/index.ts';
import { isLarge, solveLarge } from '../../../src/planner/core/large.ts';
import { exhaustive } from './support/exhaustive.ts';
import { randomProblem } from './support/random-problem.ts';

describe('problems that are taken apart', () => {
  const SEEDS = 300;
  test(`${SEEDS} small ones: what is found is right, and what is called impossible is`, () => {
    const wrong: number[] = [];
    let found = 0;
    for (let seed = 1; seed <= SEEDS; seed += 1) {
      const problem = randomProblem(seed);
      const best = exhaustive(problem);
      const result = solveLarge(problem, { budget: { work: 20_000 } }, solve);
      if (result.status === 'infeasible' && best) wrong.push(seed);
      if (!('schedule' in result)) continue;
      found += 1;
      expect({ seed, faults: faults(problem, result.schedule) }).toEqual({ seed, faults: [] });
      const [first] = result.levels;
      const least = best?.[0] ?? 0;
      if (first && (first.value < least || first.bound > least)) wrong.push(seed);
    }
    expect(wrong).toEqual([]);
    expect(found).toBeGreaterThan(SEEDS / 5);
  });

  const byHand = (count: number): Problem => ({
    activities: Array.from({ length: count }, (_, i) => ({
      least: 1 + (i % 7),
      most: 1 + (i % 7),
      due: 0,
      rule: 0,
    })),
    lags: Array.from({ length: count }, (_, i) => i).flatMap((i) =>
      i % 5 === 0
        ? []
        : [
            { from: endOf(i - 1), to: startOf(i), weight: 0, rule: 0 },
            { from: startOf(i), to: endOf(i - 1), weight: -30, rule: 0 },
          ],
    ),
    resources: [
      {
        capacity: 1,
        claims: Array.from({ length: count }, (_, i) => ({
          from: startOf(i),
          to: endOf(i),
          amount: 1,
          rule: 0,
        })),
      },
    ],
    ovens: [],
    demands: [],
    groups: [],
    calendars: [],
    objective: [
      { name: 'close', terms: Array.from({ length: count }, (_, i) => ({ point: startOf(i), weight: -1 })) },
    ],
  });

  test.each([400, 2000])(
    '%i pieces of work for one pair of hands have a schedule within the budget',
    (count) => {
      const problem = byHand(count);
      expect(isLarge(problem)).toBe(true);
      const result = solve(problem, { budget: { work: 1_000_000 } });
      expect(result.status).toBe('feasible');
      expect(result.work).toBeLessThan(1_050_000);
    },
  );

  test('the same seed and budget give the same schedule, and a right one to start with is never lost', () => {
    const problem = byHand(40);
    const options = { budget: { work: 150_000 }, seed: 7 };
    const [one, two] = [solve(problem, options), solve(problem, options)];
    expect(one).toEqual(two);
    expect('levels' in one).toBe(true);
    const warmStart = 'schedule' in one ? one.schedule : { times: [] };
    const again = solve(problem, { budget: { work: 1 }, warmStart });
    expect('levels' in again && again.levels[0]?.value).toBe('levels' in one && one.levels[0]?.value);
  });

  test('a circle of lags is impossible, however many activities there are', () => {
    const problem = byHand(1000);
    const circle = {
      ...problem,
      lags: [...problem.lags, { from: startOf(4), to: startOf(0), weight: 0, rule: 0 }],
    };
    expect(solve(circle, { budget: { work: 1_000_000 } }).status).toBe('infeasible');
  });
});
