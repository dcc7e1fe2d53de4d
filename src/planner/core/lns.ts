import { levelValue } from './check.ts';
import type { Clusters } from './clusters.ts';
import type { Small } from './insertion.ts';
import { Part, type Parts } from './part.ts';
import { Placing } from './placing.ts';
import { startOf, type Schedule } from './problem.ts';
import { Chance } from './random.ts';
import type { Windows } from './windows.ts';

/** Activities that are taken out at first, at least and at most. */
const SIZE = { first: 24, least: 6, most: 60 };
/** Work for placing them anew: so much, and so much for each. */
const SEARCHING = { base: 4000, each: 500 };
/** What it costs to write a part down: so much, and so much for each activity, demand and claim. */
const WRITING = { base: 4000, each: 60 };
/** How fast old success is forgotten in the choice of the next neighbourhood. */
const MEMORY = 0.9;
/** How fast a neighbourhood grows that was searched in full, and shrinks where that was too much. */
const GROWTH = 1.2;

/** A way of choosing activities that are taken out together. */
interface Way {
  readonly choose: (size: number) => ReadonlySet<number>;
  score: number;
  size: number;
}

/**
 * Large-neighbourhood search: takes some activities out of a schedule, leaves everything else where it is, and looks for a
 * better way to put them back, level before level. Works on schedules of any size, as each part is a small problem.
 */
export class Neighbourhoods {
  private readonly parts: Parts;
  private readonly windows: Windows;
  private readonly small: Small;
  private readonly stop: () => boolean;
  private readonly chance: Chance;
  /** Activities that cannot be parted, and those that are near each other. */
  private readonly units: Clusters;
  private readonly clusters: Clusters;
  private readonly loose: readonly number[];
  private readonly ways: readonly Way[];
  private schedule: Schedule;
  private values: readonly number[];
  /** What each level cannot be below. */
  private readonly bounds: readonly number[];
  /** Activities by start. */
  private order: number[] = [];
  private readonly rank: Int32Array;
  work = 0;
  tries = 0;

  constructor(
    parts: Parts,
    windows: Windows,
    clusters: readonly [units: Clusters, near: Clusters],
    schedule: Schedule,
    options: {
      readonly small: Small;
      readonly seed: number;
      readonly stop: () => boolean;
      readonly bounds: readonly number[];
    },
  ) {
    this.bounds = options.bounds;
    this.parts = parts;
    this.windows = windows;
    [this.units, this.clusters] = clusters;
    this.small = options.small;
    this.stop = options.stop;
    this.chance = new Chance(options.seed);
    const { activities } = parts.problem;
    this.loose = activities.flatMap((_, activity) => (this.units.of[activity] === -1 ? [activity] : []));
    this.rank = new Int32Array(activities.length);
    this.schedule = schedule;
    this.values = this.valuesOf(schedule);
    this.sort();
    const way = (choose: Way['choose']): Way => ({ choose, score: 1, size: SIZE.first });
    this.ways = [
      way((size) => this.stretch(size, this.chance.below(this.order.length))),
      way((size) => this.stretch(size, 0)),
      way((size) => this.neighbours(size, this.chance.below(this.order.length))),
      way((size) => this.ofCost(size)),
      ...(parts.problem.demands.length > 0 ? [way((size: number) => this.ofOven(size))] : []),
    ];
  }

  get best(): Schedule {
    return this.schedule;
  }

  /** A schedule from elsewhere that is better. */
  adopt(schedule: Schedule): void {
    this.schedule = schedule;
    this.values = this.valuesOf(schedule);
    this.sort();
  }

  private valuesOf(schedule: Schedule): number[] {
    return this.parts.problem.objective.map((level) => levelValue(level, schedule));
  }

