import { changeTime, excludes } from './compile-ovens.ts';
import {
  endOf,
  startOf,
  type Claim,
  type Point,
  type Problem,
  type Schedule,
  type StateDemand,
} from './problem.ts';

/** `x[to] >= x[from] + weight`, as a {@link Lag}, and what it is for. */
export interface OrderLag {
  readonly from: Point;
  readonly to: Point;
  readonly weight: number;
  readonly cause: OrderCause;
}

export type OrderCause =
  /** `after` takes of the resource what `before` has given back. */
  | { readonly kind: 'resource'; readonly resource: number; readonly before: Claim; readonly after: Claim }
  /** `after` comes on the oven when `before` is over, the oven has changed, or the door may be opened. */
  | {
      readonly kind: 'oven';
      readonly oven: number;
      readonly before: StateDemand;
      readonly after: StateDemand;
    }
  /** The oven is warm for the demand, or is not off before it ends. */
  | { readonly kind: 'heat'; readonly oven: number; readonly demand: StateDemand }
  /** What takes no time in the schedule, where all is taken, goes on taking no time. */
  | { readonly kind: 'empty'; readonly of: Claim | StateDemand };

/**
 * The order in which a schedule uses its resources: lags under which no resource is ever taken beyond its capacity, and no oven asked for two
 * things at once, whatever the times. They make a partial order schedule of it, in which lengths may change: each unit of a resource goes from
 * claim to claim (chaining; N. Policella, A. Cesta, A. Oddi, S. Smith, From precedence constraint posting to partial order schedules, AI
 * Communications 20, 2007). A claim takes free units first, then those of claims it comes after anyway, then those given back the earliest.
 * What follows from the problem's own lags is left out.
 *
 * What is absolute is not among them: releases, due times, calendars, and when an oven is ready.
 */
export function resourceOrder(problem: Problem, schedule: Schedule, change?: ChangeOf): OrderLag[] {
  const order = new Order(problem, schedule, change);
  problem.groups.forEach((_, group) => order.group(group));
  problem.ovens.forEach((_, oven) => order.oven(oven));
  problem.resources.forEach((_, resource) => order.resource(resource));
  return order.lags;
}

/** The time from the end of one demand to the start of another in an oven; the problem's own where it is not given. */
export type ChangeOf = (oven: number, before: StateDemand, after: StateDemand) => number;

/** A claim or a demand, as what it takes of a resource. */
interface Stretch<T> {
  readonly from: Point;
  readonly to: Point;
  readonly amount: number;
  readonly of: T;
}

class Order {
  readonly lags: OrderLag[] = [];
  private readonly problem: Problem;
  private readonly schedule: Schedule;
  private readonly change: ChangeOf;
  /** By point: points that come no later, by lags of weight 0 or more. */
  private readonly earlier: Point[][];

  constructor(problem: Problem, schedule: Schedule, change?: ChangeOf) {
    this.problem = problem;
    this.change = change ?? ((oven, before, after) => this.changeByProblem(oven, before, after));
    this.schedule = schedule;
    this.earlier = Array.from({ length: 2 * problem.activities.length }, () => []);
    problem.activities.forEach((_, activity) => this.earlier[endOf(activity)]?.push(startOf(activity)));
    for (const { from, to, weight } of problem.lags) if (weight >= 0) this.earlier[to]?.push(from);
  }

  resource(resource: number): void {
    const { capacity, claims } = this.problem.resources[resource] ?? { capacity: 0, claims: [] };
    // Where there is enough for all at once nobody waits for anybody.
    if (claims.reduce((sum, { amount }) => sum + amount, 0) <= capacity) return;
    const stretches = claims.map((claim) => ({ ...claim, of: claim }));
    this.chain(capacity, this.inTurn(stretches), (before, after) => ({
      kind: 'resource',
      resource,
      before,
      after,
    }));
  }

  /** Demands of a group follow each other, as the problem has it. */
  group(index: number): void {
    const demands = this.problem.groups[index]?.demands.map((demand) => this.problem.demands[demand]) ?? [];
    const oven = this.schedule.ovenOf[index] ?? -1;
    demands.slice(1).forEach((after, place) => {
      const before = demands[place];
      if (before && after) this.add(before.end, after.start, 0, { kind: 'oven', oven, before, after });
    });
  }

  /** Orders what excludes each other, keeps doors shut, keeps the oven warm, and hands its room on. */
  oven(index: number): void {
    const { problem } = this;
    const oven = problem.ovens[index];
    if (!oven) return;
    const here = problem.demands.filter(({ group }) => this.schedule.ovenOf[group] === index);
    const lasting = this.lasting(
      here.map((demand) => ({ from: demand.start, to: demand.end, amount: demand.amount, of: demand })),
    );
    const demands = lasting.map((stretch) => stretch.of);
    for (const demand of demands) {
      const warmUp = oven.warmUp[demand.state];
      const cause: OrderCause = { kind: 'heat', oven: index, demand };
      if (warmUp === undefined) continue;
      if (oven.begin !== undefined) this.add(oven.begin, demand.start, warmUp, cause);
      if (oven.finish !== undefined) this.add(demand.end, oven.finish, 0, cause);
    }
    demands.forEach((after, place) => {
      for (const before of demands.slice(0, place)) {
        if (before.settled && after.settled) continue;
        if (excludes(oven, before, after)) {
          const wait = this.change(index, before, after);
          const between = demands.slice(demands.indexOf(before) + 1, place);
          const follows = between.some(
            (middle) =>
              excludes(oven, before, middle) &&
              excludes(oven, middle, after) &&
              this.change(index, before, middle) + this.change(index, middle, after) >= wait,
          );
          const cause: OrderCause = { kind: 'oven', oven: index, before, after };
          if (!follows) this.add(before.end, after.start, wait, cause);
        } else {
          if (before.shut) this.keepOut(index, before, after);
          if (after.shut) this.keepOut(index, after, before);
        }
      }
    });
    this.chain(oven.capacity, lasting, (before, after) => ({ kind: 'oven', oven: index, before, after }));
  }

