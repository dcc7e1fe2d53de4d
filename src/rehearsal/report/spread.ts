import { pooled, type Chance } from './chances.ts';

/**
 * How a length of time is spread over many rehearsals, in a table of fixed size: however many are played, it takes no more
 * room, and two tables add up to the table of both. Bins are `finest` seconds wide near 0 and grow with the distance from
 * it, to a hundredth and a half of it.
 */
export interface Spread {
  readonly finest: number;
  readonly counts: Uint32Array<ArrayBuffer>;
  /** How often it never came to an end. */
  never: number;
  least: number;
  most: number;
  sum: number;
}

/** A bin is so large a part of its distance from 0, far out. */
const RELATIVE = 1 / 64;
/** Four hundred days: nothing in a plan is longer. */
const FARTHEST = 400 * 86_400;

const place = (finest: number, value: number): number => Math.asinh((value * RELATIVE) / finest) / RELATIVE;
const edge = (finest: number, at: number): number => (Math.sinh(at * RELATIVE) * finest) / RELATIVE;
const side = (finest: number): number => Math.ceil(place(finest, FARTHEST));

/** An empty table; `finest` in seconds. */
export function spread(finest: number): Spread {
  const counts = new Uint32Array(2 * side(finest) + 1);
  return { finest, counts, never: 0, least: Infinity, most: -Infinity, sum: 0 };
}

/** Adds one rehearsal's figure, in seconds, negative ones too; one that is no number never came. */
export function count(into: Spread, value: number): void {
  if (!Number.isFinite(value)) {
    into.never += 1;
    return;
  }
  const middle = (into.counts.length - 1) / 2;
  const bin = Math.min(into.counts.length - 1, Math.max(0, middle + Math.round(place(into.finest, value))));
  into.counts[bin] = (into.counts[bin] ?? 0) + 1;
  into.least = Math.min(into.least, value);
  into.most = Math.max(into.most, value);
  into.sum += value;
}

/** Adds what another table of the same fineness counted. */
export function addSpread(into: Spread, more: Spread): void {
  for (const [bin, counted] of more.counts.entries())
    if (counted > 0) into.counts[bin] = (into.counts[bin] ?? 0) + counted;
  into.never += more.never;
  into.least = Math.min(into.least, more.least);
  into.most = Math.max(into.most, more.most);
  into.sum += more.sum;
}

/** A table in which every rehearsal stands for `weight` of them. */
export interface Weighed {
  readonly spread: Spread;
  readonly weight: number;
}

/**
 * The figure below which a share of rehearsals lies, over several tables of one fineness; Infinity where it lies among those
 * that never came. Right to the width of a bin.
 */
export function quantile(parts: readonly Weighed[], share: number): number {
  const [first] = parts;
  if (!first) return NaN;
  const total = parts.reduce((sum, { spread: { counts, never }, weight }) => {
    let counted = never;
    for (const one of counts) counted += one;
    return sum + weight * counted;
  }, 0);
  if (total === 0) return NaN;
  const least = Math.min(...parts.map(({ spread }) => spread.least));
  const most = Math.max(...parts.map(({ spread }) => spread.most));
  const { finest, counts } = first.spread;
  const middle = (counts.length - 1) / 2;
  const wanted = Math.min(1, Math.max(0, share)) * total;
  let below = 0;
  for (let bin = 0; bin < counts.length; bin += 1) {
    const here = parts.reduce((sum, { spread, weight }) => sum + weight * (spread.counts[bin] ?? 0), 0);
    if (here > 0 && below + here >= wanted - 1e-9) {
      const [low, high] = [edge(finest, bin - middle - 0.5), edge(finest, bin - middle + 0.5)];
      const inside = low + ((high - low) * Math.max(0, wanted - below)) / here;
      return Math.min(most, Math.max(least, inside));
    }
    below += here;
  }
  return Infinity;
}

/** A figure with the interval in which its true value lies with 95 % confidence. */
export interface Estimate {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/**
 * A quantile and its interval: all figures below which the share that lies there may truly be the one asked for (R. S.
 * Woodruff, Journal of the American Statistical Association 47, 1952). Each table is a class of rehearsals, of which some
 * may have been looked at in part only, so the share's interval is that of {@link pooled}. Right to the width of a bin;
 * Infinity where so few rehearsals tell nothing of how far it may lie.
 */
export function quantileWithError(parts: readonly Weighed[], share: number): Estimate {
  const value = quantile(parts, share);
  const classes = parts.map(({ spread: table, weight }) => {
    const below = addedUp(table.counts);
    return { weight, below, tries: (below.at(-1) ?? 0) + table.never };
  });
  const all = classes.reduce((sum, { weight, tries }) => sum + weight * tries, 0);
  const [first] = parts;
  if (!first || all === 0) return { value, low: NaN, high: NaN };
  const shareTo = (bin: number): Chance =>
    pooled(
      classes.map(({ weight, below, tries }) => ({
        weight: (weight * tries) / all,
        hits: below[bin] ?? 0,
        tries,
      })),
      all,
    );
  const { finest, counts } = first.spread;
  const middle = (counts.length - 1) / 2;
  const least = Math.min(...parts.map(({ spread }) => spread.least));
  const most = Math.max(...parts.map(({ spread }) => spread.most));
  const low = firstBin(counts.length, (bin) => shareTo(bin).high >= share);
  const high = firstBin(counts.length, (bin) => shareTo(bin).low > share);
  return {
    value,
    low: low < counts.length ? Math.max(least, edge(finest, low - middle - 0.5)) : Infinity,
    high: high < counts.length ? Math.min(most, edge(finest, high - middle + 0.5)) : Infinity,
  };
}

/** In each bin what is in it and in all before it. */
function addedUp(counts: Spread['counts']): Spread['counts'] {
  let all = 0;
  return counts.map((one) => {
    all += one;
    return all;
  });
}

/** The first of so many bins that is far enough, where all after it are too; their number where none is. */
function firstBin(bins: number, isFarEnough: (bin: number) => boolean): number {
  let [from, to] = [0, bins];
  while (from < to) {
    const bin = Math.floor((from + to) / 2);
    if (isFarEnough(bin)) to = bin;
    else from = bin + 1;
  }
  return from;
}
