import { Chance } from '../../src/planner/core/random.ts';
import type { Instance } from '../bench-planner/progen-max.ts';

export interface Range {
  readonly low: number;
  readonly high: number;
}

/**
 * How long an activity may take: around the length given, by `noise` times its square root both ways, in whole units and 1 at least. What takes
 * no time goes on taking none.
 */
export function rangesOf({ durations }: Instance, noise: number): Range[] {
  return durations.map((duration) => {
    const spread = noise * Math.sqrt(duration);
    if (duration === 0) return { low: 0, high: 0 };
    return { low: Math.max(1, Math.ceil(duration - spread)), high: Math.floor(duration + spread) };
  });
}

/** The length that is not exceeded with this chance, each length of the range being as likely as the others; 1 is the longest. */
export const quantile = ({ low, high }: Range, chance: number): number =>
  Math.min(high, low + Math.max(0, Math.ceil(chance * (high - low + 1)) - 1));

/** Lengths by chance, all of them independent. */
export function sample(ranges: readonly Range[], seed: number): number[] {
  const chance = new Chance(seed);
  return ranges.map(({ low, high }) => low + chance.below(high - low + 1));
}
