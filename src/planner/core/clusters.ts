import type { Problem } from './problem.ts';

/** Activities that are placed together, as one needs the other near. */
export interface Clusters {
  readonly members: readonly (readonly number[])[];
  /** By activity; -1: it is placed when all others are. */
  readonly of: Int32Array;
  /** By cluster: those that something in it must come before. */
  readonly followers: readonly ReadonlySet<number>[];
  readonly leaders: readonly ReadonlySet<number>[];
}

/** Activities that may not be far from each other share a cluster up to this many, the closest first. */
const MOST_TOGETHER = 24;
/** So many are looked at for what lies between the ends of a claim. */
const MOST_BETWEEN = 100;

/**
 * Which activities belong together: what one claim or one group of demands spans, with what lies between, and what must follow
 * soon, up to so many. With 1 only what cannot be parted.
 */
export function clustersOf(problem: Problem, most = MOST_TOGETHER): Clusters {
  const isBare = most === 1;
  const count = problem.activities.length;
  const boss = Int32Array.from({ length: count }, (_, activity) => activity);
  const size = new Int32Array(count).fill(1);
  const find = (activity: number): number => {
    let top = activity;
    while (boss[top] !== top) top = boss[top] ?? 0;
    for (let at = activity; at !== top;) {
      const next = boss[at] ?? 0;
      boss[at] = top;
      at = next;
    }
    return top;
  };
  const unite = (one: number, other: number, most: number): void => {
    const [a, b] = [find(one), find(other)];
    const both = (size[a] ?? 0) + (size[b] ?? 0);
    if (a === b || both > most) return;
    boss[Math.max(a, b)] = Math.min(a, b);
    size[Math.min(a, b)] = both;
  };
  const isLast = placedLast(problem);
  const between = betweenIn(problem);
  for (const { claims } of problem.resources)
    for (const { from, to } of claims) {
      if (from >> 1 === to >> 1) continue;
      unite(from >> 1, to >> 1, Infinity);
      if (isBare) continue;
      for (const activity of between(from >> 1, to >> 1)) unite(from >> 1, activity, Infinity);
    }
  for (const { demands } of problem.groups)
    for (const index of demands) {
      const demand = problem.demands[index];
      const first = problem.demands[demands[0] ?? -1];
      if (!demand || !first) continue;
      unite(first.start >> 1, demand.start >> 1, Infinity);
      unite(demand.start >> 1, demand.end >> 1, Infinity);
    }
  if (isBare) return numbered(problem, isLast, find);
  const near = problem.lags.filter(
    ({ from, to, weight }) => weight < 0 && isLast[from >> 1] === 0 && isLast[to >> 1] === 0,
  );
  for (const { from, to } of near.toSorted((a, b) => b.weight - a.weight)) unite(from >> 1, to >> 1, most);
  return numbered(problem, isLast, find);
}

/** The activities that come after one and before another; none where that is too much to look through. */
function betweenIn(problem: Problem): (first: number, last: number) => number[] {
  const after: number[][] = problem.activities.map(() => []);
  const before: number[][] = problem.activities.map(() => []);
  for (const { from, to, weight } of problem.lags) {
    if (weight < 0 || from >> 1 === to >> 1) continue;
    after[from >> 1]?.push(to >> 1);
    before[to >> 1]?.push(from >> 1);
  }
  const reached = (from: number, next: readonly number[][]): Set<number> => {
    const seen = new Set([from]);
    for (const activity of seen) {
      if (seen.size > MOST_BETWEEN) break;
      for (const other of next[activity] ?? []) seen.add(other);
    }
    return seen;
  };
  return (first, last) => {
    const [later, earlier] = [reached(first, after), reached(last, before)];
    return [...later].filter((activity) => earlier.has(activity));
  };
}

function numbered(problem: Problem, isLast: Uint8Array, find: (activity: number) => number): Clusters {
  const of = new Int32Array(problem.activities.length).fill(-1);
  const members: number[][] = [];
  const known = new Map<number, number>();
  problem.activities.forEach((_, activity) => {
    if (isLast[activity] === 1) return;
    const top = find(activity);
    const cluster = known.get(top) ?? members.length;
    known.set(top, cluster);
    of[activity] = cluster;
    (members[cluster] ??= []).push(activity);
  });
  const followers = members.map(() => new Set<number>());
  const leaders = members.map(() => new Set<number>());
  for (const { from, to, weight } of problem.lags) {
    const [a, b] = [of[from >> 1] ?? -1, of[to >> 1] ?? -1];
    if (a < 0 || b < 0 || a === b || weight < 0) continue;
    followers[a]?.add(b);
    leaders[b]?.add(a);
  }
  return { members, of, followers, leaders };
}

/** The ends of ovens' hot stretches, and points that wait for or hold up nearly everything. */
function placedLast(problem: Problem): Uint8Array {
  const isLast = new Uint8Array(problem.activities.length);
  const degree = new Int32Array(problem.activities.length);
  for (const { from, to } of problem.lags) {
    degree[from >> 1] = (degree[from >> 1] ?? 0) + 1;
    degree[to >> 1] = (degree[to >> 1] ?? 0) + 1;
  }
  problem.activities.forEach(({ most }, activity) => {
    if (most === 0 && (degree[activity] ?? 0) > MOST_TOGETHER) isLast[activity] = 1;
  });
  for (const { begin, finish } of problem.ovens)
    for (const point of [begin, finish]) if (point !== undefined) isLast[point >> 1] = 1;
  const needed = [
    ...problem.resources.flatMap(({ claims }) => claims.flatMap(({ from, to }) => [from, to])),
    ...problem.demands.flatMap(({ start, end }) => [start, end]),
  ];
  for (const point of needed) isLast[point >> 1] = 0;
  return isLast;
}
