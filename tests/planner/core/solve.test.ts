import { describe, expect, test } from 'vitest';
import {
  endOf,
  solve,
  startOf,
  type Problem,
  type SolveOptions,
  type SolveResult,
} from '../../../src/planner/core/index.ts';
import { exhaustive } from './support/exhaustive.ts';
import { chance, randomProblem } from './support/random-problem.ts';

const solved = (problem: Problem, options: Partial<SolveOptions> = {}): SolveResult =>
  solve(problem, { budget: { work: 20_000_000 }, seed: 1, ...options });

/** The status, and what each level came to and cannot be below. */
function summary(result: SolveResult): unknown {
  if (result.status === 'infeasible' || result.status === 'unknown') return result.status;
  const [values, bounds] = [result.levels.map(({ value }) => value), result.levels.map(({ bound }) => bound)];
  return { status: result.status, values, bounds };
}

const nothing = { lags: [], resources: [], ovens: [], demands: [], groups: [], calendars: [], objective: [] };

/** Jobs for one pair of hands, all to be done as soon as possible. */
function oneMachine(lengths: readonly number[], more: Partial<Problem> = {}): Problem {
  const activities = lengths.map((length) => ({ least: length, most: length, release: 0, rule: 0 }));
  const claims = lengths.map((_, i) => ({ from: startOf(i), to: endOf(i), amount: 1, rule: 0 }));
  const all = [...activities, { least: 0, most: 0, rule: 0 }];
  return {
    ...nothing,
    activities: all,
    resources: [{ capacity: 1, claims }],
    ...more,
    lags: [
      ...lengths.map((_, i) => ({ from: endOf(i), to: startOf(lengths.length), weight: 0, rule: 0 })),
      ...(more.lags ?? []),
    ],
    objective: [{ name: 'end', terms: [{ point: startOf(lengths.length), weight: 1 }] }],
  };
}

describe('small problems with every kind of rule', () => {
  const SEEDS = 2500;
  test(`${SEEDS} seeds come to the same as trying everything`, { timeout: 60_000 }, () => {
    let possible = 0;
    for (let seed = 1; seed <= SEEDS; seed += 1) {
      const problem = randomProblem(seed);
      const best = exhaustive(problem);
      if (best) possible += 1;
      const expected = best ? { status: 'optimal', values: best, bounds: best } : 'infeasible';
      expect({ seed, found: summary(solved(problem)) }).toEqual({ seed, found: expected });
    }
    expect(possible).toBeGreaterThan(SEEDS / 4);
  });
});

describe('one machine with lags', () => {
  const JOBS = 5;

  /** The earliest end over all orders of the jobs, by longest paths; undefined: no order can be kept. */
  function bestOrder(lengths: readonly number[], lags: Problem['lags']): number | undefined {
    const ends: number[] = [];
    const tryOut = (order: readonly number[]): void => {
      const starts = lengths.map(() => 0);
      for (let round = 0; round <= JOBS; round += 1) {
        const before = starts.join(' ');
        const raise = (job: number, time: number): void => {
          starts[job] = Math.max(starts[job] ?? 0, time);
        };
        for (const { from, to, weight } of lags) raise(to >> 1, (starts[from >> 1] ?? 0) + weight);
        order.forEach((job, i) => {
          const next = order[i + 1];
          if (next !== undefined) raise(next, (starts[job] ?? 0) + (lengths[job] ?? 0));
        });
        if (starts.join(' ') !== before) continue;
        ends.push(Math.max(...starts.map((start, job) => start + (lengths[job] ?? 0))));
        return;
      }
    };
    const extend = (order: readonly number[]): void => {
      if (order.length === JOBS) tryOut(order);
      else lengths.forEach((_, job) => !order.includes(job) && extend([...order, job]));
    };
    extend([]);
    return ends.length === 0 ? undefined : Math.min(...ends);
  }

  test('200 seeds come to the same as trying every order', () => {
    for (let seed = 1; seed <= 200; seed += 1) {
      const below = chance(seed);
      const lengths = Array.from({ length: JOBS }, () => 1 + below(6));
      const lags = Array.from({ length: 1 + below(4) }, () => {
        const from = below(JOBS);
        const to = (from + 1 + below(JOBS - 1)) % JOBS;
        const weight = below(3) === 0 ? -3 - below(8) : below(9);
        return { from: startOf(from), to: startOf(to), weight, rule: 0 };
      });
      const best = bestOrder(lengths, lags);
      const expected =
        best === undefined ? 'infeasible' : { status: 'optimal', values: [best], bounds: [best] };
      expect({ seed, found: summary(solved(oneMachine(lengths, { lags }))) }).toEqual({
        seed,
        found: expected,
      });
    }
  });
});

