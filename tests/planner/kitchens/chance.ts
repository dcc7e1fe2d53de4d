/** Chance with a seed: the same seed draws the same, on every machine. */
export interface Chance {
  /** A whole number from `least` to `most`, both included. */
  readonly whole: (least: number, most: number) => number;
  /** True in so many of a hundred. */
  readonly percent: (share: number) => boolean;
  readonly one: <const T>(of: readonly [T, ...T[]]) => T;
  /** The same things in another order. */
  readonly shuffled: <T>(all: readonly T[]) => T[];
}

export function chance(seed: number): Chance {
  let state = (Math.imul(seed + 1, 0x9e3779b1) ^ 0x5bf03635) >>> 0;
  // A 32-bit mix of a running sum: plain, quick, and good enough to draw kitchens with.
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  const whole = (least: number, most: number): number => least + Math.floor(next() * (most - least + 1));
  return {
    whole,
    percent: (share) => next() * 100 < share,
    one: (of) => of[whole(0, of.length - 1)] ?? of[0],
    shuffled: (all) => {
      const left = [...all];
      return all.flatMap(() => left.splice(whole(0, left.length - 1), 1));
    },
  };
}
