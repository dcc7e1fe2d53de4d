import { FIRST, ORIGIN, type Edge } from './problem.ts';

/**
 * Counts what is looked at: an edge, a block, a pair of demands. It is what a search costs, the same on every machine,
 * where seconds are not.
 */
export interface Tally {
  looks: number;
}

/** Where to go back to. */
export interface Mark {
  readonly edges: number;
  readonly changes: number;
}

/**
 * The latest time of every point under a growing set of least distances. The times that meet such a set form a lattice:
 * the pointwise latest ones are themselves a solution, and adding distances only lowers them. So they are both a
 * schedule to look at and a bound on every schedule below.
 *
 * Edges are kept in flat arrays, as a linked list for each head, and are taken back last in, first out.
 */
export class Network {
  /** The latest time of each point. */
  readonly latest: Float64Array;
  /** Sum of the latest times of the points that were given as starts. */
  sum = 0;
  private readonly tally: Tally;
  private readonly lowest: Float64Array;
  private readonly counts: Uint8Array;
  private readonly lastInto: Int32Array;
  private readonly from: number[] = [];
  private readonly into: number[] = [];
  private readonly weights: number[] = [];
  private readonly nextInto: number[] = [];
  private readonly changedPoints: number[] = [];
  private readonly changedFrom: number[] = [];
  private readonly queue: number[] = [];
  private readonly queued: Uint8Array;

  constructor(points: number, starts: readonly number[], tally: Tally) {
    this.tally = tally;
    this.latest = new Float64Array(points);
    this.lowest = new Float64Array(points).fill(-Infinity);
    this.lowest[ORIGIN] = 0;
    this.counts = new Uint8Array(points);
    for (const start of starts) this.counts[start] = 1;
    this.lastInto = new Int32Array(points).fill(-1);
    this.queued = new Uint8Array(points);
  }

  /** The latest time at which work must begin. */
  get first(): number {
    return this.at(FIRST);
  }

  at(point: number): number {
    return this.latest[point] ?? 0;
  }

  /** From now on, times in which work begins before `floor` count as inconsistent. */
  beginNotBefore(floor: number): void {
    this.lowest[FIRST] = floor;
  }

  mark(): Mark {
    return { edges: this.from.length, changes: this.changedPoints.length };
  }

  undo(mark: Mark): void {
    while (this.from.length > mark.edges) {
      this.from.pop();
      this.weights.pop();
      const head = this.into.pop() ?? 0;
      this.lastInto[head] = this.nextInto.pop() ?? -1;
    }
    while (this.changedPoints.length > mark.changes) {
      const point = this.changedPoints.pop() ?? 0;
      const old = this.changedFrom.pop() ?? 0;
      if (this.counts[point] === 1) this.sum += old - this.at(point);
      this.latest[point] = old;
    }
  }

  /** Adds distances; false when they cannot all hold, and then the network must be taken back to an earlier mark. */
  addAll(edges: readonly Edge[]): boolean {
    for (const edge of edges) if (!this.add(edge.from, edge.to, edge.weight)) return false;
    return true;
  }

  /** Adds `x[to] >= x[from] + weight`; false as in {@link addAll}. */
  add(from: number, to: number, weight: number): boolean {
    this.tally.looks += 1;
    this.from.push(from);
    this.into.push(to);
    this.weights.push(weight);
    this.nextInto.push(this.lastInto[to] ?? -1);
    this.lastInto[to] = this.from.length - 1;
    const bound = this.at(to) - weight;
    if (this.at(from) <= bound) return true;
    if (from === to) return false;
    return this.lower(from, bound) && this.settle(to);
  }

  private lower(point: number, time: number): boolean {
    this.changedPoints.push(point);
    this.changedFrom.push(this.at(point));
    if (this.counts[point] === 1) this.sum += time - this.at(point);
    this.latest[point] = time;
    if (time < (this.lowest[point] ?? -Infinity)) return false;
    if (this.queued[point] === 0) {
      this.queued[point] = 1;
      this.queue.push(point);
    }
    return true;
  }

  /**
   * Lowers whatever the queued points pull down. The network was consistent before the newest edge, so any cycle that
   * cannot be met runs through that edge, and shows by lowering its head.
   */
  private settle(newestHead: number): boolean {
    const queue = this.queue;
    let sound = true;
    for (let next = 0; next < queue.length; next += 1) {
      const head = queue[next] ?? 0;
      this.queued[head] = 0;
      if (!sound) continue;
      const time = this.at(head);
      for (let edge = this.lastInto[head] ?? -1; edge >= 0; edge = this.nextInto[edge] ?? -1) {
        this.tally.looks += 1;
        const tail = this.from[edge] ?? 0;
        const bound = time - (this.weights[edge] ?? 0);
        if (this.at(tail) <= bound) continue;
        if (tail === newestHead || !this.lower(tail, bound)) {
          sound = false;
          break;
        }
      }
    }
    queue.length = 0;
    return sound;
  }
}
