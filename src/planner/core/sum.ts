import type { Propagator } from './propagator.ts';
import { SUM, type Store } from './store.ts';

/**
 * `total >= constant + sum of coefficient x side`, all coefficients above 0. Sums are reckoned in doubles: with bounds below
 * 2^31 and coefficients below 2^22 they are exact. A total beyond what a bound can hold is taken as the greatest there is.
 */
export class Sum implements Propagator {
  readonly sides: readonly number[];
  private readonly store: Store;
  private readonly index: number;
  /** The side of the total that rises with the terms. */
  readonly total: number;
  private readonly constant: number;
  private readonly termSide: Int32Array;
  private readonly coefficient: Float64Array;
  private readonly count: number;

  constructor(
    store: Store,
    index: number,
    total: number,
    constant: number,
    terms: readonly { readonly side: number; readonly coefficient: number }[],
  ) {
    this.store = store;
    this.index = index;
    this.total = total;
    this.constant = constant;
    this.termSide = Int32Array.from(terms, (term) => term.side);
    this.coefficient = Float64Array.from(terms, (term) => term.coefficient);
    this.count = terms.length;
    this.sides = [...new Set([...this.termSide, total ^ 1])];
  }

  propagate(): boolean {
    const { store, termSide, coefficient, count, total } = this;
    const { val } = store;
    let least = this.constant;
    for (let i = 0; i < count; i += 1) least += (coefficient[i] ?? 0) * (val[termSide[i] ?? 0] ?? 0);
    store.work += count;
    if (least > (val[total] ?? 0)) {
      if (!store.set(total, Math.min(least, LARGEST), SUM, this.index)) return false;
    }
    const most = -(val[total ^ 1] ?? 0);
    if (most >= LARGEST) return true;
    const room = most - least;
    for (let i = 0; i < count; i += 1) {
      const side = termSide[i] ?? 0;
      const rise = Math.floor(room / (coefficient[i] ?? 1));
      const low = val[side] ?? 0;
      if (low + rise < -(val[side ^ 1] ?? 0) && !store.set(side ^ 1, -(low + rise), SUM, this.index))
        return false;
    }
    return true;
  }

  explain(side: number, bound: number, entry: number): void {
    if (side === this.total) this.sayTerms(-1, bound, entry);
    else this.sayTerm(side, bound, entry);
  }

  /** The others leave less than `1 - bound` to the term. */
  private sayTerm(side: number, bound: number, entry: number): void {
    const { store, termSide, coefficient, count, total } = this;
    let place = 0;
    while (place < count && termSide[place] !== (side ^ 1)) place += 1;
    const most = -store.valBefore(total ^ 1, entry);
    // A greater total would do as well, as far as the others reach; but then they could not be asked for less.
    store.say(total ^ 1, -most);
    this.sayTerms(place, most + 1 - (coefficient[place] ?? 0) * (1 - bound), entry);
  }

  /** The sum of all terms but one is at least so much; terms are asked for less, the latest first, as long as that holds. */
  private sayTerms(but: number, needed: number, entry: number): void {
    const { store, termSide, coefficient, count } = this;
    let spare = this.constant - needed;
    for (let i = 0; i < count; i += 1)
      if (i !== but) spare += (coefficient[i] ?? 0) * store.valBefore(termSide[i] ?? 0, entry);
    const rootEnd = store.rootEnd();
    for (let i = 0; i < count; i += 1) {
      if (i === but) continue;
      const side = termSide[i] ?? 0;
      const now = store.valBefore(side, entry);
      const root = store.valBefore(side, rootEnd);
      if (now === root) continue;
      const less = Math.min(now - root, Math.floor(spare / (coefficient[i] ?? 1)));
      spare -= less * (coefficient[i] ?? 1);
      if (now - less > root) store.say(side, now - less);
    }
  }
}

/** The greatest total that is told apart. */
export const LARGEST = 2 ** 30;
