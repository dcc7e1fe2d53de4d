import type { View } from './cumulative.ts';
import type { Propagator } from './propagator.ts';
import { sortBy } from './sorting.ts';
import { STORED, type Store } from './store.ts';

export interface Job {
  readonly from: View;
  readonly to: View;
  /** It is never shorter; above 0. */
  readonly length: number;
}

/** By pair: the atom "i before j", or whether that is known. */
export type Order = readonly [side: number, bound: number] | boolean;

/** Marks in the matrix of orders. */
const YES = -1;
const NO = -2;
/** Before all times. */
const LEAST = -0x7fffffff;

/**
 * Jobs of which no two overlap, whatever resources keep them apart. Looks at sets of jobs: more than fits into a stretch of
 * time (overload), one that cannot come before a set and so comes after all of it (edge finding), and what comes after its known
 * predecessors together. Everything is said forwards and then once more with time turned round.
 */
export class Disjunctive implements Propagator {
  readonly sides: readonly number[];
  readonly isCostly = true;
  private readonly store: Store;
  private readonly count: number;
  private readonly length: Int32Array;
  /** For each way of time, by job: head = val[headSide] + headOffset, and tail (the latest end) = tailOffset - val[tailSide]. */
  private readonly headSide: readonly [Int32Array, Int32Array];
  private readonly headOffset: readonly [Int32Array, Int32Array];
  private readonly tailSide: readonly [Int32Array, Int32Array];
  private readonly tailOffset: readonly [Int32Array, Int32Array];
  private readonly orderSide: Int32Array;
  private readonly orderBound: Int32Array;
  private readonly head: Int32Array;
  private readonly tail: Int32Array;
  private readonly byHead: readonly [Int32Array, Int32Array];
  private readonly byTail: readonly [Int32Array, Int32Array];
  /** By place in the order of heads: the head plus all lengths from there on, within the set looked at. */
  private readonly finish: Int32Array;
  private readonly suffix: Int32Array;
  private readonly inSet: Uint8Array;
  /** Jobs that are still open, in order of head and of tail. Timetables see to the others. */
  private readonly heads: Int32Array;
  private readonly tails: Int32Array;
  private open = 0;
  private longest = 0;

  constructor(store: Store, jobs: readonly Job[], orders: readonly (readonly Order[])[]) {
    this.store = store;
    this.count = jobs.length;
    const column = (value: (job: Job) => number): Int32Array => Int32Array.from(jobs, value);
    this.length = column((job) => job.length);
    this.headSide = [column((job) => 2 * job.from.variable), column((job) => 2 * job.to.variable + 1)];
    this.headOffset = [column((job) => job.from.offset), column((job) => -job.to.offset)];
    this.tailSide = [column((job) => 2 * job.to.variable + 1), column((job) => 2 * job.from.variable)];
    this.tailOffset = [column((job) => job.to.offset), column((job) => -job.from.offset)];
    const flat = orders.flat();
    this.orderSide = Int32Array.from(flat, (order) =>
      typeof order === 'boolean' ? (order ? YES : NO) : order[0],
    );
    this.orderBound = Int32Array.from(flat, (order) => (typeof order === 'boolean' ? 0 : order[1]));
    this.head = new Int32Array(this.count);
    this.tail = new Int32Array(this.count);
    this.byHead = [column(() => 0).map((_, i) => i), column(() => 0).map((_, i) => i)];
    this.byTail = [column(() => 0).map((_, i) => i), column(() => 0).map((_, i) => i)];
    this.finish = new Int32Array(this.count + 1);
    this.suffix = new Int32Array(this.count + 1);
    this.inSet = new Uint8Array(this.count);
    this.heads = new Int32Array(this.count);
    this.tails = new Int32Array(this.count);
    this.sides = [
      ...new Set([0, 1].flatMap((way) => [...(this.headSide[way] ?? []), ...(this.tailSide[way] ?? [])])),
    ];
  }

  propagate(): boolean {
    return this.look(0) && this.look(1);
  }

  private look(way: 0 | 1): boolean {
    this.read(way);
    if (!this.afterPredecessors(way)) return false;
    this.read(way);
    this.chooseOpen(way);
    return this.open < 2 || this.findEdges(way);
  }

