import type { Engine } from './engine.ts';
import { grown, ROOT, type Store } from './store.ts';

/** How deep is looked, and how many atoms, for whether an atom of a new clause follows from the others. */
const DEPTH = 12;
const PATIENCE = 60;

/**
 * Turns a failure into a clause. From atoms that cannot hold together, the latest is replaced by its reason until only one
 * is left of the last level (the first unique implication point). Of each side only the strongest bound that is needed
 * counts, and a reason is asked for the bound that is needed, not for the one that was set.
 */
export class Analysis {
  private readonly engine: Engine;
  private readonly store: Store;
  /** By side: the bound that is needed, and the first entry that gives it; -1: not needed. */
  private need = new Int32Array(0);
  private place = new Int32Array(0);
  private readonly touched: number[] = [];
  private readonly kept: number[] = [];
  /** By side: the last clause for which it was looked at. */
  private listed = new Int32Array(0);
  private written = 0;
  /** Reasons that are being looked into, one on top of the other. */
  private stack = new Int32Array(256);
  private stackSize = 0;
  private levelBegin = 0;
  private rootEnd = 0;
  private open = 0;
  private patience = 0;
  private stamp = new Int32Array(64);
  private stamps = 0;

  /** The clause: sides and bounds in turn; the first atom follows at {@link backLevel}. */
  clause = new Int32Array(256);
  size = 0;
  backLevel = 0;
  levels = 0;
  /** Told of each atom that was met on the way. */
  onAtom: (side: number, bound: number) => void = () => undefined;

  constructor(engine: Engine) {
    this.engine = engine;
    this.store = engine.store;
  }

  /** False: the failure needs no decision, so there is no solution at all. */
  analyse(): boolean {
    const { store, engine } = this;
    if (this.need.length < 2 * store.variables) {
      this.need = new Int32Array(2 * store.variables);
      this.listed = new Int32Array(2 * store.variables);
      this.place = new Int32Array(2 * store.variables).fill(-1);
    }
    this.rootEnd = store.rootEnd();
    this.levelBegin = store.length;
    engine.explainFailure();
    this.takeSaid(store.length);
    let latest = -1;
    for (const side of this.touched) latest = Math.max(latest, this.place[side] ?? -1);
    if (latest < 0) return false;
    this.levelBegin = store.levelStart[store.levelOf(latest)] ?? 0;
    this.open = 0;
    for (const side of this.touched) if ((this.place[side] ?? -1) >= this.levelBegin) this.open += 1;
    let entry = latest;
    for (;;) {
      while (this.place[store.trailSide[entry] ?? 0] !== entry) entry -= 1;
      if (this.open === 1) break;
      const side = store.trailSide[entry] ?? 0;
      const bound = this.need[side] ?? 0;
      this.onAtom(side, bound);
      this.place[side] = -1;
      this.open -= 1;
      engine.explain(store.trailKind[entry] ?? 0, store.trailData[entry] ?? 0, side, bound, entry);
      this.takeSaid(entry);
    }
    this.write(store.trailSide[entry] ?? 0);
    return true;
  }

  private takeSaid(before: number): void {
    const { said, saidLength } = this.store;
    for (let i = 0; i < saidLength; i += 2) this.require(said[i] ?? 0, said[i + 1] ?? 0, before);
  }

  private require(side: number, bound: number, before: number): void {
    const entry = this.firstEntry(side, bound);
    if (entry >= before) throw new Error('A reason is younger than what it explains.');
    if (entry < this.rootEnd) return;
    const was = this.place[side] ?? -1;
    if (was >= 0) {
      if ((this.need[side] ?? 0) >= bound) return;
      this.need[side] = bound;
      if (was < this.levelBegin && entry >= this.levelBegin) this.open += 1;
      this.place[side] = entry;
      return;
    }
    this.place[side] = entry;
    this.need[side] = bound;
    this.touched.push(side);
    if (entry >= this.levelBegin) this.open += 1;
  }

  /** The first entry that makes the atom hold. */
  private firstEntry(side: number, bound: number): number {
    const { trailVal, trailPrev, top } = this.store;
    let entry = top[side] ?? 0;
    if ((trailVal[entry] ?? 0) < bound) throw new Error('A reason does not hold.');
    for (;;) {
      const before = trailPrev[entry] ?? -1;
      if (before < 0 || (trailVal[before] ?? 0) < bound) return entry;
      entry = before;
    }
  }

  /** Writes the clause of all that is still needed, the atom of the last level first and then the latest of the others. */
  private write(last: number): void {
    const { store } = this;
    const { kept, touched } = this;
    kept.length = 0;
    this.written += 1;
    let second = -1;
    for (const side of touched) {
      const place = this.place[side] ?? -1;
      // A side that was let go and needed again has been touched twice.
      if (place < 0 || side === last || this.listed[side] === this.written) continue;
      this.listed[side] = this.written;
      if (this.follows(side)) continue;
      kept.push(side);
      if (place <= second) continue;
      second = place;
      [kept[0], kept[kept.length - 1]] = [side, kept[0] ?? side];
    }
    this.size = kept.length + 1;
    if (2 * this.size > this.clause.length) this.clause = new Int32Array(4 * this.size);
    this.put(0, last);
    kept.forEach((side, i) => this.put(i + 1, side));
    this.backLevel = second < 0 ? 0 : store.levelOf(second);
    this.stamps += 1;
    this.levels = 1;
    for (const side of kept) {
      const level = store.levelOf(this.place[side] ?? 0);
      if (level >= this.stamp.length) {
        const wider = new Int32Array(2 * level);
        wider.set(this.stamp);
        this.stamp = wider;
      }
      if (this.stamp[level] === this.stamps) continue;
      this.stamp[level] = this.stamps;
      this.levels += 1;
    }
    for (const side of this.touched) this.place[side] = -1;
    this.touched.length = 0;
  }

  private put(index: number, side: number): void {
    const bound = this.need[side] ?? 0;
    this.onAtom(side, bound);
    this.clause[2 * index] = side ^ 1;
    this.clause[2 * index + 1] = 1 - bound;
  }

  /** Whether the atom follows from others that are needed anyway. */
  private follows(side: number): boolean {
    this.patience = PATIENCE;
    return this.isCovered(this.place[side] ?? 0, side, this.need[side] ?? 0, 0);
  }

  private isCovered(entry: number, side: number, bound: number, depth: number): boolean {
    const { store } = this;
    const kind = store.trailKind[entry] ?? 0;
    this.patience -= 1;
    if (kind === ROOT || depth > DEPTH || this.patience < 0) return false;
    this.engine.explain(kind, store.trailData[entry] ?? 0, side, bound, entry);
    const from = this.stackSize;
    const to = from + store.saidLength;
    while (to > this.stack.length) this.stack = grown(this.stack);
    for (let i = from; i < to; i += 1) this.stack[i] = store.said[i - from] ?? 0;
    this.stackSize = to;
    const covered = this.areCovered(from, to, entry, depth);
    this.stackSize = from;
    return covered;
  }

  private areCovered(from: number, to: number, entry: number, depth: number): boolean {
    for (let i = from; i < to; i += 2) {
      const other = this.stack[i] ?? 0;
      const needed = this.stack[i + 1] ?? 0;
      const first = this.firstEntry(other, needed);
      if (first < this.rootEnd) continue;
      const place = this.place[other] ?? -1;
      if (place >= 0 && place < entry && (this.need[other] ?? 0) >= needed) continue;
      if (!this.isCovered(first, other, needed, depth + 1)) return false;
    }
    return true;
  }
}