  private sort(): void {
    const { times } = this.schedule;
    this.order = this.parts.problem.activities
      .map((_, activity) => activity)
      .filter((activity) => this.units.of[activity] !== -1)
      .toSorted((a, b) => (times[startOf(a)] ?? 0) - (times[startOf(b)] ?? 0) || a - b);
    this.order.forEach((activity, i) => (this.rank[activity] = i));
  }

  /** Goes on until so much work has been done; true: something became better. */
  run(work: number): boolean {
    const until = this.work + work;
    const before = this.values;
    while (this.work < until && !this.stop()) this.attempt(until);
    return before !== this.values;
  }

  private attempt(until: number): void {
    const way = this.pick();
    const free = [...way.choose(Math.round(way.size))];
    const outcome = this.improve(free, until);
    this.tries += 1;
    way.score = MEMORY * way.score + (1 - MEMORY) * (outcome === 'better' ? 1 : 0);
    const most = Math.min(SIZE.most, this.order.length);
    if (outcome === 'settled') way.size = Math.min(most, way.size * GROWTH);
    else if (outcome === 'spent') way.size = Math.max(Math.min(SIZE.least, most), way.size / GROWTH);
  }

  private pick(): Way {
    const least = 0.03;
    const total = this.ways.reduce((sum, { score }) => sum + score + least, 0);
    let at = (this.chance.below(1 << 20) / (1 << 20)) * total;
    for (const way of this.ways) {
      at -= way.score + least;
      if (at < 0) return way;
    }
    return this.ways[0] as Way;
  }

  /** better; settled: there is no better way to place them; spent: there may be one. */
  private improve(free: readonly number[], until: number): 'better' | 'settled' | 'spent' {
    const { parts, schedule } = this;
    const windows = this.windows.copy();
    const isFree = new Uint8Array(parts.problem.activities.length);
    const members = [...free, ...this.loose];
    for (const activity of members) isFree[activity] = 1;
    const fixed = this.order.filter((activity) => isFree[activity] === 0);
    const placing = new Placing(parts, windows, schedule);
    const groups = fixed.flatMap((activity) => parts.groups[activity] ?? []);
    if (!placing.settle(fixed, groups)) throw new Error('a schedule does not fit itself');
    const part = new Part(parts, windows, members);
    const [from, to] = this.rim(windows);
    const problem = part.problem(placing.settled, from, to, part.levels());
    const things = problem.activities.length + problem.demands.length + problem.lags.length;
    this.work += WRITING.base + WRITING.each * things + windows.work + ((fixed.length + part.looks) >> 2);
    const times = part.timesOf(schedule, problem);
    const result = this.small(problem, {
      budget: {
        work: Math.min(until - this.work, SEARCHING.base + SEARCHING.each * free.length),
        stop: this.stop,
      },
      warmStart: { times, ovenOf: part.ovensOf(schedule, problem) },
      seed: this.chance.below(1 << 30),
    });
    this.work += result.work;
    if (!('schedule' in result)) return 'spent';
    placing.take(members, part.groups, result.schedule);
    const values = this.valuesOf(placing.schedule);
    const place = values.findIndex((value, level) => value !== this.values[level]);
    const isBetter = place >= 0 && (values[place] ?? 0) < (this.values[place] ?? 0);
    if (place < 0 || isBetter) {
      this.schedule = placing.schedule;
      if (isBetter) this.values = values;
      this.sort();
    }
    if (isBetter) return 'better';
    return result.status === 'optimal' ? 'settled' : 'spent';
  }

  /** Nothing is put much before or after everything else. */
  private rim({ earliest, latest }: Windows): readonly [from: number, to: number] {
    const { times } = this.schedule;
    const first = times[startOf(this.order[0] ?? 0)] ?? 0;
    let last = first;
    for (const time of times) if (time > last) last = time;
    const more = (last - first) >> 3;
    const least = earliest.reduce((a, b) => Math.min(a, b), first);
    const most = latest.reduce((a, b) => Math.max(a, b), last);
    return [Math.max(least, first - more), Math.min(most, last + more)];
  }

