import { Clauses } from './clauses.ts';
import { Cycles } from './cycles.ts';
import { Differences } from './differences.ts';
import { Edges } from './edges.ts';
import type { Propagator } from './propagator.ts';
import { CLAUSE, DIFFERENCE, EDGE, STORED, SUM, Store } from './store.ts';
import type { Sum } from './sum.ts';

/** The variables, everything that must hold between them, and drawing conclusions until nothing follows any more. */
export class Engine {
  readonly store = new Store();
  readonly edges = new Edges(this.store);
  readonly differences = new Differences(this.store);
  readonly clauses = new Clauses(this.store);
  private readonly cycles = new Cycles(this.store, this.edges, this.differences);
  readonly sums: Sum[] = [];
  private readonly propagators: Propagator[] = [];
  private firstListener = new Int32Array(1);
  private listeners = new Int32Array(0);
  private queued = new Uint8Array(0);
  private queue = new Int32Array(0);
  private queueEnd = 0;
  private isCostly = new Uint8Array(0);
  private costly = new Int32Array(0);
  private costlyEnd = 0;
  private costlyCount = 0;
  private patience = 0;
  /** Whether the costly propagators are asked at all. */
  isThorough = true;

  addPropagator(propagator: Propagator): void {
    this.propagators.push(propagator);
  }

  /** To be called once everything has been added, and before anything is asked. */
  freeze(): void {
    const { store, propagators } = this;
    this.edges.freeze();
    this.differences.freeze();
    this.cycles.freeze();
    const lists: number[][] = Array.from({ length: 2 * store.variables }, () => []);
    propagators.forEach((propagator, i) => {
      for (const side of propagator.sides) lists[side]?.push(i);
    });
    this.firstListener = new Int32Array(lists.length + 1);
    lists.forEach((list, i) => (this.firstListener[i + 1] = (this.firstListener[i] ?? 0) + list.length));
    this.listeners = Int32Array.from(lists.flat());
    this.queued = new Uint8Array(propagators.length).fill(1);
    this.isCostly = Uint8Array.from(propagators, (propagator) => (propagator.isCostly ? 1 : 0));
    this.queue = Int32Array.from(propagators, (_, i) => i);
    this.queueEnd = propagators.length;
    this.costlyCount = propagators.filter((propagator) => propagator.isCostly).length;
    this.costly = new Int32Array(propagators.length);
    store.head = 0;
    store.told.fill(-0x7fffffff);
  }

  /** False: what is decided cannot hold; the store has noted the failure. */
  propagate(): boolean {
    const { store } = this;
    this.cycles.begin();
    this.patience = this.isThorough ? this.costlyCount : 0;
    for (;;) {
      while (store.head < store.length) {
        const entry = store.head;
        store.head = entry + 1;
        const side = store.trailSide[entry] ?? 0;
        // A later entry of the same side speaks for this one too.
        if (store.top[side] !== entry) continue;
        store.work += 1;
        if (!this.cycles.isSound(entry)) return this.giveUp();
        if (!this.edges.propagate(side) || !this.differences.propagate(side) || !this.clauses.propagate(side))
          return this.giveUp();
        store.told[side] = store.trailVal[entry] ?? 0;
        this.wake(side);
      }
      const next = this.nextInQueue();
      if (next < 0) return true;
      if (!this.propagators[next]?.propagate()) return this.giveUp();
    }
  }

  /** Takes a waiting propagator; the costly ones wait for all others. */
  private nextInQueue(): number {
    if (this.queueEnd > 0) {
      this.queueEnd -= 1;
      const next = this.queue[this.queueEnd] ?? 0;
      this.queued[next] = 0;
      return next;
    }
    if (this.costlyEnd === 0 || this.patience === 0) return -1;
    this.patience -= 1;
    this.costlyEnd -= 1;
    const next = this.costly[this.costlyEnd] ?? 0;
    this.queued[next] = 0;
    return next;
  }

  /** Sets what a new clause says now; false when it cannot be. */
  follow(side: number, bound: number, clause: number): boolean {
    return this.store.set(side, bound, CLAUSE, clause);
  }

  private wake(side: number): void {
    const end = this.firstListener[side + 1] ?? 0;
    for (let i = this.firstListener[side] ?? 0; i < end; i += 1) {
      const listener = this.listeners[i] ?? 0;
      if (this.queued[listener] === 1) continue;
      this.queued[listener] = 1;
      if (this.isCostly[listener] === 1) {
        this.costly[this.costlyEnd] = listener;
        this.costlyEnd += 1;
      } else {
        this.queue[this.queueEnd] = listener;
        this.queueEnd += 1;
      }
    }
  }

  private giveUp(): false {
    while (this.costlyEnd > 0) {
      this.costlyEnd -= 1;
      this.queued[this.costly[this.costlyEnd] ?? 0] = 0;
    }
    while (this.queueEnd > 0) {
      this.queueEnd -= 1;
      this.queued[this.queue[this.queueEnd] ?? 0] = 0;
    }
    return false;
  }

  /** Says atoms from which "side >= bound" follows, all true before the entry. */
  explain(kind: number, data: number, side: number, bound: number, entry: number): void {
    const { store } = this;
    store.saidLength = 0;
    if (kind === CLAUSE) this.clauses.explain(data, side);
    else if (kind === EDGE) this.edges.explain(data, bound);
    else if (kind === DIFFERENCE) this.differences.explain(data, side, bound, entry);
    else if (kind === STORED) store.sayRun(data);
    else if (kind === SUM) this.sums[data]?.explain(side, bound, entry);
    else throw new Error('A decision was asked for its reason.');
  }

  /** Says atoms that cannot hold together, after a failure. */
  explainFailure(): void {
    const { store } = this;
    if (store.failSide < 0) {
      store.saidLength = 0;
      store.sayRun(store.failData);
      return;
    }
    this.explain(store.failKind, store.failData, store.failSide, store.failBound, store.length);
    store.say(store.failSide ^ 1, 1 - store.failBound);
  }
}
