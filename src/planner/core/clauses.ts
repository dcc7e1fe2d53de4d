import { grown, CLAUSE, ROOT, type Store } from './store.ts';

/** Before the atoms of a clause: how many, on how many levels they lay when it was learned (0: not learned), and its use. */
const HEADER = 3;
/** A watch: the bound at which the atom becomes false, the clause, and an atom that makes the clause true more often than not. */
const WATCH = 4;

/** What became of a clause when one of its watched atoms turned false. */
const TRUE = 0;
const MOVED = 1;
const UNIT = 2;

/**
 * Clauses (sets of atoms of which at least one holds), in one array, each watched at two atoms that are not false. A watch
 * lies with the side whose rise makes the atom false.
 */
export class Clauses {
  private readonly store: Store;
  data = new Int32Array(1024);
  private used = 0;
  private readonly watches: Int32Array<ArrayBuffer>[] = [];
  private counts = new Int32Array(64);
  private refs: number[] = [];
  learned = 0;

  constructor(store: Store) {
    this.store = store;
  }

  /** Adds a clause that holds everywhere; false when it cannot be met. Only at the root. */
  add(atoms: readonly (readonly [side: number, bound: number])[]): boolean {
    const weakest = new Map<number, number>();
    for (const [side, bound] of atoms) {
      if (this.store.isTrue(side, bound)) return true;
      if (!this.store.isFalse(side, bound)) weakest.set(side, Math.min(bound, weakest.get(side) ?? bound));
    }
    for (const [side, bound] of weakest) if (1 - bound >= (weakest.get(side ^ 1) ?? Infinity)) return true;
    const [first, second] = weakest;
    if (!first) return false;
    if (!second) return this.store.set(first[0], first[1], ROOT, 0);
    this.write([...weakest].flat(), weakest.size, 0);
    return true;
  }

  /** Writes a clause of sides and bounds in turn, its first two atoms being those to watch. */
  write(flat: ArrayLike<number>, size: number, levels: number): number {
    const clause = this.used;
    while (clause + HEADER + 2 * size > this.data.length) this.data = grown(this.data);
    const { data } = this;
    data[clause] = size;
    data[clause + 1] = levels;
    data[clause + 2] = 0;
    const at = clause + HEADER;
    for (let i = 0; i < 2 * size; i += 1) data[at + i] = flat[i] ?? 0;
    this.used = at + 2 * size;
    this.refs.push(clause);
    if (levels > 0) this.learned += 1;
    this.watch(data[at] ?? 0, data[at + 1] ?? 0, clause, data[at + 2] ?? 0, data[at + 3] ?? 0);
    this.watch(data[at + 2] ?? 0, data[at + 3] ?? 0, clause, data[at] ?? 0, data[at + 1] ?? 0);
    return clause;
  }

  private watch(side: number, bound: number, clause: number, otherSide: number, otherBound: number): void {
    const where = side ^ 1;
    while (this.counts.length <= where) this.counts = grown(this.counts);
    while (this.watches.length <= where) this.watches.push(NONE);
    const end = this.counts[where] ?? 0;
    let list = this.watches[where] ?? NONE;
    if (end + WATCH > list.length) {
      const wider = new Int32Array(Math.max(4 * WATCH, 2 * list.length));
      wider.set(list);
      list = wider;
      this.watches[where] = list;
    }
    list[end] = 1 - bound;
    list[end + 1] = clause;
    list[end + 2] = otherSide;
    list[end + 3] = otherBound;
    this.counts[where] = end + WATCH;
  }

  /** Draws what follows from a side's rise. */
  propagate(side: number): boolean {
    const { store } = this;
    const { val } = store;
    let list = this.watches[side] ?? NONE;
    const old = store.told[side] ?? 0;
    const now = val[side] ?? 0;
    let to = 0;
    let from = 0;
    let fine = true;
    while (fine && from < (this.counts[side] ?? 0)) {
      const at = list[from] ?? 0;
      if (at <= now && at > old && (val[list[from + 2] ?? 0] ?? 0) < (list[from + 3] ?? 0)) {
        const became = this.visit(side, at, list, from);
        // Another watch may have made this very list longer, and then it is another array.
        list = this.watches[side] ?? NONE;
        if (became === MOVED) {
          from += WATCH;
          continue;
        }
        if (became === UNIT) {
          const clause = list[from + 1] ?? 0;
          const first = clause + HEADER;
          fine = store.set(this.data[first] ?? 0, this.data[first + 1] ?? 0, CLAUSE, clause);
        }
      }
      if (to !== from) {
        list[to] = list[from] ?? 0;
        list[to + 1] = list[from + 1] ?? 0;
        list[to + 2] = list[from + 2] ?? 0;
        list[to + 3] = list[from + 3] ?? 0;
      }
      to += WATCH;
      from += WATCH;
    }
    if (to !== from) {
      const end = this.counts[side] ?? 0;
      list.copyWithin(to, from, end);
      this.counts[side] = to + end - from;
    }
    return fine;
  }

