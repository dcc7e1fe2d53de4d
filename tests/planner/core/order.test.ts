import { expect, test } from 'vitest';
import { faults } from '../../../src/planner/core/check.ts';
import { endOf, resourceOrder, solve, startOf, type Problem } from '../../../src/planner/core/index.ts';
import { chance, randomProblem } from './support/random-problem.ts';

/** Another schedule under the lags of the problem and of an order: lengths by chance, each point as early as it may be and a bit later. */
function otherTimes(
  problem: Problem,
  lags: readonly { readonly from: number; readonly to: number; readonly weight: number }[],
  below: (limit: number) => number,
): Int32Array | undefined {
  const times = new Int32Array(2 * problem.activities.length);
  problem.activities.forEach(({ release }, activity) => {
    times[startOf(activity)] = (release ?? 0) + (below(3) === 0 ? below(8) : 0);
  });
  const lengths = problem.activities.map(({ least, most }) => least + below(Math.min(most - least, 3) + 1));
  for (let round = 0; round < 100; round += 1) {
    let moved = false;
    const lift = (point: number, time: number): void => {
      if (time <= (times[point] ?? 0)) return;
      times[point] = time;
      moved = true;
    };
    problem.activities.forEach((_, activity) => {
      lift(endOf(activity), (times[startOf(activity)] ?? 0) + (lengths[activity] ?? 0));
      lift(startOf(activity), (times[endOf(activity)] ?? 0) - (problem.activities[activity]?.most ?? 0));
    });
    for (const { from, to, weight } of lags) lift(to, (times[from] ?? 0) + weight);
    if (!moved) return times;
  }
  return undefined;
}

test('whatever the times are, the order of a schedule keeps hands, ovens and doors apart', () => {
  const wrong: string[] = [];
  let tried = 0;
  for (let seed = 1; seed <= 600; seed += 1) {
    const given = randomProblem(seed);
    const absolute = { calendars: [], objective: [] };
    const problem: Problem = {
      ...given,
      ...absolute,
      activities: given.activities.map(({ least, most, rule, release = 0 }) => ({
        least,
        most,
        rule,
        release,
      })),
      ovens: given.ovens.map((oven) => ({ ...oven, ready: [] })),
    };
    const result = solve(problem, { budget: { work: 20_000 }, anyWillDo: true, seed });
    if (!('schedule' in result)) continue;
    const lags = [...problem.lags, ...resourceOrder(problem, result.schedule)];
    const kept = lags.filter(
      ({ from, to, weight }) =>
        (result.schedule.times[to] ?? 0) < (result.schedule.times[from] ?? 0) + weight,
    );
    if (kept.length > 0) wrong.push(`seed ${seed}: the schedule breaks its own order`);
    const below = chance(seed);
    for (let turn = 0; turn < 10; turn += 1) {
      const times = otherTimes(problem, lags, below);
      if (!times) continue;
      tried += 1;
      const found = faults(problem, { times, ovenOf: result.schedule.ovenOf });
      if (found.length > 0) wrong.push(`seed ${seed}: ${found.join('; ')}`);
    }
  }
  expect(wrong).toEqual([]);
  expect(tried).toBeGreaterThan(1000);
});

test('a unit is handed on from claim to claim, and what the lags say anyway is left out', () => {
  const claim = (activity: number) => ({
    from: startOf(activity),
    to: endOf(activity),
    amount: 1,
    rule: activity,
  });
  const problem: Problem = {
    activities: Array.from({ length: 4 }, (_, rule) => ({ least: 2, most: 2, rule })),
    lags: [{ from: endOf(0), to: startOf(2), weight: 0, rule: 9 }],
    resources: [{ capacity: 2, claims: [0, 1, 2, 3].map(claim) }],
    ovens: [],
    demands: [],
    groups: [],
    calendars: [],
    objective: [],
  };
  const schedule = { times: Int32Array.of(0, 2, 0, 2, 2, 4, 2, 4), ovenOf: new Int32Array(0) };
  expect(resourceOrder(problem, schedule)).toEqual([
    {
      from: endOf(1),
      to: startOf(3),
      weight: 0,
      cause: { kind: 'resource', resource: 0, before: claim(1), after: claim(3) },
    },
  ]);
});
