import { EDGE, type Store } from './store.ts';

/** Lags that hold everywhere, each seen from both ends: "when `from` rises, `to >= from + weight`". */
export class Edges {
  private readonly store: Store;
  private readonly pending: number[] = [];
  private first = new Int32Array(1);
  private source = new Int32Array(0);
  private target = new Int32Array(0);
  private weight = new Int32Array(0);

  constructor(store: Store) {
    this.store = store;
  }

  /** `to >= from + weight` between variables. Takes effect with {@link freeze}. */
  add(from: number, to: number, weight: number): void {
    this.pending.push(2 * from, 2 * to, weight, 2 * to + 1, 2 * from + 1, weight);
  }

  freeze(): void {
    const sides = 2 * this.store.variables;
    const all = this.pending.length / 3;
    this.first = new Int32Array(sides + 1);
    this.source = new Int32Array(all);
    this.target = new Int32Array(all);
    this.weight = new Int32Array(all);
    const { first, pending } = this;
    for (let i = 0; i < pending.length; i += 3)
      first[(pending[i] ?? 0) + 1] = (first[(pending[i] ?? 0) + 1] ?? 0) + 1;
    for (let side = 0; side < sides; side += 1) first[side + 1] = (first[side + 1] ?? 0) + (first[side] ?? 0);
    const next = first.slice();
    for (let i = 0; i < pending.length; i += 3) {
      const from = pending[i] ?? 0;
      const edge = next[from] ?? 0;
      next[from] = edge + 1;
      this.source[edge] = from;
      this.target[edge] = pending[i + 1] ?? 0;
      this.weight[edge] = pending[i + 2] ?? 0;
    }
  }

  propagate(side: number): boolean {
    const { store, target, weight } = this;
    const { val } = store;
    const now = val[side] ?? 0;
    const end = this.first[side + 1] ?? 0;
    for (let edge = this.first[side] ?? 0; edge < end; edge += 1) {
      const to = target[edge] ?? 0;
      const bound = now + (weight[edge] ?? 0);
      if (bound > (val[to] ?? 0) && !store.set(to, bound, EDGE, edge)) return false;
    }
    return true;
  }

  /** The side that an edge goes out from. */
  sourceOf(edge: number): number {
    return this.source[edge] ?? 0;
  }

  explain(edge: number, bound: number): void {
    this.store.say(this.source[edge] ?? 0, bound - (this.weight[edge] ?? 0));
  }
}
