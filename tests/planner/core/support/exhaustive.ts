import { faults, levelValue } from '../../../../src/planner/core/check.ts';
import { endOf, startOf, type Problem } from '../../../../src/planner/core/index.ts';
import { HORIZON } from './random-problem.ts';

/** Tries every schedule between 0 and the horizon; the best values of the levels, or undefined when there is none. */
export function exhaustive(problem: Problem): number[] | undefined {
  const times = new Int32Array(2 * problem.activities.length);
  const ovenOf = new Int32Array(problem.groups.length);
  let best: number[] | undefined;
  const early = problem.activities.map((_, activity) =>
    problem.lags.filter(({ from, to }) => Math.max(from >> 1, to >> 1) === activity),
  );
  const closed = (activity: number): readonly { readonly from: number; readonly to: number }[] =>
    problem.calendars[problem.activities[activity]?.calendar ?? -1]?.closed ?? [];
  const leaf = (): void => {
    const schedule = { times, ovenOf };
    const values = problem.objective.map((level) => levelValue(level, schedule));
    if (best && !isLess(values, best)) return;
    if (faults(problem, schedule).length === 0) best = values;
  };
  const assign = (group: number): void => {
    const found = problem.groups[group];
    if (!found) {
      leaf();
      return;
    }
    for (const oven of found.candidates) {
      ovenOf[group] = oven;
      assign(group + 1);
    }
  };
  const place = (activity: number): void => {
    const found = problem.activities[activity];
    if (!found) {
      assign(0);
      return;
    }
    const due = found.due ?? HORIZON;
    for (let start = found.release ?? 0; start + found.least <= due; start += 1)
      for (let end = start + found.least; end <= Math.min(due, start + found.most); end += 1) {
        times[startOf(activity)] = start;
        times[endOf(activity)] = end;
        if (end > start && closed(activity).some(({ from, to }) => from < end && start < to)) continue;
        if (early[activity]?.every(({ from, to, weight }) => (times[to] ?? 0) >= (times[from] ?? 0) + weight))
          place(activity + 1);
      }
  };
  place(0);
  return best;
}

function isLess(a: readonly number[], b: readonly number[]): boolean {
  for (let i = 0; i < a.length; i += 1) {
    if ((a[i] ?? 0) < (b[i] ?? 0)) return true;
    if ((a[i] ?? 0) > (b[i] ?? 0)) return false;
  }
  return false;
}
