import { levelValue } from './check.ts';
import { clustersOf, type Clusters } from './clusters.ts';
import { Insertion, type Small } from './insertion.ts';
import { machineBound } from './machine.ts';
import { Neighbourhoods } from './lns.ts';
import { Parts } from './part.ts';
import { endOf, startOf, type Problem, type Schedule, type SolveOptions } from './problem.ts';
import { boundsOf, firstWaits, type Wait } from './waits.ts';
import { Windows } from './windows.ts';

/** How much later a cluster without a place is taken to be due in the next round, doubled in each. */
const JUMP = 14_400;
/** Building ends when so many schedules in a row were no better. */
const ROUNDS = 6;
/** Activities that a cluster may have, in one round after the other. */
const TOGETHER = [24, 24, 6, 40];
/** Of what a wait may be beyond its least, so much is allowed in turn; then all. */
const EASES = [0, 0.05, 0.2, 0.5];

/**
 * A problem taken apart: a first schedule built cluster by cluster, and better ones by taking some activities out and putting
 * them back. Whatever part is looked at is solved as a small problem of its own.
 */
export class Apart {
  readonly problem: Problem;
  readonly windows: Windows;
  /** Whether lags and times alone leave everybody some time; nothing certain where the windows are spent. */
  readonly isPossible: boolean;
  readonly bounds: readonly number[];
  /** Whether the first schedule has short waits. */
  isShort = true;
  private readonly options: SolveOptions;
  private readonly small: Small;
  private readonly stop: () => boolean;
  private known: { readonly parts: Parts; readonly near: Clusters } | undefined;
  work: number;

  constructor(problem: Problem, options: SolveOptions, small: Small) {
    this.problem = problem;
    this.options = options;
    this.small = small;
    this.stop = options.budget.stop ?? ((): boolean => false);
    this.windows = new Windows(problem);
    this.windows.limit = options.budget.work ?? Infinity;
    this.isPossible = this.windows.open(problem);
    const { latest } = this.windows;
    this.bounds = boundsOf(problem, this.windows).map((bound, i) => {
      const level = problem.objective[i];
      return Math.max(bound, (level && machineBound(problem, level, (point) => latest[point] ?? 0)) ?? bound);
    });
    this.work = this.windows.work;
  }

  private get parts(): { readonly parts: Parts; readonly near: Clusters } {
    if (!this.known) {
      this.known = { parts: new Parts(this.problem), near: clustersOf(this.problem) };
      this.work += this.problem.activities.length + this.problem.lags.length;
    }
    return this.known;
  }

  /**
   * The best of some schedules in which what waits at a cost waits as little as it can. A cluster that found no place as it
   * should comes earlier in the next round.
   */
  first(limit: number): Schedule | undefined {
    const waits = firstWaits(this.problem, this.windows);
    const until = this.work + limit;
    const tight = waits.length > 0 ? this.rounds(waits, this.work + limit / 2) : undefined;
    this.isShort = tight !== undefined || waits.length === 0;
    return tight ?? this.rounds([], until);
  }

  /**
   * Places what lies farthest out anew, more and more of it, so that nothing at the first level waits longer than in this
   * schedule; undefined: no better.
   */
  again(schedule: Schedule, limit: number): Schedule | undefined {
    const { times } = schedule;
    const waits = firstWaits(this.problem, this.windows).map((wait) => {
      const now = (times[wait.to] ?? 0) - (times[wait.from] ?? 0);
      return { ...wait, least: now, most: now };
    });
    if (waits.length === 0) return undefined;
    const until = this.work + limit;
    const ease = new Uint8Array(waits.length);
    const { parts, windows } = this.tightened(waits, ease);
    if (!windows) return undefined;
    const near = clustersOf(parts.problem);
    const isLate = wantedLate(this.problem);
    const timeOf = (members: readonly number[]): number =>
      isLate
        ? Math.min(...members.map((activity) => times[startOf(activity)] ?? 0))
        : -Math.max(...members.map((activity) => times[endOf(activity)] ?? 0));
    const order = near.members
      .map((members, cluster) => ({ cluster, time: timeOf(members) }))
      .toSorted((a, b) => a.time - b.time || a.cluster - b.cluster)
      .map(({ cluster }) => cluster);
    const urgencies = new Float64Array(order.length);
    for (let count = 1; this.work < until && !this.stop(); count = Math.min(2 * count, order.length)) {
      const insertion = new Insertion(parts, near, windows.copy(), isLate, this.small, this.stop);
      const placed =
        insertion.keep(order.slice(count), schedule) && insertion.run(urgencies, until - this.work);
      this.work += insertion.allWork;
      if (typeof placed === 'object' && isBetter(this.problem, placed, schedule)) return placed;
      if (count === order.length) break;
    }
    return undefined;
  }

