import { changeTime, excludes } from './compile-ovens.ts';
import { endOf, startOf, type Level, type Problem, type Schedule, type StateDemand } from './problem.ts';

/** What a schedule does wrong, in words for developers; empty: it meets the whole problem. Shares nothing with the search. */
export function faults(problem: Problem, schedule: Schedule): string[] {
  return [
    ...activityFaults(problem, schedule),
    ...lagFaults(problem, schedule),
    ...resourceFaults(problem, schedule),
    ...ovenFaults(problem, schedule),
  ];
}

/** The value of a level in a schedule. */
export function levelValue(level: Level, { times }: Schedule): number {
  let value = 0;
  for (const { point, weight } of level.terms) value += weight * (times[point] ?? 0);
  for (const { activity, from, to, weight } of level.overlaps ?? []) {
    const start = Math.max(from, times[startOf(activity)] ?? 0);
    const end = Math.min(to, times[endOf(activity)] ?? 0);
    if (start < end) value += weight;
  }
  return value;
}

function activityFaults(problem: Problem, { times }: Schedule): string[] {
  const found: string[] = [];
  problem.activities.forEach(({ least, most, release, due, calendar }, activity) => {
    const start = times[startOf(activity)] ?? 0;
    const end = times[endOf(activity)] ?? 0;
    if (end - start < least || end - start > most) found.push(`activity ${activity} has a wrong length`);
    if (release !== undefined && start < release)
      found.push(`activity ${activity} starts before its release`);
    if (due !== undefined && end > due) found.push(`activity ${activity} ends after it is due`);
    if (calendar === undefined || end <= start) return;
    for (const { from, to } of problem.calendars[calendar]?.closed ?? [])
      if (Math.max(from, start) < Math.min(to, end)) found.push(`activity ${activity} lies in closed time`);
  });
  return found;
}

function lagFaults(problem: Problem, { times }: Schedule): string[] {
  return problem.lags.flatMap(({ from, to, weight }, lag) =>
    (times[to] ?? 0) < (times[from] ?? 0) + weight ? [`lag ${lag} is not kept`] : [],
  );
}

interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly amount: number;
}

function isTooMuch(stretches: readonly Stretch[], capacity: number): boolean {
  const real = stretches.filter(({ from, to }) => from < to);
  return real.some(
    ({ from: time }) =>
      real.reduce((sum, { from, to, amount }) => sum + (from <= time && time < to ? amount : 0), 0) >
      capacity,
  );
}

function resourceFaults(problem: Problem, { times }: Schedule): string[] {
  return problem.resources.flatMap(({ capacity, claims }, resource) => {
    const taken = claims.map(({ from, to, amount }) => ({
      from: times[from] ?? 0,
      to: times[to] ?? 0,
      amount,
    }));
    return isTooMuch(taken, capacity) ? [`resource ${resource} is taken beyond its capacity`] : [];
  });
}

function ovenFaults(problem: Problem, { times, ovenOf }: Schedule): string[] {
  const at = (point: number): number => times[point] ?? 0;
  const found: string[] = [];
  problem.groups.forEach(({ candidates, demands }, group) => {
    if (candidates.length > 0 && !candidates.includes(ovenOf[group] ?? -1))
      found.push(`group ${group} goes nowhere`);
    demands.slice(1).forEach((index, place) => {
      const before = problem.demands[demands[place] ?? -1];
      const demand = problem.demands[index];
      if (before && demand && at(demand.start) < at(before.end)) found.push(`group ${group} is out of order`);
    });
  });
  problem.ovens.forEach((oven, index) => {
    const here = problem.demands.filter(
      (demand) => ovenOf[demand.group] === index && at(demand.end) > at(demand.start),
    );
    const stretches = here.map(({ start, end, amount }) => ({ from: at(start), to: at(end), amount }));
    if (isTooMuch(stretches, oven.capacity)) found.push(`oven ${index} is too full`);
    for (const a of here) {
      const warmUp = oven.warmUp[a.state];
      if (warmUp !== undefined) {
        if (oven.begin !== undefined && at(a.start) < at(oven.begin) + warmUp)
          found.push(`oven ${index} is not warm`);
        if (oven.finish !== undefined && at(a.end) > at(oven.finish))
          found.push(`oven ${index} is already off`);
      }
      if (!a.takesOver && at(a.start) < (oven.ready?.[a.state] ?? -Infinity))
        found.push(`oven ${index} is not ready`);
      for (const b of here) {
        if (a === b || (a.settled && b.settled)) continue;
        const wait =
          a.group === b.group && b.takesOver && isBefore(problem, a, b) ? 0 : changeTime(oven, a, b);
        if (excludes(oven, a, b)) {
          const back =
            a.group === b.group && a.takesOver && isBefore(problem, b, a) ? 0 : changeTime(oven, b, a);
          if (at(b.start) < at(a.end) + wait && at(a.start) < at(b.end) + back)
            found.push(`oven ${index} cannot change so fast`);
        } else if (b.shut) {
          const inside = (time: number): boolean => at(b.start) < time && time < at(b.end);
          if (inside(at(a.start)) && !staysIn(problem, at, a, -1))
            found.push(`oven ${index} is opened to put in`);
          if (inside(at(a.end)) && !staysIn(problem, at, a, 1))
            found.push(`oven ${index} is opened to take out`);
        }
      }
    }
  });
  return found;
}

function isBefore(problem: Problem, a: StateDemand, b: StateDemand): boolean {
  const order = problem.groups[a.group]?.demands ?? [];
  return order.indexOf(problem.demands.indexOf(a)) < order.indexOf(problem.demands.indexOf(b));
}

/** Whether the load stays in on that side: the neighbour in its group meets it, and has a length or stays in itself. */
function staysIn(
  problem: Problem,
  at: (point: number) => number,
  demand: StateDemand,
  side: -1 | 1,
): boolean {
  const order = problem.groups[demand.group]?.demands ?? [];
  const place = order.indexOf(problem.demands.indexOf(demand));
  const next = problem.demands[order[place + side] ?? -1];
  if (!next) return false;
  const meets = side < 0 ? at(next.end) === at(demand.start) : at(next.start) === at(demand.end);
  return meets && (at(next.end) > at(next.start) || staysIn(problem, at, next, side));
}
