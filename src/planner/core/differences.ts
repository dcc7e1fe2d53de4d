import { DIFFERENCE, type Store } from './store.ts';

/**
 * Variables that are the difference of two others, D = B - A, so that "a before b" is one atom of D. The bounds of D that follow from A and B
 * are only set where somebody cares: at its thresholds, the bounds that clauses speak of. One that is exact has them all.
 */
export class Differences {
  private readonly store: Store;
  private readonly a: number[] = [];
  private readonly b: number[] = [];
  private readonly exact: boolean[] = [];
  private readonly known = new Map<number, number>();
  /** By variable: the difference it is; -1: none. */
  private of = new Int32Array(0);
  /** By variable, for each difference it is part of: side 0 of the other part and of the difference, and its number times two, plus one where it is the B. */
  private firstPart = new Int32Array(1);
  private parts = new Int32Array(0);
  private variableOf = new Int32Array(0);
  private aOf = new Int32Array(0);
  private bOf = new Int32Array(0);
  /** By side: thresholds, rising. */
  private firstThreshold = new Int32Array(1);
  private thresholds = new Int32Array(0);
  /** The first and the last threshold of a side. */
  private lowest = new Int32Array(0);
  private highest = new Int32Array(0);
  private readonly wanted: number[][] = [];
  private readonly variables: number[] = [];

  constructor(store: Store) {
    this.store = store;
  }

  get count(): number {
    return this.variables.length;
  }

  variableAt(index: number): number {
    return this.variables[index] ?? 0;
  }

  /** What a variable is the difference of. */
  partsOf(variable: number): readonly [a: number, b: number] | undefined {
    const d = this.of[variable] ?? -1;
    return d < 0 ? undefined : [this.aOf[d] ?? 0, this.bOf[d] ?? 0];
  }

  /** Whether somebody cares for certain bounds of this difference. */
  hasThresholds(variable: number): boolean {
    const first = this.firstThreshold[2 * variable] ?? 0;
    return first < (this.firstThreshold[2 * variable + 1] ?? 0) && this.thresholds[first] !== EXACT;
  }

  /** The greatest bound of the side, no greater than this, that somebody cares for. */
  thresholdBelow(side: number, bound: number): number | undefined {
    for (let i = (this.firstThreshold[side + 1] ?? 0) - 1; i >= (this.firstThreshold[side] ?? 0); i -= 1) {
      const threshold = this.thresholds[i] ?? 0;
      if (threshold <= bound) return threshold;
    }
    return undefined;
  }

  /** The variable b - a (a < b), made if need be with these bounds. */
  between(a: number, b: number, least: number, most: number): number {
    const key = a * 0x200000 + b;
    const old = this.known.get(key);
    if (old !== undefined) return this.variables[old] ?? 0;
    const variable = this.store.addVariable(least, most);
    this.known.set(key, this.variables.length);
    this.variables.push(variable);
    this.a.push(a);
    this.b.push(b);
    this.exact.push(false);
    return variable;
  }

  /** Somebody cares for this atom of a difference. */
  want(side: number, bound: number): void {
    (this.wanted[side] ??= []).push(bound);
    (this.wanted[side ^ 1] ??= []).push(1 - bound);
  }

  wantExact(variable: number): void {
    this.exact[this.variables.indexOf(variable)] = true;
  }

  freeze(): void {
    const { store } = this;
    const count = this.variables.length;
    this.of = new Int32Array(store.variables).fill(-1);
    this.variableOf = Int32Array.from(this.variables);
    this.aOf = Int32Array.from(this.a);
    this.bOf = Int32Array.from(this.b);
    const lists: number[][] = Array.from({ length: store.variables }, () => []);
    for (let d = 0; d < count; d += 1) {
      this.of[this.variables[d] ?? 0] = d;
      const [a, b, variable] = [this.a[d] ?? 0, this.b[d] ?? 0, this.variables[d] ?? 0];
      lists[a]?.push(2 * b, 2 * variable, 2 * d);
      lists[b]?.push(2 * a, 2 * variable, 2 * d + 1);
    }
    [this.firstPart, this.parts] = flattened(lists);
    const bySide: number[][] = Array.from({ length: 2 * store.variables }, () => []);
    this.wanted.forEach((bounds, side) => {
      bounds.sort((x, y) => x - y);
      bySide[side] = bounds.filter((bound, i) => bound !== bounds[i - 1]);
    });
    this.variables.forEach((variable, d) => {
      if (!this.exact[d]) return;
      bySide[2 * variable] = [EXACT];
      bySide[2 * variable + 1] = [EXACT];
    });
    [this.firstThreshold, this.thresholds] = flattened(bySide);
    this.lowest = Int32Array.from(bySide, (bounds) => bounds[0] ?? -EXACT);
    this.highest = Int32Array.from(bySide, (bounds) =>
      bounds[0] === EXACT ? -EXACT : (bounds.at(-1) ?? EXACT),
    );
  }

  propagate(side: number): boolean {
    const d = this.of[side >> 1] ?? -1;
    if (d >= 0) return this.fromDifference(d, side);
    return this.fromPart(side);
  }

