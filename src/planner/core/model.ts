import { Network } from './network.ts';
import type { Point } from './problem.ts';

/**
 * Something that can hold or not: `x[to] >= x[from] + weight`, with -1 for the time 0 on either side. `true` and `false`
 * are what is known from the start.
 */
export type Condition = readonly [from: number, to: number, weight: number] | boolean;

/** A node of the network and what is added to its time. */
export interface Place {
  readonly node: number;
  readonly offset: number;
}

/** A claim on a resource, in places. */
export interface PlacedTask {
  readonly from: Place;
  readonly to: Place;
  readonly amount: number;
  readonly present: Condition;
}

/**
 * A problem as lags, clauses of conditions, and resources. Clauses are looked at again and again until no clause has a
 * single open condition that is a lag: such a lag holds, and with the longest paths that it makes it may settle others.
 */
export class Model {
  readonly network: Network;
  readonly places: readonly Place[];
  readonly resources: { readonly capacity: number; readonly tasks: readonly PlacedTask[] }[] = [];
  /** Stretches between two points that are longer than nothing, of which some never overlap. */
  readonly jobs: { readonly from: Point; readonly to: Point }[] = [];
  private readonly jobOf = new Map<number, number>();
  private readonly apart = new Set<number>();
  private clauses: (readonly Condition[])[] = [];
  /** False once the problem is known to have no schedule. */
  isPossible = true;

  constructor(nodes: number, places: readonly Place[]) {
    this.network = new Network(nodes);
    this.places = places;
  }

  place(point: Point): Place {
    return this.places[point] ?? { node: 0, offset: 0 };
  }

  /** The condition that the second point lies at least so much after the first. */
  after(first: Point, second: Point, weight: number): Condition {
    const from = this.place(first);
    const to = this.place(second);
    const distance = weight + from.offset - to.offset;
    return from.node === to.node ? distance <= 0 : [from.node, to.node, distance];
  }

  notBefore(point: Point, time: number): Condition {
    const { node, offset } = this.place(point);
    return [-1, node, time - offset];
  }

  notAfter(point: Point, time: number): Condition {
    const { node, offset } = this.place(point);
    return [node, -1, offset - time];
  }

  /** A choice that is yes where the condition holds. */
  choice(): Condition {
    return [-1, this.network.addLoose(0, 1), 1];
  }

  /** Makes sure that one of the conditions holds. */
  oneOf(...conditions: readonly Condition[]): void {
    if (conditions.includes(true)) return;
    this.clauses.push(conditions);
  }

  /** The two stretches do not overlap, unless one has no length. */
  keepApart(from: Point, to: Point, otherFrom: Point, otherTo: Point): void {
    const [one, other] = [this.job(from, to), this.job(otherFrom, otherTo)];
    const key = pairOf(one, other);
    if (this.apart.has(key)) return;
    this.apart.add(key);
    this.oneOf(
      this.after(to, otherFrom, 0),
      this.after(otherTo, from, 0),
      this.after(to, from, 0),
      this.after(otherTo, otherFrom, 0),
    );
  }

  areApart(one: number, other: number): boolean {
    return this.apart.has(pairOf(one, other));
  }

  private job(from: Point, to: Point): number {
    const key = from * MANY + to;
    const old = this.jobOf.get(key);
    if (old !== undefined) return old;
    this.jobOf.set(key, this.jobs.length);
    return this.jobs.push({ from, to }) - 1;
  }

  /** How long the stretch between two points is at least. */
  leastBetween(from: Point, to: Point): number {
    const [a, b] = [this.place(from), this.place(to)];
    const between = a.node === b.node ? 0 : this.network.distance(a.node, b.node);
    return between + b.offset - a.offset;
  }

  require(condition: Condition): void {
    if (!this.assert(condition)) this.isPossible = false;
  }

  /** What is known of a condition; undefined: it may hold or not. */
  verdict(condition: Condition): boolean | undefined {
    if (typeof condition === 'boolean') return condition;
    const [from, to, weight] = condition;
    const { network } = this;
    if (from < 0) {
      if ((network.earliest[to] ?? 0) >= weight) return true;
      return (network.latest[to] ?? 0) < weight ? false : undefined;
    }
    if (to < 0) {
      if (-(network.latest[from] ?? 0) >= weight) return true;
      return -(network.earliest[from] ?? 0) < weight ? false : undefined;
    }
    if (network.distance(from, to) >= weight) return true;
    return network.distance(to, from) > -weight ? false : undefined;
  }

  private assert(condition: Condition): boolean {
    if (typeof condition === 'boolean') return condition;
    const [from, to, weight] = condition;
    if (from < 0) return this.network.atLeast(to, weight);
    if (to < 0) return this.network.atMost(from, -weight);
    return this.network.add(from, to, weight);
  }

  /** Draws from the clauses what can be drawn without trying. */
  settle(): void {
    if (!this.isPossible || !this.network.close()) {
      this.isPossible = false;
      return;
    }
    for (let changed = true; changed && this.isPossible;) {
      changed = false;
      const open: (readonly Condition[])[] = [];
      for (const clause of this.clauses) {
        const left = this.openOf(clause);
        if (left === undefined) continue;
        const [first] = left;
        if (left.length > 1) open.push(left);
        else if (first === undefined || !this.assert(first)) this.isPossible = false;
        else changed = true;
        if (!this.isPossible) return;
      }
      this.clauses = open;
    }
  }

  /** The conditions of a clause that may still hold; undefined: the clause holds. */
  private openOf(clause: readonly Condition[]): readonly Condition[] | undefined {
    let open = 0;
    for (const condition of clause) {
      const verdict = this.verdict(condition);
      if (verdict === true) return undefined;
      if (verdict === undefined) open += 1;
    }
    this.network.work += clause.length;
    return open === clause.length
      ? clause
      : clause.filter((condition) => this.verdict(condition) === undefined);
  }

  openClauses(): readonly (readonly Condition[])[] {
    return this.clauses;
  }
}

/** More than there are points. */
const MANY = 2 ** 26;

const pairOf = (one: number, other: number): number => Math.min(one, other) * MANY + Math.max(one, other);

/** The opposite of a condition. */
export function not(condition: Condition): Condition {
  if (typeof condition === 'boolean') return !condition;
  const [from, to, weight] = condition;
  return [to, from, 1 - weight];
}