  /** With waits: the best schedule of several rounds; without: the first there is. */
  private rounds(waits: readonly Wait[], until: number): Schedule | undefined {
    const urgency = new Float64Array(this.problem.activities.length);
    let best: Schedule | undefined;
    for (
      let round = 1, since = 0;
      this.work < until && since < ROUNDS && !this.stop();
      round += 1, since += 1
    ) {
      const jump = JUMP * 2 ** Math.min(round, 20);
      let hasFailed = false;
      const most = TOGETHER[(round - 1) % TOGETHER.length] ?? 1;
      const built = this.build(waits, most, urgency, until, (activity) => {
        hasFailed = true;
        urgency[activity] = (urgency[activity] ?? 0) + jump;
      });
      if (!built) continue;
      if (!best || isBetter(this.problem, built, best)) {
        best = built;
        since = 0;
      }
      if (waits.length === 0 || !hasFailed) break;
    }
    return best;
  }

  /** A schedule, if all clusters find a place. Where one does not, its waits may be longer. */
  private build(
    waits: readonly Wait[],
    most: number,
    urgency: Float64Array,
    until: number,
    onFailure: (activity: number) => void,
  ): Schedule | undefined {
    const ease = new Uint8Array(waits.length);
    let { parts, windows } = this.tightened(waits, ease);
    while (!windows) {
      ease.forEach((step, i) => (ease[i] = Math.min(step + 1, EASES.length)));
      ({ parts, windows } = this.tightened(waits, ease));
    }
    const near = clustersOf(parts.problem, most);
    const insertion = new Insertion(parts, near, windows, wantedLate(this.problem), this.small, this.stop);
    const urgencies = Float64Array.from(near.members, (members) =>
      Math.max(...members.map((activity) => urgency[activity] ?? 0)),
    );
    for (;;) {
      const before = insertion.allWork;
      const outcome = insertion.run(urgencies, until - this.work + before);
      this.work += insertion.allWork - before;
      if (typeof outcome !== 'number') return outcome;
      if (outcome < 0) return undefined;
      onFailure(near.members[outcome]?.[0] ?? 0);
      const members = new Set([...(near.members[outcome] ?? []), ...(near.members[insertion.starved] ?? [])]);
      let isEased = false;
      waits.forEach(({ from, to, least, most }, i) => {
        const step = ease[i] ?? 0;
        if (least >= most || step === EASES.length || !(members.has(from >> 1) || members.has(to >> 1)))
          return;
        ease[i] = step + 1;
        isEased = true;
      });
      const next = isEased ? this.tightened(waits, ease) : undefined;
      if (!next?.windows || !insertion.relax(next.parts, next.windows)) return undefined;
    }
  }

  /** The problem with waits held short. */
  private tightened(
    waits: readonly Wait[],
    ease: Uint8Array,
  ): { readonly parts: Parts; readonly windows: Windows | undefined } {
    const short = waits.flatMap(({ from, to, least, most }, i) => {
      const part = EASES[ease[i] ?? 0];
      return part === undefined
        ? []
        : [{ from: to, to: from, weight: -Math.ceil(least + part * (most - least)), rule: 0 }];
    });
    if (short.length === 0) return { parts: this.parts.parts, windows: this.windows.copy() };
    const problem: Problem = { ...this.problem, lags: [...this.problem.lags, ...short] };
    const windows = new Windows(problem);
    windows.limit = windows.work + problem.lags.length * 20;
    const isOpen = windows.open(problem) && !windows.isSpent;
    windows.limit = Infinity;
    this.work += problem.activities.length + problem.lags.length + windows.work;
    windows.work = 0;
    return { parts: new Parts(problem), windows: isOpen ? windows : undefined };
  }

  /** A search for better schedules than this one. */
  around(schedule: Schedule): Neighbourhoods {
    const { parts, near } = this.parts;
    const units = clustersOf(this.problem, 1);
    const { small, stop, bounds } = this;
    return new Neighbourhoods(parts, this.windows, [units, near], schedule, {
      small,
      stop,
      bounds,
      seed: this.options.seed ?? 1,
    });
  }
}

/** Whether most points that the objective speaks of are wanted late. */
function wantedLate(problem: Problem): boolean {
  let late = 0;
  for (const { terms } of problem.objective) for (const { weight } of terms) late -= Math.sign(weight);
  return late > 0;
}

/** Whether a schedule is better than another at the first level at which they differ. */
export function isBetter({ objective }: Problem, one: Schedule, other: Schedule): boolean {
  for (const level of objective) {
    const difference = levelValue(level, one) - levelValue(level, other);
    if (difference !== 0) return difference < 0;
  }
  return false;
}
