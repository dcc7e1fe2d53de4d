import type { Propagator } from './propagator.ts';
import { sortBy } from './sorting.ts';
import { STORED, type Store } from './store.ts';

/** A point in time: a variable and what is added to it. */
export interface View {
  readonly variable: number;
  readonly offset: number;
}

export interface Task {
  readonly from: View;
  readonly to: View;
  readonly amount: number;
  /** It counts only where this atom holds; undefined: always. */
  readonly present?: readonly [side: number, bound: number];
}

/** A step is cut short, and repeated, unless it leaves out this many lengths of the task. */
const LONG_WAY = 3;

/**
 * A resource over time. A task certainly takes it from its latest start to its earliest end; where the sum of these parts
 * leaves too little for another task, that task must lie before or after. Reasons speak of one moment at a time, which
 * leaves the others as much freedom as can be.
 */
export class Cumulative implements Propagator {
  readonly sides: readonly number[];
  private readonly store: Store;
  private readonly capacity: number;
  private readonly count: number;
  private readonly fromSide: Int32Array;
  private readonly fromOffset: Int32Array;
  private readonly toSide: Int32Array;
  private readonly toOffset: Int32Array;
  private readonly amount: Int32Array;
  private readonly presentSide: Int32Array;
  private readonly presentBound: Int32Array;
  /** Latest start, earliest end (in that order only where the task certainly takes something), at the last look. */
  private readonly latestFrom: Int32Array;
  private readonly earliestTo: Int32Array;
  private readonly byFrom: Int32Array;
  private readonly byTo: Int32Array;
  /** From each moment to the next so much is certainly taken. */
  private readonly moment: Int32Array;
  private readonly height: Int32Array;
  private moments = 0;
  private tallest = 0;
  private readonly chosen: Int32Array;

  constructor(store: Store, capacity: number, tasks: readonly Task[]) {
    this.store = store;
    this.capacity = capacity;
    this.count = tasks.length;
    this.fromSide = Int32Array.from(tasks, (task) => 2 * task.from.variable);
    this.fromOffset = Int32Array.from(tasks, (task) => task.from.offset);
    this.toSide = Int32Array.from(tasks, (task) => 2 * task.to.variable);
    this.toOffset = Int32Array.from(tasks, (task) => task.to.offset);
    this.amount = Int32Array.from(tasks, (task) => task.amount);
    this.presentSide = Int32Array.from(tasks, (task) => task.present?.[0] ?? -1);
    this.presentBound = Int32Array.from(tasks, (task) => task.present?.[1] ?? 0);
    this.latestFrom = new Int32Array(this.count);
    this.earliestTo = new Int32Array(this.count);
    this.byFrom = Int32Array.from(tasks, (_, i) => i);
    this.byTo = Int32Array.from(tasks, (_, i) => i);
    this.moment = new Int32Array(2 * this.count + 1);
    this.height = new Int32Array(2 * this.count + 1);
    this.chosen = new Int32Array(this.count);
    this.sides = [
      ...new Set(
        tasks.flatMap(({ from, to, present }) => [
          2 * from.variable,
          2 * from.variable + 1,
          2 * to.variable,
          2 * to.variable + 1,
          ...(present ? [present[0]] : []),
        ]),
      ),
    ];
  }

  propagate(): boolean {
    if (!this.buildProfile()) return false;
    if (this.moments === 0) return true;
    for (let i = 0; i < this.count; i += 1) {
      if (this.tallest + (this.amount[i] ?? 0) <= this.capacity) continue;
      if (!this.isPresent(i)) {
        if (!this.ruleOut(i)) return false;
      } else if (!this.pushLater(i) || !this.pushEarlier(i)) return false;
    }
    return true;
  }

  private isPresent(i: number): boolean {
    const side = this.presentSide[i] ?? -1;
    return side < 0 || (this.store.val[side] ?? 0) >= (this.presentBound[i] ?? 0);
  }

  private keepPresent(run: number, i: number): void {
    const side = this.presentSide[i] ?? -1;
    if (side >= 0) this.store.keep(run, side, this.presentBound[i] ?? 0);
  }