  private visit(side: number, at: number, list: Int32Array, from: number): number {
    const { data, store } = this;
    const { val } = store;
    store.work += 1;
    const clause = list[from + 1] ?? 0;
    const first = clause + HEADER;
    if (((data[first] ?? 0) ^ 1) === side && 1 - (data[first + 1] ?? 0) === at) swap(data, first, first + 2);
    const firstSide = data[first] ?? 0;
    const firstBound = data[first + 1] ?? 0;
    if ((val[firstSide] ?? 0) >= firstBound) {
      list[from + 2] = firstSide;
      list[from + 3] = firstBound;
      return TRUE;
    }
    const end = first + 2 * (data[clause] ?? 0);
    for (let atom = first + 4; atom < end; atom += 2) {
      const other = data[atom] ?? 0;
      const bound = data[atom + 1] ?? 0;
      if ((val[other ^ 1] ?? 0) + bound > 0) continue;
      swap(data, first + 2, atom);
      this.watch(other, bound, clause, firstSide, firstBound);
      return MOVED;
    }
    return UNIT;
  }

  /** The atoms that made the clause's atom on this side hold: the opposites of all others. */
  explain(clause: number, side: number): void {
    const { data, store } = this;
    data[clause + 2] = (data[clause + 2] ?? 0) + 1;
    const first = clause + HEADER;
    const end = first + 2 * (data[clause] ?? 0);
    for (let atom = first; atom < end; atom += 2) {
      const other = data[atom] ?? 0;
      if (other !== side) store.say(other ^ 1, 1 - (data[atom + 1] ?? 0));
    }
  }

  /**
   * At the root: drops clauses that hold for good and, when `half` is set, the half of the learned ones that are of least
   * use; shortens the rest. Rewrites everything, so that clauses lie side by side. False when a clause cannot be met.
   */
  tidy(half: boolean): boolean {
    const old = this.data;
    const kept = this.worthKeeping(half);
    this.data = new Int32Array(old.length);
    this.used = 0;
    this.learned = 0;
    this.refs = [];
    this.counts.fill(0);
    const flat: number[] = [];
    for (const clause of kept) {
      flat.length = 0;
      let holds = false;
      const end = clause + HEADER + 2 * (old[clause] ?? 0);
      for (let atom = clause + HEADER; atom < end && !holds; atom += 2) {
        const side = old[atom] ?? 0;
        const bound = old[atom + 1] ?? 0;
        holds = this.store.isTrue(side, bound);
        if (!this.store.isFalse(side, bound)) flat.push(side, bound);
      }
      if (holds) continue;
      if (flat.length === 0) return false;
      if (flat.length === 2) {
        if (!this.store.set(flat[0] ?? 0, flat[1] ?? 0, ROOT, 0)) return false;
        continue;
      }
      const written = this.write(flat, flat.length / 2, old[clause + 1] ?? 0);
      this.data[written + 2] = (old[clause + 2] ?? 0) >> 1;
    }
    return true;
  }

  private worthKeeping(half: boolean): readonly number[] {
    if (!half) return this.refs;
    const { data } = this;
    const core = 2;
    const spare = this.refs.filter((clause) => (data[clause + 1] ?? 0) > core);
    const worth = (clause: number): number => (data[clause + 2] ?? 0) / (data[clause + 1] ?? 1);
    spare.sort((a, b) => worth(b) - worth(a) || b - a);
    const dropped = new Set(spare.slice(spare.length >> 1));
    return this.refs.filter((clause) => !dropped.has(clause));
  }
}

const NONE = new Int32Array(0);

function swap(data: Int32Array, a: number, b: number): void {
  const side = data[a] ?? 0;
  const bound = data[a + 1] ?? 0;
  data[a] = data[b] ?? 0;
  data[a + 1] = data[b + 1] ?? 0;
  data[b] = side;
  data[b + 1] = bound;
}