  private addUnit(chosen: Set<number>, activity: number): void {
    for (const other of this.units.members[this.units.of[activity] ?? -1] ?? []) chosen.add(other);
  }

  /** Activities that follow each other in time. */
  private stretch(size: number, from: number): Set<number> {
    const chosen = new Set<number>();
    const first = Math.min(from, Math.max(0, this.order.length - size));
    for (let i = first; i < this.order.length && chosen.size < size; i += 1)
      this.addUnit(chosen, this.order[i] ?? 0);
    return chosen;
  }

  /** What is near an activity in its recipe, and what is near that in time, in turn. */
  private neighbours(size: number, place: number): Set<number> {
    const chosen = new Set<number>();
    let activity = this.order[place] ?? 0;
    while (chosen.size < size) {
      const before = chosen.size;
      for (const other of this.clusters.members[this.clusters.of[activity] ?? -1] ?? [])
        if (chosen.size < size) this.addUnit(chosen, other);
      const all = [...chosen];
      const from = this.rank[all[this.chance.below(all.length)] ?? 0] ?? 0;
      const near = from + (this.chance.below(2) === 0 ? -1 : 1) * (1 + this.chance.below(4));
      activity = this.order[Math.min(this.order.length - 1, Math.max(0, near))] ?? 0;
      this.addUnit(chosen, activity);
      if (chosen.size === before && this.chance.below(8) === 0) break;
    }
    return chosen;
  }

  /** What is between the ends of a wait that costs much at the first level that is not at its bound, and around it. */
  private ofCost(size: number): Set<number> {
    const { times } = this.schedule;
    const level = this.values.findIndex((value, i) => value > (this.bounds[i] ?? -Infinity));
    const terms = this.parts.problem.objective[level]?.terms ?? [];
    const waits: { readonly cost: number; readonly from: number; readonly to: number }[] = [];
    let total = 0;
    terms.forEach((one, i) => {
      const next = terms[i + 1];
      if (!next || next.weight !== -one.weight || i % 2 === 1) return;
      const [from, to] = one.weight > 0 ? [next.point, one.point] : [one.point, next.point];
      const cost = Math.abs(one.weight) * ((times[to] ?? 0) - (times[from] ?? 0));
      if (cost <= 0 || this.units.of[from >> 1] === -1) return;
      total += cost;
      waits.push({ cost, from: from >> 1, to: to >> 1 });
    });
    let at = (this.chance.below(1 << 20) / (1 << 20)) * total;
    const wait = waits.find(({ cost }) => (at -= cost) < 0);
    if (!wait) return this.neighbours(size, this.chance.below(this.order.length));
    const chosen = new Set<number>();
    for (const activity of [wait.from, wait.to])
      for (const other of this.clusters.members[this.clusters.of[activity] ?? -1] ?? [])
        if (chosen.size < size) this.addUnit(chosen, other);
    const first = this.rank[wait.from] ?? 0;
    for (let i = first; i < this.order.length && chosen.size < size; i += 1)
      this.addUnit(chosen, this.order[i] ?? 0);
    return chosen;
  }

  /** What follows each other in the ovens, with what is near it in its recipe. */
  private ofOven(size: number): Set<number> {
    const { demands } = this.parts.problem;
    const chosen = new Set<number>();
    const hot = [...new Set(demands.map(({ start }) => start >> 1))].toSorted(
      (a, b) => (this.rank[a] ?? 0) - (this.rank[b] ?? 0),
    );
    for (let i = this.chance.below(hot.length); i < hot.length && chosen.size < size; i += 1) {
      const activity = hot[i] ?? 0;
      this.addUnit(chosen, activity);
      for (const other of this.clusters.members[this.clusters.of[activity] ?? -1] ?? [])
        if (chosen.size < size && Math.abs(other - activity) < 4) this.addUnit(chosen, other);
    }
    return chosen;
  }
}