describe('options', () => {
  const hard = oneMachine(
    Array.from({ length: 40 }, (_, i) => 3 + ((i * 7) % 11)),
    {
      lags: Array.from({ length: 30 }, (_, i) => ({
        from: startOf(i),
        to: startOf((i * 5 + 3) % 40),
        weight: -40 - ((i * 13) % 50),
        rule: 0,
      })),
    },
  );

  test('the same problem, seed and budget give the same answer', () => {
    for (const work of [30_000, 400_000]) {
      const [one, other] = [solved(hard, { budget: { work } }), solved(hard, { budget: { work } })];
      expect(one).toEqual(other);
    }
  });

  test('the budget of work is kept, give or take one round of conclusions', () => {
    for (const work of [50_000, 200_000])
      expect(solved(hard, { budget: { work } }).work).toBeLessThan(work + 50_000);
  });

  test('stop ends the search', () => {
    let asked = 0;
    const result = solved(hard, { budget: { stop: () => (asked += 1) > 0 } });
    expect(asked).toBeGreaterThan(0);
    expect(['unknown', 'feasible', 'optimal']).toContain(result.status);
  });

  test('any schedule will do: ends with the first, and its bounds are still true', () => {
    const any = solved(hard, { anyWillDo: true });
    const best = solved(hard);
    if (!('levels' in any) || !('levels' in best)) throw new Error('a schedule was expected');
    expect(any.levels[0]?.bound).toBeLessThanOrEqual(best.levels[0]?.value ?? 0);
    expect(any.levels[0]?.value).toBeGreaterThanOrEqual(best.levels[0]?.value ?? 0);
    expect(any.work).toBeLessThan(best.work);
  });

  test('each better schedule is told, the last one being the result', () => {
    const told: number[] = [];
    const result = solved(hard, { onImprovement: (levels) => told.push(levels[0]?.value ?? 0) });
    if (!('levels' in result)) throw new Error('a schedule was expected');
    expect(told).toEqual(told.toSorted((a, b) => b - a));
    expect(told.at(-1)).toBe(result.levels[0]?.value);
  });

  test('a warm start that is not right does no harm', () => {
    const times = new Int32Array(2 * hard.activities.length).fill(5);
    expect(summary(solved(hard, { warmStart: { times } }))).toEqual(summary(solved(hard)));
  });
});

describe('times', () => {
  test('points without bounds get a horizon that loses nothing', () => {
    const problem: Problem = {
      ...nothing,
      activities: [
        { least: 2, most: Infinity, rule: 0 },
        { least: 3, most: 3, rule: 0 },
      ],
      lags: [{ from: endOf(0), to: startOf(1), weight: 4, rule: 0 }],
      objective: [
        {
          name: 'span',
          terms: [
            { point: endOf(1), weight: 1 },
            { point: startOf(0), weight: -1 },
          ],
        },
      ],
    };
    expect(summary(solved(problem))).toEqual({ status: 'optimal', values: [9], bounds: [9] });
  });

  test('dates in seconds cost nothing', () => {
    const day = 86_400;
    const problem = oneMachine([600, 1200, 1800, 2400, 3000, 3600], {
      calendars: [{ closed: [{ from: 2 * 3600, to: day }] }],
    });
    const late: Problem = {
      ...problem,
      activities: problem.activities.map((activity) => ({ ...activity, calendar: 0, due: 4 * day })),
    };
    const result = solved(late);
    expect(summary(result)).toMatchObject({ status: 'optimal', values: [day + 5400] });
    expect(result.work).toBeLessThan(100_000);
  });

  test('a span that is too wide is refused, not cut', () => {
    const far: Problem = {
      ...nothing,
      activities: [{ least: 1, most: 1, release: 0, due: 2 ** 31, rule: 0 }],
    };
    expect(() => solved(far)).toThrow('use a coarser unit');
  });

  test('a circle of lags is no schedule', () => {
    const lags = [
      { from: startOf(0), to: startOf(1), weight: 5, rule: 0 },
      { from: startOf(1), to: startOf(0), weight: -4, rule: 0 },
    ];
    expect(solved(oneMachine([1, 1], { lags })).status).toBe('infeasible');
  });
});
