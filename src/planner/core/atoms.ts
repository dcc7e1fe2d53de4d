import { grown, type Store } from './store.ts';

/** How fast old failures lose weight against new ones. */
const FADE = 0.95;
const TOO_GREAT = 1e100;
/** With more atoms than this, those that were not met for long are forgotten. */
const MANY = 8192;
const FEW = 1024;

/** Atoms that were met in failures, the most active at the top of a heap. An atom and its opposite are one here. */
export class ActiveAtoms {
  private readonly store: Store;
  private variable = new Int32Array(64);
  private bound = new Int32Array(64);
  private activity = new Float64Array(64);
  /** Where in the heap; -1: not in it. */
  private place = new Int32Array(64);
  private heap = new Int32Array(64);
  private count = 0;
  private heapSize = 0;
  /** Open addressing: number of the atom plus one. */
  private slots = new Int32Array(256);
  private step = 1;
  /** Atoms taken off the heap because they were decided, and at which level. */
  private aside = new Int32Array(64);
  private asideLevel = new Int32Array(64);
  private asideSize = 0;

  constructor(store: Store) {
    this.store = store;
  }

  bump(side: number, bound: number): void {
    const atom = this.numberOf(side >> 1, side & 1 ? 1 - bound : bound);
    const activity = (this.activity[atom] ?? 0) + this.step;
    this.activity[atom] = activity;
    if (activity > TOO_GREAT) this.rescale();
    const place = this.place[atom] ?? -1;
    if (place >= 0) this.rise(place);
  }

  fade(): void {
    this.step /= FADE;
  }

  private rescale(): void {
    for (let i = 0; i < this.count; i += 1) this.activity[i] = (this.activity[i] ?? 0) / TOO_GREAT;
    this.step /= TOO_GREAT;
  }

  private numberOf(variable: number, bound: number): number {
    const mask = this.slots.length - 1;
    let slot = slotOf(variable, bound) & mask;
    for (;;) {
      const atom = (this.slots[slot] ?? 0) - 1;
      if (atom < 0) break;
      if (this.variable[atom] === variable && this.bound[atom] === bound) return atom;
      slot = (slot + 1) & mask;
    }
    const atom = this.count;
    if (atom === this.variable.length) this.grow();
    this.count += 1;
    this.variable[atom] = variable;
    this.bound[atom] = bound;
    this.activity[atom] = 0;
    this.slots[slot] = atom + 1;
    this.insert(atom);
    if (2 * this.count > this.slots.length) this.rehash();
    return atom;
  }

  /** Forgets all but the most active where there are many. To be called with nothing decided. */
  thin(): void {
    if (this.count <= MANY) return;
    const kept = Array.from({ length: this.count }, (_, atom) => atom)
      .toSorted((a, b) => (this.activity[b] ?? 0) - (this.activity[a] ?? 0) || a - b)
      .slice(0, FEW)
      .map((atom) => [this.variable[atom] ?? 0, this.bound[atom] ?? 0, this.activity[atom] ?? 0] as const);
    this.store.work += this.count;
    this.slots.fill(0);
    this.count = 0;
    this.heapSize = 0;
    this.asideSize = 0;
    for (const [variable, bound, activity] of kept) {
      const atom = this.numberOf(variable, bound);
      this.activity[atom] = activity;
      this.rise(this.place[atom] ?? 0);
    }
  }

  private grow(): void {
    this.variable = grown(this.variable);
    this.bound = grown(this.bound);
    this.place = grown(this.place);
    this.heap = grown(this.heap);
    const wider = new Float64Array(2 * this.activity.length);
    wider.set(this.activity);
    this.activity = wider;
  }

  private rehash(): void {
    this.slots = new Int32Array(2 * this.slots.length);
    const mask = this.slots.length - 1;
    for (let atom = 0; atom < this.count; atom += 1) {
      let slot = slotOf(this.variable[atom] ?? 0, this.bound[atom] ?? 0) & mask;
      while ((this.slots[slot] ?? 0) > 0) slot = (slot + 1) & mask;
      this.slots[slot] = atom + 1;
    }
  }

  private insert(atom: number): void {
    this.heap[this.heapSize] = atom;
    this.place[atom] = this.heapSize;
    this.heapSize += 1;
    this.rise(this.heapSize - 1);
  }

  private rise(from: number): void {
    const { heap, place, activity } = this;
    const atom = heap[from] ?? 0;
    const worth = activity[atom] ?? 0;
    let at = from;
    while (at > 0) {
      const parent = (at - 1) >> 1;
      const above = heap[parent] ?? 0;
      if ((activity[above] ?? 0) >= worth) break;
      heap[at] = above;
      place[above] = at;
      at = parent;
    }
    heap[at] = atom;
    place[atom] = at;
  }

  private takeTop(): void {
    const { heap, place, activity } = this;
    place[heap[0] ?? 0] = -1;
    this.heapSize -= 1;
    const size = this.heapSize;
    if (size === 0) return;
    const atom = heap[size] ?? 0;
    const worth = activity[atom] ?? 0;
    let at = 0;
    for (;;) {
      let child = 2 * at + 1;
      if (child >= size) break;
      if (child + 1 < size && (activity[heap[child + 1] ?? 0] ?? 0) > (activity[heap[child] ?? 0] ?? 0))
        child += 1;
      const below = heap[child] ?? 0;
      if ((activity[below] ?? 0) <= worth) break;
      heap[at] = below;
      place[below] = at;
      at = child;
    }
    heap[at] = atom;
    place[atom] = at;
  }

  /** The most active atom that may still hold or not, left on the heap; -1: there is none. */
  next(): number {
    const { store } = this;
    while (this.heapSize > 0) {
      const atom = this.heap[0] ?? 0;
      const side = 2 * (this.variable[atom] ?? 0);
      const bound = this.bound[atom] ?? 0;
      if ((store.val[side] ?? 0) < bound && (store.val[side + 1] ?? 0) < 1 - bound) return atom;
      this.takeTop();
      // It will be put back, too.
      store.work += 2;
      if (this.asideSize === this.aside.length) {
        this.aside = grown(this.aside);
        this.asideLevel = grown(this.asideLevel);
      }
      this.aside[this.asideSize] = atom;
      this.asideLevel[this.asideSize] = store.level;
      this.asideSize += 1;
    }
    return -1;
  }

  /** Puts back what was decided above the level. */
  backTo(level: number): void {
    while (this.asideSize > 0 && (this.asideLevel[this.asideSize - 1] ?? 0) > level) {
      this.asideSize -= 1;
      this.insert(this.aside[this.asideSize] ?? 0);
    }
  }

  variableAt(atom: number): number {
    return this.variable[atom] ?? 0;
  }

  boundAt(atom: number): number {
    return this.bound[atom] ?? 0;
  }
}

function slotOf(variable: number, bound: number): number {
  let hash = Math.imul(variable, 0x9e3779b1) ^ Math.imul(bound, 0x85ebca6b);
  hash ^= hash >>> 15;
  hash = Math.imul(hash, 0x2c1b3c6d);
  return (hash ^ (hash >>> 13)) >>> 0;
}
