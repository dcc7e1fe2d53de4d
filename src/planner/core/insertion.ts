import type { Clusters } from './clusters.ts';
import { Part, type Parts } from './part.ts';
import { Placing } from './placing.ts';
import {
  endOf,
  startOf,
  type Problem,
  type Schedule,
  type SolveOptions,
  type SolveResult,
} from './problem.ts';
import type { Windows } from './windows.ts';

/** Solves a small problem. */
export type Small = (problem: Problem, options: SolveOptions) => SolveResult;

/** Work for the placing of one cluster, and what it costs to write its problem down. */
const PLACING = 6000;
const WRITING = 150;
/** So many settled demands or stretches are looked at first. */
const NEAR = 40;

/**
 * Places one cluster after the other as late (or as early) as it can be among those that are placed, each by solving the
 * small problem of the cluster.
 */
export class Insertion {
  private parts: Parts;
  private readonly clusters: Clusters;
  private windows: Windows;
  private readonly isLate: boolean;
  private readonly small: Small;
  private readonly stop: () => boolean;
  private placing: Placing;
  private readonly waiting: Int32Array;
  private readonly placed: Uint8Array;
  work = 0;

  constructor(
    parts: Parts,
    clusters: Clusters,
    windows: Windows,
    isLate: boolean,
    small: Small,
    stop: () => boolean,
  ) {
    this.parts = parts;
    this.clusters = clusters;
    this.windows = windows;
    this.isLate = isLate;
    this.small = small;
    this.stop = stop;
    this.placing = new Placing(parts, windows);
    this.placed = new Uint8Array(clusters.members.length);
    const before = isLate ? clusters.followers : clusters.leaders;
    this.waiting = Int32Array.from(before, (set) => set.size);
  }

  /** All work that was done, with that of the windows. */
  get allWork(): number {
    return this.work + this.windows.work;
  }

  /** A schedule; or the cluster that found no place, or -1 where the work was spent. */
  run(urgency: Float64Array, limit: number): Schedule | number {
    for (let left = this.placed.reduce((sum, placed) => sum + 1 - placed, 0); left > 0; left -= 1) {
      if (this.allWork > limit || this.stop()) return -1;
      const cluster = this.next(urgency);
      if (!this.place(cluster, limit)) return this.allWork > limit ? -1 : cluster;
    }
    return this.placeLast() ? this.placing.schedule : -1;
  }

  /** The cluster that waits for the fewest others, the one that is due last (or released first) among such. */
  private next(urgency: Float64Array): number {
    const { members } = this.clusters;
    let best = -1;
    let bestKey = -Infinity;
    for (let cluster = 0; cluster < members.length; cluster += 1) {
      if (this.placed[cluster] === 1) continue;
      if (best >= 0 && (this.waiting[cluster] ?? 0) > (this.waiting[best] ?? 0)) continue;
      const key = this.keyOf(cluster) + (urgency[cluster] ?? 0);
      if (best >= 0 && (this.waiting[cluster] ?? 0) === (this.waiting[best] ?? 0) && key <= bestKey) continue;
      best = cluster;
      bestKey = key;
    }
    this.work += members.length >> 4;
    return best;
  }

  private keyOf(cluster: number): number {
    let key = -Infinity;
    for (const activity of this.clusters.members[cluster] ?? [])
      key = Math.max(
        key,
        this.isLate
          ? (this.windows.latest[endOf(activity)] ?? 0)
          : -(this.windows.earliest[startOf(activity)] ?? 0),
      );
    return key;
  }

  private place(cluster: number, limit: number): boolean {
    const { windows } = this;
    const members = this.clusters.members[cluster] ?? [];
    let from = Infinity;
    let to = -Infinity;
    for (const activity of members) {
      from = Math.min(from, windows.earliest[startOf(activity)] ?? 0);
      to = Math.max(to, windows.latest[endOf(activity)] ?? 0);
    }
    const rim = this.rim(members);
    const isNear = this.isLate ? rim < to : rim > from;
    const found =
      (isNear && this.tryWithin(members, this.isLate ? from : rim, this.isLate ? rim : to, limit)) ||
      this.tryWithin(members, from, to, limit);
    if (!found) return false;
    const { part, schedule } = found;
    this.placing.take(members, part.groups, schedule);
    if (!this.placing.settle(members, part.groups)) return false;
    this.mark(cluster);
    return true;
  }

