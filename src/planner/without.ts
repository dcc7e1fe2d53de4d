import { endOf, startOf, type Lag, type Problem, type StateDemand } from './core/index.ts';

/** A problem without everything that came from the given rules. */
export function without(problem: Problem, rules: ReadonlySet<number>): Problem {
  const stays = (part: { readonly rule: number }): boolean => !rules.has(part.rule);
  return {
    ...problem,
    activities: problem.activities.map((activity) => {
      const { calendar, calendarRule, ...rest } = activity;
      return calendar === undefined || calendarRule === undefined || !rules.has(calendarRule)
        ? activity
        : rest;
    }),
    lags: problem.lags.filter(stays),
    resources: problem.resources.map((resource) => ({ ...resource, claims: resource.claims.filter(stays) })),
    ...keepDemands(problem, problem.demands, stays),
  };
}

/** The given demands in place of a problem's, those that stay, with the groups that they make. */
export function keepDemands(
  { groups }: Pick<Problem, 'groups'>,
  demands: readonly StateDemand[],
  stays: (demand: StateDemand, index: number) => boolean,
): Pick<Problem, 'demands' | 'groups'> {
  const kept: StateDemand[] = [];
  const placeOf = new Map<number, number>();
  demands.forEach((demand, index) => {
    if (stays(demand, index)) placeOf.set(index, kept.push(demand) - 1);
  });
  return {
    demands: kept,
    groups: groups.map((group) => ({
      ...group,
      demands: group.demands.flatMap((index) => placeOf.get(index) ?? []),
    })),
  };
}

/** The numbers of the rules that a problem has parts from. */
export function presentRules(problem: Problem): number[] {
  const parts = [...problem.lags, ...problem.demands, ...problem.resources.flatMap(({ claims }) => claims)];
  const calendars = problem.activities.flatMap(({ calendarRule }) => calendarRule ?? []);
  return [...new Set([...parts.map(({ rule }) => rule), ...calendars])];
}

/**
 * Everything about points that always holds, as least distances: lengths are distances too, and release and due are
 * distances from one point more, after the last of the problem.
 */
export function asLags(problem: Problem): { readonly points: number; readonly lags: readonly Lag[] } {
  const origin = 2 * problem.activities.length;
  const own = problem.activities.flatMap(({ least, most, release, due, rule }, activity): Lag[] => {
    const [start, end] = [startOf(activity), endOf(activity)];
    return [
      { from: start, to: end, weight: least, rule },
      ...(most < Infinity ? [{ from: end, to: start, weight: -most, rule }] : []),
      ...(release !== undefined ? [{ from: origin, to: start, weight: release, rule }] : []),
      ...(due !== undefined ? [{ from: end, to: origin, weight: -due, rule }] : []),
    ];
  });
  return { points: origin + 1, lags: [...own, ...problem.lags] };
}
