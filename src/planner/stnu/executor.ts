import type { DispatchNetwork, WaitLink } from './network.ts';

/**
 * What has happened up to a moment. Plain data, never changed: each observation makes a new one. Times are those of the network,
 * counted from point 0.
 */
export interface Execution {
  /** The time of each point, or undefined while it has none. */
  readonly times: readonly (number | undefined)[];
  /** The latest time observed. */
  readonly now: number;
}

/** How a point stands. */
export type Standing =
  | { readonly kind: 'done'; readonly time: number }
  /** Nature decides when, within these times. */
  | { readonly kind: 'nature'; readonly earliest: number; readonly latest: number }
  /** Other points must come first. */
  | { readonly kind: 'blocked'; readonly by: readonly number[] }
  /** It may be done from `notBefore` to `notAfter` (perhaps Infinity), both included. */
  | {
      readonly kind: 'open';
      readonly notBefore: number;
      readonly notAfter: number;
      /** Ends of contingent links that are waited for: as each of them comes, `notBefore` may become earlier. */
      readonly unless: readonly number[];
    };

/**
 * Executes a network in real time: tells for every point when it may come, and is told when it came. Whoever does each point of
 * their own while it is open, and never lets a `notAfter` pass, keeps every link of the network that was found controllable, whatever nature
 * does within its ranges: only links of a point with its neighbours need to be looked at (see L. Hunsberger and R. Posenato, Foundations of
 * dispatchability for simple temporal networks with uncertainty, ICAART 2024). What happens at one and the same time may be told in any order,
 * but nature's before one's own.
 */
export class Executor {
  readonly dispatch: DispatchNetwork;
  /** By point: points that bound it from below (`x >= x[other] - weight`), and from above (`x <= x[other] + weight`). */
  private readonly below: readonly Bound[][];
  private readonly above: readonly Bound[][];
  private readonly waits: readonly WaitLink[][];
  /** By point: the contingent link that ends there, or -1. */
  private readonly ending: Int32Array;

  constructor(dispatch: DispatchNetwork) {
    const { points, links, waits, contingent } = dispatch;
    this.dispatch = dispatch;
    const lists = <T>(): T[][] => Array.from({ length: points }, () => []);
    this.below = lists<Bound>();
    this.above = lists<Bound>();
    this.waits = lists<WaitLink>();
    for (const { from, to, weight } of links) {
      this.below[from]?.push({ point: to, weight });
      this.above[to]?.push({ point: from, weight });
    }
    for (const wait of waits) this.waits[wait.point]?.push(wait);
    this.ending = new Int32Array(points).fill(-1);
    contingent.forEach(({ end }, index) => (this.ending[end] = index));
  }

  /** Point 0 has just happened, and nothing else. */
  begin(): Execution {
    return {
      times: Array.from({ length: this.dispatch.points }, (_, i) => (i === 0 ? 0 : undefined)),
      now: 0,
    };
  }

  /** A point came at this time. It is taken as it is told, in its window or not. */
  observe({ times, now }: Execution, point: number, time: number): Execution {
    return { times: times.with(point, time), now: Math.max(now, time) };
  }

  standing({ times }: Execution, point: number): Standing {
    const done = times[point];
    if (done !== undefined) return { kind: 'done', time: done };
    const link = this.dispatch.contingent[this.ending[point] ?? -1];
    if (link) {
      const start = times[link.start];
      return start === undefined
        ? { kind: 'blocked', by: [link.start] }
        : { kind: 'nature', earliest: start + link.low, latest: start + link.high };
    }
    const by: number[] = [];
    const unless: number[] = [];
    let notBefore = 0;
    for (const { point: other, weight } of this.below[point] ?? []) {
      const time = times[other];
      if (time !== undefined) notBefore = Math.max(notBefore, time - weight);
      else if (weight < 0) by.push(other);
    }
    for (const { contingent, time } of this.waits[point] ?? []) {
      const { start = 0, end = 0 } = this.dispatch.contingent[contingent] ?? {};
      const begun = times[start];
      if (begun === undefined) by.push(start);
      else if (times[end] === undefined) {
        notBefore = Math.max(notBefore, begun + time);
        unless.push(end);
      }
    }
    if (by.length > 0) return { kind: 'blocked', by: [...new Set(by)] };
    return { kind: 'open', notBefore, notAfter: this.notAfter(times, point), unless };
  }

  /** The earliest `notAfter` of all points that are open: by then one of them must have been done. Infinity where there is none. */
  deadline(execution: Execution): number {
    let earliest = Infinity;
    for (let point = 0; point < this.dispatch.points; point += 1) {
      const standing = this.standing(execution, point);
      if (standing.kind === 'open') earliest = Math.min(earliest, standing.notAfter);
    }
    return earliest;
  }

  private notAfter(times: Execution['times'], point: number): number {
    let latest = Infinity;
    for (const { point: other, weight } of this.above[point] ?? []) {
      const time = times[other] ?? this.latestByNature(times, other);
      if (time !== undefined) latest = Math.min(latest, time + weight);
    }
    return latest;
  }

  private latestByNature(times: Execution['times'], point: number): number | undefined {
    const link = this.dispatch.contingent[this.ending[point] ?? -1];
    const begun = link && times[link.start];
    return link && begun !== undefined ? begun + link.high : undefined;
  }
}

interface Bound {
  readonly point: number;
  readonly weight: number;
}