  private read(way: 0 | 1): void {
    const { store, count, head, tail } = this;
    const { val } = store;
    const headSide = this.headSide[way];
    const headOffset = this.headOffset[way];
    const tailSide = this.tailSide[way];
    const tailOffset = this.tailOffset[way];
    for (let i = 0; i < count; i += 1) {
      head[i] = (val[headSide[i] ?? 0] ?? 0) + (headOffset[i] ?? 0);
      tail[i] = (tailOffset[i] ?? 0) - (val[tailSide[i] ?? 0] ?? 0);
    }
    sortBy(this.byHead[way], head);
    sortBy(this.byTail[way], tail);
    store.work += count;
  }

  private chooseOpen(way: 0 | 1): void {
    const { count, head, tail, length, heads, tails } = this;
    const byHead = this.byHead[way];
    const byTail = this.byTail[way];
    this.longest = 0;
    let open = 0;
    let ends = 0;
    for (let k = 0; k < count; k += 1) {
      const i = byHead[k] ?? 0;
      if ((head[i] ?? 0) + (length[i] ?? 0) < (tail[i] ?? 0)) {
        heads[open] = i;
        open += 1;
        if ((length[i] ?? 0) > this.longest) this.longest = length[i] ?? 0;
      }
      const j = byTail[k] ?? 0;
      if ((head[j] ?? 0) + (length[j] ?? 0) < (tail[j] ?? 0)) {
        tails[ends] = j;
        ends += 1;
      }
    }
    this.open = open;
  }

  private raise(way: 0 | 1, i: number, time: number, run: number): boolean {
    return this.store.set(this.headSide[way][i] ?? 0, time - (this.headOffset[way][i] ?? 0), STORED, run);
  }

  private keepHead(way: 0 | 1, run: number, i: number, time: number): void {
    this.store.keep(run, this.headSide[way][i] ?? 0, time - (this.headOffset[way][i] ?? 0));
  }

  private keepTail(way: 0 | 1, run: number, i: number, time: number): void {
    this.store.keep(run, this.tailSide[way][i] ?? 0, (this.tailOffset[way][i] ?? 0) - time);
  }

  /** A job begins no earlier than the jobs before it can be through, one after another. */
  private afterPredecessors(way: 0 | 1): boolean {
    const { count, head, tail, length, orderSide, orderBound } = this;
    const { val } = this.store;
    const order = this.byHead[way];
    const [row, column] = way === 0 ? [count, 1] : [1, count];
    for (let j = 0; j < count; j += 1) {
      const now = head[j] ?? 0;
      if (now + (length[j] ?? 0) >= (tail[j] ?? 0)) continue;
      let total = 0;
      let best = now;
      let since = 0;
      let before = 0;
      for (let k = count - 1; k >= 0; k -= 1) {
        const i = order[k] ?? 0;
        const at = i * row + j * column;
        const side = orderSide[at] ?? NO;
        if (side < 0 ? side === NO : (val[side] ?? 0) < (orderBound[at] ?? 0)) continue;
        const first = head[i] ?? 0;
        total += length[i] ?? 0;
        before += 1;
        if (first + total > best) {
          best = first + total;
          since = first;
        }
      }
      if (best <= now || before < 2) continue;
      const run = this.store.openRun();
      for (let k = count - 1; k >= 0; k -= 1) {
        const i = order[k] ?? 0;
        if ((head[i] ?? 0) < since) break;
        const at = i * row + j * column;
        const side = orderSide[at] ?? NO;
        if (side < 0 ? side === NO : (val[side] ?? 0) < (orderBound[at] ?? 0)) continue;
        if (side >= 0) this.store.keep(run, side, orderBound[at] ?? 0);
        this.keepHead(way, run, i, since);
      }
      // The heads stay as they were read: they are in order.
      if (!this.raise(way, j, best, run)) return false;
    }
    this.store.work += (count * count) >> 3;
    return true;
  }