  private mark(cluster: number): void {
    this.placed[cluster] = 1;
    const after = this.isLate ? this.clusters.leaders[cluster] : this.clusters.followers[cluster];
    for (const other of after ?? []) this.waiting[other] = (this.waiting[other] ?? 0) - 1;
  }

  /** Before anything else: these clusters stay where a schedule has them; false when that cannot be. */
  keep(clusters: readonly number[], schedule: Schedule): boolean {
    for (const cluster of clusters) this.mark(cluster);
    this.placing = new Placing(this.parts, this.windows, schedule);
    return this.relax(this.parts, this.windows);
  }

  /** Goes on with other lags, which leave what is placed where it is; false when they do not. */
  relax(parts: Parts, windows: Windows): boolean {
    const members = this.clusters.members.filter((_, cluster) => this.placed[cluster] === 1).flat();
    this.work += members.length + this.windows.work;
    this.parts = parts;
    this.windows = windows;
    this.placing = new Placing(parts, windows, this.placing.schedule);
    return this.placing.settle(
      members,
      members.flatMap((activity) => parts.groups[activity] ?? []),
    );
  }

  /** The cluster, besides the one that found no place, for which no time was left; -1: none. */
  get starved(): number {
    return this.clusters.of[this.windows.starved >> 1] ?? -1;
  }

  /** Places the cluster within `[from, to]` if that can be. */
  private tryWithin(
    members: readonly number[],
    from: number,
    to: number,
    limit: number,
  ): { readonly part: Part; readonly schedule: Schedule } | undefined {
    const part = new Part(this.parts, this.windows, members);
    const problem = part.problem(this.placing.settled, from, to, part.near(this.isLate));
    this.work += WRITING + part.looks + ((problem.activities.length + problem.demands.length) << 2);
    const allowed = Math.min(PLACING * members.length, limit - this.allWork);
    const result = this.small(problem, { budget: { work: allowed, stop: this.stop }, anyWillDo: true });
    this.work += result.work;
    return 'schedule' in result ? { part, schedule: result.schedule } : undefined;
  }

  /**
   * So far into what is settled it is looked first, where much is settled already: with the last few settled demands and
   * stretches of what the cluster needs.
   */
  private rim(members: readonly number[]): number {
    const { claims, groups, problem } = this.parts;
    let rim = this.isLate ? Infinity : -Infinity;
    const reach = (first: number | undefined, last: number | undefined): void => {
      if (this.isLate) rim = Math.min(rim, first ?? Infinity);
      else rim = Math.max(rim, last ?? -Infinity);
    };
    for (const activity of members) {
      for (const { resource } of claims[activity] ?? []) {
        const { time } = this.placing.settled.profiles[resource] ?? { time: [] };
        reach(time[NEAR], time[time.length - 1 - NEAR]);
      }
      for (const group of groups[activity] ?? [])
        for (const oven of problem.groups[group]?.candidates ?? []) {
          const settled = this.placing.settled.ovens[oven] ?? [];
          reach(settled[NEAR]?.from, settled[settled.length - 1 - NEAR]?.to);
        }
    }
    return rim;
  }

  /** What was put off until everything else had its place. */
  private placeLast(): boolean {
    const { windows } = this;
    const members = this.parts.problem.activities.flatMap((_, activity) =>
      this.clusters.of[activity] === -1 ? [activity] : [],
    );
    const part = new Part(this.parts, windows, members);
    const [from, to] = [Math.min(...windows.earliest), Math.max(...windows.latest)];
    const problem = part.problem(this.placing.settled, from, to, part.levels());
    const result = this.small(problem, { budget: { work: 30_000, stop: this.stop } });
    this.work += result.work;
    if (!('schedule' in result)) return false;
    this.placing.take(members, [], result.schedule);
    return true;
  }
}
