import type { Level, Point, Problem } from './problem.ts';
import type { Windows } from './windows.ts';

/** The time between two points that a level wants short. */
export interface Wait {
  readonly from: Point;
  readonly to: Point;
  readonly cost: number;
  /** What it is at least, by windows and single lags, and at most. */
  readonly least: number;
  readonly most: number;
}

/** A level as waits and what is left. Terms of opposite weight that follow each other, as those of a wait do, make one. */
function split({ terms }: Level): {
  readonly waits: readonly Omit<Wait, 'least' | 'most'>[];
  readonly rest: Level['terms'];
} {
  const waits: Omit<Wait, 'least' | 'most'>[] = [];
  const rest: { readonly point: Point; readonly weight: number }[] = [];
  for (let i = 0; i < terms.length; i += 1) {
    const [one, next] = [terms[i], terms[i + 1]];
    if (!one) continue;
    if (next && one.weight === -next.weight) {
      const [from, to] = one.weight > 0 ? [next.point, one.point] : [one.point, next.point];
      waits.push({ from, to, cost: Math.abs(one.weight) });
      i += 1;
    } else rest.push(one);
  }
  return { waits, rest };
}

/** Measures distances by windows and single lags. */
function measure(
  { lags, activities }: Problem,
  { earliest, latest }: Windows,
): (from: Point, to: Point) => number {
  const direct = new Map<number, number>();
  const key = (from: Point, to: Point): number => from * 2 * activities.length + to;
  for (const { from, to, weight } of lags)
    direct.set(key(from, to), Math.max(weight, direct.get(key(from, to)) ?? -Infinity));
  return (from, to) =>
    Math.max(
      (earliest[to] ?? 0) - (latest[from] ?? 0),
      direct.get(key(from, to)) ?? -Infinity,
      to & 1 ? (activities[to >> 1]?.least ?? 0) + (direct.get(key(from, to - 1)) ?? -Infinity) : -Infinity,
    );
}

/** What each level cannot be below by windows and single lags. */
export function boundsOf(problem: Problem, windows: Windows): number[] {
  const distance = measure(problem, windows);
  const { earliest, latest } = windows;
  return problem.objective.map((level) => {
    const { waits, rest } = split(level);
    let bound = 0;
    for (const { from, to, cost } of waits) bound += cost * distance(from, to);
    for (const { point, weight } of rest)
      bound += weight * ((weight > 0 ? earliest[point] : latest[point]) ?? 0);
    for (const { weight } of level.overlaps ?? []) bound += Math.min(0, weight);
    return bound;
  });
}

/** The waits of the first level, where it is made of nothing else. */
export function firstWaits(problem: Problem, windows: Windows): Wait[] {
  const [first] = problem.objective;
  if (!first || (first.overlaps ?? []).length > 0) return [];
  const { waits, rest } = split(first);
  if (rest.length > 0) return [];
  const distance = measure(problem, windows);
  return waits.map(({ from, to, cost }) => ({
    from,
    to,
    cost,
    least: distance(from, to),
    most: -distance(to, from),
  }));
}
