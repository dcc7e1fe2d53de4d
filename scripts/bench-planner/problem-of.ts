import { startOf, type Problem } from '../../src/planner/core/index.ts';
import type { Instance } from './progen-max.ts';

/** An instance as a problem for the solver: the project starts at 0 and is to end early. */
export function problemOf({ durations, lags, demands, capacities }: Instance): Problem {
  const last = durations.length - 1;
  return {
    activities: durations.map((duration, i) => ({
      least: duration,
      most: duration,
      release: 0,
      rule: 0,
      ...(i === 0 && { due: duration }),
    })),
    lags: [
      ...lags.map(({ from, to, lag }) => ({ from: startOf(from), to: startOf(to), weight: lag, rule: 0 })),
      ...durations.map((duration, i) => ({ from: startOf(i), to: startOf(last), weight: duration, rule: 0 })),
    ],
    resources: capacities.map((capacity, kind) => ({
      capacity,
      claims: durations.flatMap((_, i) => {
        const amount = demands[i]?.[kind] ?? 0;
        return amount > 0 ? [{ from: 2 * i, to: 2 * i + 1, amount, rule: 0 }] : [];
      }),
    })),
    ovens: [],
    demands: [],
    groups: [],
    calendars: [],
    objective: [{ name: 'makespan', terms: [{ point: startOf(last), weight: 1 }] }],
  };
}