  /** For each latest end: the jobs that must be through by then, and those that therefore come after them. */
  private findEdges(way: 0 | 1): boolean {
    const { head, tail, length, inSet, finish, suffix, open, longest } = this;
    const order = this.heads;
    const ends = this.tails;
    inSet.fill(0);
    finish[open] = LEAST;
    suffix[open] = 0;
    let reached = 0;
    let sum = 0;
    let lastHead = LEAST;
    while (reached < open) {
      const until = tail[ends[reached] ?? 0] ?? 0;
      for (; reached < open && tail[ends[reached] ?? 0] === until; reached += 1) {
        const i = ends[reached] ?? 0;
        inSet[i] = 1;
        sum += length[i] ?? 0;
        if ((head[i] ?? 0) > lastHead) lastHead = head[i] ?? 0;
      }
      // Not even all of them and one more, begun as late as any of them can, would be too late.
      if (lastHead + sum + longest <= until) continue;
      let total = 0;
      let latest = LEAST;
      let isPushed = false;
      for (let k = open - 1; k >= 0; k -= 1) {
        const i = order[k] ?? 0;
        const first = head[i] ?? 0;
        if (inSet[i] === 1) {
          total += length[i] ?? 0;
          const end = first + total;
          finish[k] = end;
          if (end > latest) latest = end;
        } else {
          finish[k] = LEAST;
          if (first + (length[i] ?? 0) + total > until && total > 0) isPushed = true;
        }
        suffix[k] = total;
      }
      this.store.work += open >> 2;
      if (latest > until) return this.overload(way, until);
      if (reached < open && (isPushed || latest + longest > until) && !this.pushOthers(way, until))
        return false;
    }
    return true;
  }

  private overload(way: 0 | 1, until: number): boolean {
    const { store, open, inSet, finish, suffix } = this;
    const order = this.heads;
    let place = open - 1;
    while ((finish[place] ?? 0) <= until) place -= 1;
    const since = until - (suffix[place] ?? 0) + 1;
    const run = store.openRun();
    for (let k = place; k < open; k += 1) {
      const i = order[k] ?? 0;
      if (inSet[i] !== 1) continue;
      this.keepHead(way, run, i, since);
      this.keepTail(way, run, i, until);
    }
    return store.fail(run);
  }

  /** Jobs that may end later than `until`, but cannot be fitted in before the end of the set. */
  private pushOthers(way: 0 | 1, until: number): boolean {
    const { open, head, length, inSet, finish, suffix } = this;
    const order = this.heads;
    let latest = LEAST;
    for (let place = 0; place < open; place += 1) {
      if ((finish[place] ?? 0) > latest) latest = finish[place] ?? 0;
      const i = order[place] ?? 0;
      if (inSet[i] === 1) continue;
      const own = length[i] ?? 0;
      let from = -1;
      if (latest + own > until) {
        from = 0;
        while ((finish[from] ?? 0) + own <= until) from += 1;
      } else if ((head[i] ?? 0) + own + (suffix[place] ?? 0) > until) from = place + 1;
      if (from >= 0 && !this.pushAfter(way, i, from, until)) return false;
    }
    return true;
  }

  /** Job i comes after all jobs of the set from this place on. */
  private pushAfter(way: 0 | 1, i: number, from: number, until: number): boolean {
    const { store, open, head, length, inSet, finish, suffix } = this;
    const order = this.heads;
    let best = LEAST;
    let since = 0;
    for (let k = from; k < open; k += 1)
      if ((finish[k] ?? 0) > best) {
        best = finish[k] ?? 0;
        since = k;
      }
    if (best <= (head[i] ?? 0)) return true;
    const total = suffix[from] ?? 0;
    // Any earlier, and all of them would still not fit.
    const low = until - total - (length[i] ?? 0) + 1;
    const run = store.openRun();
    for (let k = from; k < open; k += 1) {
      const j = order[k] ?? 0;
      if (inSet[j] !== 1) continue;
      this.keepHead(way, run, j, k < since ? low : Math.max(low, best - (suffix[since] ?? 0)));
      this.keepTail(way, run, j, until);
    }
    this.keepHead(way, run, i, low);
    if (!this.raise(way, i, best, run)) return false;
    return true;
  }
}