  private buildProfile(): boolean {
    const { store, latestFrom, earliestTo, byFrom, byTo, amount, count } = this;
    const { val } = store;
    store.work += count;
    for (let i = 0; i < count; i += 1) {
      latestFrom[i] = (this.fromOffset[i] ?? 0) - (val[(this.fromSide[i] ?? 0) ^ 1] ?? 0);
      earliestTo[i] = (this.toOffset[i] ?? 0) + (val[this.toSide[i] ?? 0] ?? 0);
      if (!this.isPresent(i)) earliestTo[i] = latestFrom[i] ?? 0;
    }
    sortBy(byFrom, latestFrom);
    sortBy(byTo, earliestTo);
    const { moment, height } = this;
    let moments = 0;
    let tallest = 0;
    let now = 0;
    let next = 0;
    for (let at = 0; at < count; at += 1) {
      const opens = byFrom[at] ?? 0;
      const time = latestFrom[opens] ?? 0;
      if ((earliestTo[opens] ?? 0) <= time) continue;
      while (next < count) {
        const closes = byTo[next] ?? 0;
        const end = earliestTo[closes] ?? 0;
        if (end > time) break;
        next += 1;
        if ((latestFrom[closes] ?? 0) >= end) continue;
        now -= amount[closes] ?? 0;
        if (moments > 0 && moment[moments - 1] === end) moments -= 1;
        moment[moments] = end;
        height[moments] = now;
        moments += 1;
      }
      now += amount[opens] ?? 0;
      if (moments > 0 && moment[moments - 1] === time) moments -= 1;
      moment[moments] = time;
      height[moments] = now;
      moments += 1;
      if (now > tallest) tallest = now;
      if (now > this.capacity) return store.fail(this.overload(-1, time, time + 1, this.capacity + 1));
    }
    for (; next < count; next += 1) {
      const closes = byTo[next] ?? 0;
      const end = earliestTo[closes] ?? 0;
      if ((latestFrom[closes] ?? 0) >= end) continue;
      now -= amount[closes] ?? 0;
      if (moments > 0 && moment[moments - 1] === end) moments -= 1;
      moment[moments] = end;
      height[moments] = now;
      moments += 1;
    }
    this.moments = moments;
    this.tallest = tallest;
    return true;
  }