  private changeByProblem(index: number, before: StateDemand, after: StateDemand): number {
    const oven = this.problem.ovens[index];
    if (!oven || (before.group === after.group && after.takesOver)) return 0;
    return changeTime(oven, before, after);
  }

  /** The mover goes in and out before or after the door is shut, as it does in the schedule, or stays in with its neighbour. */
  private keepOut(oven: number, shut: StateDemand, mover: StateDemand): void {
    for (const side of [-1, 1] as const) {
      const point = side < 0 ? mover.start : mover.end;
      const cause: OrderCause = { kind: 'oven', oven, before: mover, after: shut };
      if (this.at(point) <= this.at(shut.start)) this.add(point, shut.start, 0, cause);
      else if (this.at(point) >= this.at(shut.end))
        this.add(shut.end, point, 0, { kind: 'oven', oven, before: shut, after: mover });
      else this.stay(mover, side, cause);
    }
  }

  private stay(mover: StateDemand, side: -1 | 1, cause: OrderCause): void {
    const demands = this.problem.groups[mover.group]?.demands ?? [];
    const next =
      this.problem.demands[demands[demands.indexOf(this.problem.demands.indexOf(mover)) + side] ?? -1];
    if (!next) return;
    if (side < 0) this.add(mover.start, next.end, 0, cause);
    else this.add(next.start, mover.end, 0, cause);
    if (this.at(next.start) === this.at(next.end)) this.stay(next, side, cause);
  }

  private at(point: Point): number {
    return this.schedule.times[point] ?? 0;
  }

  private add(from: Point, to: Point, weight: number, cause: OrderCause): void {
    if (from === to || (weight === 0 && this.earlier[to]?.includes(from))) return;
    this.lags.push({ from, to, weight, cause });
    if (weight >= 0) this.earlier[to]?.push(from);
  }

  /** All points that come no later than this one. */
  private allBefore(point: Point): Set<Point> {
    const found = new Set([point]);
    for (const each of found) for (const other of this.earlier[each] ?? []) found.add(other);
    return found;
  }

  /** Those that last, in order of time; the others go on taking no time. */
  private lasting<T extends Claim | StateDemand>(stretches: readonly Stretch<T>[]): Stretch<T>[] {
    for (const stretch of stretches) if (!this.lasts(stretch)) this.stayEmpty(stretch);
    return this.inTurn(stretches.filter((stretch) => this.lasts(stretch)));
  }

  private lasts({ from, to }: Stretch<unknown>): boolean {
    return this.at(from) < this.at(to);
  }

  private stayEmpty({ from, to, of }: Stretch<Claim | StateDemand>): void {
    this.add(to, from, 0, { kind: 'empty', of });
  }

  /** In order of time; of those that take no time at one moment, what comes after others comes after them. */
  private inTurn<T>(stretches: readonly Stretch<T>[]): Stretch<T>[] {
    return stretches.toSorted(
      (a, b) =>
        this.at(a.from) - this.at(b.from) ||
        this.at(a.to) - this.at(b.to) ||
        (this.lasts(a) ? 0 : this.allBefore(a.from).size - this.allBefore(b.from).size),
    );
  }

  /** Whether one that takes no time comes where another lasts that begins before it anyway: then it has no turn. */
  private isInside(stretch: Stretch<unknown>, others: readonly Stretch<unknown>[]): boolean {
    if (this.lasts(stretch)) return false;
    const before = this.allBefore(stretch.from);
    return others.some(
      (other) => this.lasts(other) && this.at(other.from) === this.at(stretch.from) && before.has(other.from),
    );
  }

  /** Hands units of a resource on from stretch to stretch. What takes no time has a turn too where it fits, so that it may take some; else it stays so. */
  private chain<T extends Claim | StateDemand>(
    capacity: number,
    stretches: readonly Stretch<T>[],
    cause: (before: T, after: T) => OrderCause,
  ): void {
    let free = capacity;
    const holders: { readonly stretch: Stretch<T>; units: number }[] = [];
    for (const stretch of stretches) {
      let wanted = Math.max(0, stretch.amount - free);
      const given = holders.filter(({ stretch: { to } }) => this.at(to) <= this.at(stretch.from));
      const hasRoom = given.reduce((sum, { units }) => sum + units, 0) >= wanted;
      if (!hasRoom || this.isInside(stretch, stretches)) {
        this.stayEmpty(stretch);
        continue;
      }
      free = Math.max(0, free - stretch.amount);
      const anyway = wanted > 0 ? this.allBefore(stretch.from) : new Set<Point>();
      const over = given.toSorted(
        (a, b) =>
          Number(anyway.has(b.stretch.to)) - Number(anyway.has(a.stretch.to)) ||
          this.at(a.stretch.to) - this.at(b.stretch.to),
      );
      for (const holder of over) {
        if (wanted === 0) break;
        if (holder.units === 0) continue;
        const taken = Math.min(wanted, holder.units);
        holder.units -= taken;
        wanted -= taken;
        if (!anyway.has(holder.stretch.to))
          this.add(holder.stretch.to, stretch.from, 0, cause(holder.stretch.of, stretch.of));
      }
      holders.push({ stretch, units: stretch.amount });
    }
  }
}