  private fromDifference(d: number, side: number): boolean {
    const { store } = this;
    const { val } = store;
    const now = val[side] ?? 0;
    const same = side & 1;
    const a = 2 * (this.aOf[d] ?? 0) + same;
    const b = 2 * (this.bOf[d] ?? 0) + same;
    return (
      store.set(b, (val[a] ?? 0) + now, DIFFERENCE, d) &&
      store.set(a ^ 1, (val[b ^ 1] ?? 0) + now, DIFFERENCE, d)
    );
  }

  private fromPart(side: number): boolean {
    const { store, parts, lowest, highest } = this;
    const { val } = store;
    const variable = side >> 1;
    const same = side & 1;
    const now = val[side] ?? 0;
    const end = this.firstPart[variable + 1] ?? 0;
    for (let i = this.firstPart[variable] ?? 0; i < end; i += 3) {
      const other = parts[i] ?? 0;
      const part = parts[i + 2] ?? 0;
      // B's rise lifts D and, against D's other side, A; A's rise lifts -D and, with D, B.
      const lifted = (parts[i + 1] ?? 0) + (same ^ (part & 1) ^ 1);
      const bound = now + (val[other + (same ^ 1)] ?? 0);
      const before = val[lifted] ?? 0;
      if (
        bound > before &&
        bound >= (lowest[lifted] ?? 0) &&
        before < (highest[lifted] ?? 0) &&
        !this.lift(lifted, bound, part >> 1)
      )
        return false;
      const pushed = now + (val[lifted ^ 1] ?? 0);
      if (pushed > (val[other + same] ?? 0) && !store.set(other + same, pushed, DIFFERENCE, part >> 1))
        return false;
    }
    return true;
  }

  /** Sets the greatest threshold that has been reached. */
  private lift(side: number, bound: number, d: number): boolean {
    const { store, thresholds } = this;
    const now = store.val[side] ?? 0;
    const first = this.firstThreshold[side] ?? 0;
    for (let i = (this.firstThreshold[side + 1] ?? 0) - 1; i >= first; i -= 1) {
      const threshold = thresholds[i] ?? 0;
      if (threshold === EXACT) return store.set(side, bound, DIFFERENCE, d);
      if (threshold <= now) return true;
      if (threshold <= bound) return store.set(side, threshold, DIFFERENCE, d);
    }
    return true;
  }

  /** Where a time was moved by a difference: the side of the difference that did it; -1: the difference itself was moved. */
  throughOf(d: number, side: number): number {
    const difference = 2 * (this.variableOf[d] ?? 0);
    if (side >> 1 === difference >> 1) return -1;
    return side >> 1 === this.bOf[d] ? difference + (side & 1) : difference + ((side & 1) ^ 1);
  }

  /** The side of the other time of a difference that moves this one. */
  otherOf(d: number, side: number): number {
    const other = side >> 1 === this.bOf[d] ? this.aOf[d] : this.bOf[d];
    return 2 * (other ?? 0) + (side & 1);
  }

  /** Two bounds whose sum is the bound asked for. The later of the two is asked for no more than is needed. */
  explain(d: number, side: number, bound: number, entry: number): void {
    const { store } = this;
    const same = side & 1;
    const a = 2 * (this.aOf[d] ?? 0);
    const b = 2 * (this.bOf[d] ?? 0);
    const difference = 2 * (this.variableOf[d] ?? 0);
    if (side >> 1 === difference >> 1) {
      this.sayBoth(b + same, a + (same ^ 1), bound, entry);
      return;
    }
    const from = side >> 1 === b >> 1 ? a + same : b + same;
    const through = side >> 1 === b >> 1 ? difference + same : difference + (same ^ 1);
    const source = store.valBefore(from, entry);
    // The difference keeps a bound it really had, or clauses would speak of bounds that nobody watches for.
    let at = store.top[through] ?? 0;
    while (at >= entry) at = store.trailPrev[at] ?? 0;
    for (;;) {
      const before = store.trailPrev[at] ?? -1;
      if (before < 0 || (store.trailVal[before] ?? 0) + source < bound) break;
      at = before;
    }
    const length = store.trailVal[at] ?? 0;
    store.say(through, length);
    store.say(from, bound - length);
  }

  private sayBoth(one: number, two: number, bound: number, entry: number): void {
    const { store } = this;
    let first = store.top[one] ?? 0;
    while (first >= entry) first = store.trailPrev[first] ?? 0;
    let second = store.top[two] ?? 0;
    while (second >= entry) second = store.trailPrev[second] ?? 0;
    if (first > second) {
      store.say(two, store.trailVal[second] ?? 0);
      store.say(one, bound - (store.trailVal[second] ?? 0));
    } else {
      store.say(one, store.trailVal[first] ?? 0);
      store.say(two, bound - (store.trailVal[first] ?? 0));
    }
  }
}

/** Stands in the list of thresholds of a difference that has all its bounds set. */
const EXACT = -0x7fffffff;

/** Lists one after another, and where each begins. */
function flattened(
  lists: readonly (readonly number[])[],
): [Int32Array<ArrayBuffer>, Int32Array<ArrayBuffer>] {
  const first = new Int32Array(lists.length + 1);
  lists.forEach((list, i) => (first[i + 1] = (first[i] ?? 0) + list.length));
  return [first, Int32Array.from(lists.flat())];
}
