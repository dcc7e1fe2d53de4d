import { endOf, startOf, type Level, type Problem } from './problem.ts';

/** Work for one pair of hands: how long, and how late it may end. */
interface Job {
  readonly activity: number;
  readonly length: number;
  readonly due: number;
}

interface Closed {
  readonly from: number;
  readonly to: number;
}

/**
 * What a level cannot be below because hands do one thing at a time. The sum of starts, all wanted late, is looked at with
 * time turned round and work that may be interrupted: then it is best to go on with what has the shortest rest left (SRPT), and no
 * schedule without interruptions is better. A point that lies before all that work lies before its whole length. Undefined: the
 * level is of another kind. `latest` says how late a point may be at most.
 */
export function machineBound(
  problem: Problem,
  level: Level,
  latest: (point: number) => number,
): number | undefined {
  if (level.terms.some(({ weight }) => weight !== -1) || (level.overlaps ?? []).length > 0) return undefined;
  let best: number | undefined;
  for (const jobs of machines(problem, latest)) {
    const closed = closedFor(problem, jobs);
    const bound =
      level.terms.length === 1
        ? -beginBefore(problem, level.terms[0]?.point ?? 0, jobs, closed, latest)
        : sumOfStarts(level, jobs, closed, latest);
    best = Math.max(best ?? -Infinity, bound);
  }
  return best;
}

/** For each resource, the activities of fixed length of which no two fit side by side. */
function machines({ activities, resources }: Problem, latest: (point: number) => number): Job[][] {
  return resources.flatMap(({ capacity, claims }) => {
    const jobs = claims.flatMap(({ from, to, amount }): Job[] => {
      const activity = activities[from >> 1];
      const isWhole = activity && from === startOf(from >> 1) && to === endOf(from >> 1);
      if (!isWhole || activity.least !== activity.most || activity.least <= 0 || 2 * amount <= capacity)
        return [];
      return [{ activity: from >> 1, length: activity.least, due: latest(to) }];
    });
    const known = new Set(jobs.map(({ activity }) => activity));
    return jobs.length > 1 && known.size === jobs.length ? [jobs] : [];
  });
}

/** When none of the jobs may be worked on; nothing unless all keep the same calendar. */
function closedFor({ activities, calendars }: Problem, jobs: readonly Job[]): readonly Closed[] {
  const [first] = jobs;
  const calendar = first && activities[first.activity]?.calendar;
  if (calendar === undefined || jobs.some((job) => activities[job.activity]?.calendar !== calendar))
    return [];
  return (calendars[calendar]?.closed ?? []).filter(({ from, to }) => from < to).toReversed();
}

/** The most that the starts can sum up to; what is no job is taken at its latest. As a bound of the level, so negated. */
function sumOfStarts(
  { terms }: Level,
  jobs: readonly Job[],
  closed: readonly Closed[],
  latest: (point: number) => number,
): number {
  const isTerm = new Map<number, number>();
  for (const { point } of terms) isTerm.set(point, (isTerm.get(point) ?? 0) + 1);
  const counted = jobs.filter(({ activity }) => isTerm.get(startOf(activity)) === 1);
  let bound = 0;
  const inside = new Set(counted.map(({ activity }) => startOf(activity)));
  for (const { point } of terms) if (!inside.has(point)) bound -= latest(point);
  for (const start of shortestRest(counted, closed)) bound -= start;
  return bound;
}

/** How late a point can be that comes before all of some jobs. */
function beginBefore(
  problem: Problem,
  point: number,
  jobs: readonly Job[],
  closed: readonly Closed[],
  latest: (point: number) => number,
): number {
  const after = new Set(
    problem.lags.flatMap(({ from, to, weight }) => (from === point && weight >= 0 ? [to] : [])),
  );
  const mine = jobs.filter(({ activity }) => after.has(startOf(activity)));
  return Math.min(latest(point), ...shortestRest(mine, closed));
}

/**
 * The starts in the best schedule with interruptions, from the latest due time down: at each time, of what may already be
 * worked on, what has the least left.
 */
function shortestRest(jobs: readonly Job[], closed: readonly Closed[]): number[] {
  const waiting = jobs.toSorted((a, b) => b.due - a.due);
  const open: { left: number }[] = [];
  const starts: number[] = [];
  let next = 0;
  let shut = 0;
  let now = waiting[0]?.due ?? 0;
  while (starts.length < jobs.length) {
    if (open.length === 0) now = Math.min(now, waiting[next]?.due ?? now);
    for (let stretch = closed[shut]; stretch && stretch.to >= now; stretch = closed[shut]) {
      if (stretch.from < now) now = stretch.from;
      shut += 1;
    }
    for (let job = waiting[next]; job && job.due >= now; job = waiting[next]) {
      open.push({ left: job.length });
      next += 1;
    }
    let shortest = open[0];
    for (const job of open) if (shortest && job.left < shortest.left) shortest = job;
    if (!shortest) continue;
    const until = Math.max(waiting[next]?.due ?? -Infinity, closed[shut]?.to ?? -Infinity);
    const work = Math.min(shortest.left, now - until);
    shortest.left -= work;
    now -= work;
    if (shortest.left > 0) continue;
    open.splice(open.indexOf(shortest), 1);
    starts.push(now);
  }
  return starts;
}
