import type { Step, Workload } from '../plan/index.ts';

import { endOf, faults, startOf, type Problem, type Schedule } from './core/index.ts';

/**
 * A schedule in which rests begin as soon as they can, and all else stays where it is: what goes into the cold goes there from the
 * hands that made it, and nobody is called hours later to carry it. Where its shelf or tool is not free yet, a rest begins when it
 * is, or stays.
 *
 * On the ladder a rest counts as though it began as late as it can, so that no level gets worse. What has a limit to its wait is
 * left to the ladder, and what rests in an oven to the oven.
 */
export function withRestsAtOnce(workload: Workload, problem: Problem, schedule: Schedule): Schedule {
  const times = Int32Array.from(schedule.times);
  let activity = 0;
  for (const { steps } of workload.components)
    for (const [place, step] of steps.entries()) {
      if (place > 0 && restsAtOnce(step)) beginSooner(problem, { ...schedule, times }, activity);
      activity += 1;
    }
  return { ...schedule, times };
}

const restsAtOnce = ({ length, hands, oven, within }: Step): boolean =>
  length.kind === 'rest' && hands === 'free' && oven === undefined && within === undefined;

/** Moves the start of one activity forward in `schedule.times`, as far as the rest of the schedule allows. */
function beginSooner(problem: Problem, schedule: Schedule & { times: Int32Array }, activity: number): void {
  const { times } = schedule;
  const at = (point: number): number => times[point] ?? 0;
  const start = startOf(activity);
  const told = at(start);
  const { release = -Infinity, most = Infinity } = problem.activities[activity] ?? {};
  const soonest = problem.lags
    .filter(({ to }) => to === start)
    .reduce(
      (late, { from, weight }) => Math.max(late, at(from) + weight),
      Math.max(release, at(endOf(activity)) - most),
    );
  if (soonest >= told) return;
  const resources = problem.resources.filter(({ claims }) =>
    claims.some(({ from, to }) => from === start || to === start),
  );
  const freed = resources
    .flatMap(({ claims }) => claims.map(({ to }) => at(to)))
    .filter((moment) => soonest < moment && moment < told)
    .toSorted((a, b) => a - b);
  const touched: Problem = { ...problem, resources, lags: [], ovens: [], demands: [], groups: [] };
  for (const moment of new Set([soonest, ...freed])) {
    times[start] = moment;
    if (faults(touched, schedule).length === 0) return;
  }
  times[start] = told;
}
