import { Z } from '../report/chances.ts';

/** How often each whole number of seconds came: however many evenings are played, it stays small. */
export type Tally = Map<number, number>;

export const count = (tally: Tally, value: number): void =>
  void tally.set(value, (tally.get(value) ?? 0) + 1);

/** How many values are in it, or how many of those for which `is` holds. */
export function total(tally: Tally, is: (value: number) => boolean = () => true): number {
  let sum = 0;
  for (const [value, often] of tally) if (is(value)) sum += often;
  return sum;
}

/**
 * A figure below which a share of the evenings lie, and between what it lies itself with 95 % confidence: an end that so few
 * evenings cannot tell is infinite.
 */
export interface Quantile {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/**
 * The value below which a share of the values lie; 0 where there are none. Its 95 % interval is that of order statistics,
 * whatever the distribution (H. A. David, H. N. Nagaraja, Order Statistics, 3rd ed. 2003, section 7.1), with the binomial
 * taken as normal.
 */
export function quantile(tally: Tally, share: number): Quantile {
  const values = [...tally].toSorted(([a], [b]) => a - b);
  const all = total(tally);
  const at = (rank: number): number => {
    if (all > 0 && rank > all) return Infinity;
    if (all > 0 && rank < 1) return -Infinity;
    let left = Math.ceil(rank);
    for (const [value, often] of values) {
      left -= often;
      if (left <= 0) return value;
    }
    return values.at(-1)?.[0] ?? 0;
  };
  const [middle, half] = [all * share, Z * Math.sqrt(all * share * (1 - share))];
  return { value: at(Math.max(1, middle)), low: at(middle - half), high: at(middle + half + 1) };
}
