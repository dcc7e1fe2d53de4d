import { seconds, type DurationRange, type Seconds } from '../units/index.ts';

/**
 * A number in [0, 1) that depends on nothing but the seed and the words: the same question always gets the same answer,
 * in whatever order questions are asked. So a replay, or a step taken back and done again, meets the same luck.
 *
 * FNV-1a over the words, then the finishing mix of MurmurHash3 (both in the public domain); 32 bits, good for draws
 * and not for secrets.
 */
export function chance(seed: number, ...words: readonly (string | number)[]): number {
  return chanceOf(begunWith(seed), letters(...words));
}

/** The words of a question as they enter its hash, made once where it is asked for many seeds. */
export type Letters = Uint32Array;

/** The words of a question; after the seed, and each after the other, comes a zero. */
export const letters = (...words: readonly (string | number)[]): Letters =>
  Uint32Array.from(['', ...words].join('\u0000'), (letter) => letter.codePointAt(0) ?? 0);

/** The hash of a seed, from which every question of that seed goes on. */
export const begunWith = (seed: number): number =>
  Array.from(String(seed), (letter) => letter.codePointAt(0) ?? 0).reduce(mixed, 0x811c9dc5);

const mixed = (hash: number, letter: number): number => Math.imul(hash ^ letter, 0x01000193);

/** {@link chance} of a seed's hash and a question's letters. */
export function chanceOf(seed: number, asked: Letters): number {
  let hash = seed;
  for (let place = 0; place < asked.length; place += 1) hash = mixed(hash, asked[place] ?? 0);
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

/** A whole number of seconds from `least` to `most`, all equally likely but for these two, which are half as likely. */
export function between(least: Seconds, most: Seconds, luck: number): Seconds {
  return seconds(Math.round(least + (most - least) * luck));
}