  /** The last moment no later than the time; -1: the time lies before all. */
  private momentAt(time: number): number {
    const { moment } = this;
    let low = -1;
    let high = this.moments - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((moment[middle] ?? 0) <= time) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  /** Whether the task cannot run from this moment to the next. */
  private isTooMuch(i: number, at: number): boolean {
    if ((this.height[at] ?? 0) + (this.amount[i] ?? 0) <= this.capacity) return false;
    const time = this.moment[at] ?? 0;
    return time < (this.latestFrom[i] ?? 0) || time >= (this.earliestTo[i] ?? 0);
  }

  private pushLater(i: number): boolean {
    const { store, moment } = this;
    const { val } = store;
    const side = this.fromSide[i] ?? 0;
    const toSide = this.toSide[i] ?? 0;
    const offset = this.fromOffset[i] ?? 0;
    const toOffset = this.toOffset[i] ?? 0;
    let from = (val[side] ?? 0) + offset;
    if (from >= (this.latestFrom[i] ?? 0)) return true;
    let at = Math.max(0, this.momentAt(from));
    for (; at + 1 < this.moments; at += 1) {
      store.work += 1;
      const begins = moment[at] ?? 0;
      const ends = moment[at + 1] ?? 0;
      if (begins >= (val[toSide] ?? 0) + toOffset) return true;
      if (!this.isTooMuch(i, at)) continue;
      for (from = (val[side] ?? 0) + offset; from < ends; from = (val[side] ?? 0) + offset) {
        const to = (val[toSide] ?? 0) + toOffset;
        // The two ends of a task may not have heard of each other yet.
        if (to <= begins || to <= from) return true;
        const isFar = side === toSide && ends - to > LONG_WAY * (to - from);
        const until = isFar ? ends : Math.min(ends, to);
        const run = this.overload(
          i,
          isFar ? Math.max(begins, from) : until - 1,
          until,
          this.capacity + 1 - (this.amount[i] ?? 0),
        );
        this.keepPresent(run, i);
        store.keep(run, toSide, (isFar ? Math.max(begins, from) + 1 : until) - toOffset);
        if (!store.set(side, until - offset, STORED, run)) return false;
      }
    }
    return true;
  }

  private pushEarlier(i: number): boolean {
    const { store, moment } = this;
    const { val } = store;
    const side = (this.toSide[i] ?? 0) ^ 1;
    const fromSide = (this.fromSide[i] ?? 0) ^ 1;
    const offset = this.toOffset[i] ?? 0;
    const fromOffset = this.fromOffset[i] ?? 0;
    let to = offset - (val[side] ?? 0);
    if (to <= (this.earliestTo[i] ?? 0)) return true;
    let at = Math.min(this.moments - 2, this.momentAt(to - 1));
    for (; at >= 0; at -= 1) {
      store.work += 1;
      const begins = moment[at] ?? 0;
      const ends = moment[at + 1] ?? 0;
      if (ends <= fromOffset - (val[fromSide] ?? 0)) return true;
      if (!this.isTooMuch(i, at)) continue;
      for (to = offset - (val[side] ?? 0); to > begins; to = offset - (val[side] ?? 0)) {
        const from = fromOffset - (val[fromSide] ?? 0);
        if (from >= ends || from >= to) return true;
        const isFar = side === fromSide && from - begins > LONG_WAY * (to - from);
        const since = isFar ? begins : Math.max(begins, from);
        const run = this.overload(
          i,
          since,
          isFar ? Math.min(ends, to) : since + 1,
          this.capacity + 1 - (this.amount[i] ?? 0),
        );
        this.keepPresent(run, i);
        store.keep(run, fromSide, fromOffset - (isFar ? Math.min(ends, to) - 1 : since));
        if (!store.set(side, offset - since, STORED, run)) return false;
      }
    }
    return true;
  }

  /** One that may stay away must do so where what it would certainly take is not there. */
  private ruleOut(i: number): boolean {
    const { store, moment } = this;
    const { val } = store;
    const side = this.presentSide[i] ?? 0;
    const bound = this.presentBound[i] ?? 0;
    if (store.isFalse(side, bound)) return true;
    const from = (this.fromOffset[i] ?? 0) - (val[(this.fromSide[i] ?? 0) ^ 1] ?? 0);
    const to = (this.toOffset[i] ?? 0) + (val[this.toSide[i] ?? 0] ?? 0);
    if (from >= to) return true;
    for (let at = Math.max(0, this.momentAt(from)); at + 1 < this.moments; at += 1) {
      store.work += 1;
      if ((moment[at] ?? 0) >= to) return true;
      if ((this.height[at] ?? 0) + (this.amount[i] ?? 0) <= this.capacity) continue;
      const time = Math.max(from, moment[at] ?? 0);
      if (time >= (moment[at + 1] ?? 0)) continue;
      const run = this.overload(i, time, time + 1, this.capacity + 1 - (this.amount[i] ?? 0));
      store.keep(run, (this.fromSide[i] ?? 0) ^ 1, (this.fromOffset[i] ?? 0) - time);
      store.keep(run, this.toSide[i] ?? 0, time + 1 - (this.toOffset[i] ?? 0));
      return store.set(side ^ 1, 1 - bound, STORED, run);
    }
    return true;
  }

  /** Tasks other than `but` that take at least `needed` over all of `[since, until)`, as a run of atoms. */
  private overload(but: number, since: number, until: number, needed: number): number {
    const { store, latestFrom, earliestTo, amount, chosen } = this;
    let size = 0;
    let spare = -needed;
    for (let j = 0; j < this.count; j += 1) {
      if (j === but || (latestFrom[j] ?? 0) > since || (earliestTo[j] ?? 0) < until) continue;
      if ((latestFrom[j] ?? 0) >= (earliestTo[j] ?? 0)) continue;
      chosen[size] = j;
      size += 1;
      spare += amount[j] ?? 0;
    }
    store.work += this.count;
    const run = store.openRun();
    for (let k = 0; k < size; k += 1) {
      const j = chosen[k] ?? 0;
      if ((amount[j] ?? 0) <= spare) {
        spare -= amount[j] ?? 0;
        continue;
      }
      this.keepPresent(run, j);
      store.keep(run, (this.fromSide[j] ?? 0) ^ 1, (this.fromOffset[j] ?? 0) - since);
      store.keep(run, this.toSide[j] ?? 0, until - (this.toOffset[j] ?? 0));
    }
    return run;
  }
}
