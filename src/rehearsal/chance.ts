import { seconds, type DurationRange, type Seconds } from '../units/index.ts';

/**
 * A number in [0, 1) that depends on nothing but the seed and the words: the same question always gets the same answer,
 * in whatever order questions are asked. So a replay, or a step taken back and done again, meets the same luck.
 *
 * FNV-1a over the words, then the finishing mix of MurmurHash3 (both in the public domain); 32 bits, good for draws
 * and not for secrets.
 */
export function chance(seed: number, ...words: readonly (string | number)[]): number {
  let hash = 0x811c9dc5;
  for (const letter of [seed, ...words].join('\u0000')) {
    hash = Math.imul(hash ^ (letter.codePointAt(0) ?? 0), 0x01000193);
  }
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return ((hash ^ (hash >>> 16)) >>> 0) / 2 ** 32;
}

/**
 * The length at which a share `luck` (0 to 1) of the triangular distribution through low, usual and high lies below.
 * `usual` is the most likely length, and nothing falls outside the range.
 */
export function triangular({ low, usual, high }: DurationRange, luck: number): Seconds {
  const width = high - low;
  if (width <= 0) return low;
  const peak = (usual - low) / width;
  return seconds(
    luck < peak
      ? low + Math.sqrt(luck * width * (usual - low))
      : high - Math.sqrt((1 - luck) * width * (high - usual)),
  );
}

/** A whole number of seconds between `least` and `most`, all equally likely. */
export function between(least: Seconds, most: Seconds, luck: number): Seconds {
  return seconds(Math.round(least + (most - least) * luck));
}
