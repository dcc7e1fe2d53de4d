import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { chance } from '../../src/rehearsal/chance.ts';
import { difference, pooled, wilson } from '../../src/rehearsal/report/chances.ts';
import {
  addSpread,
  count,
  quantile,
  quantileWithError,
  spread,
  type Weighed,
} from '../../src/rehearsal/report/spread.ts';

const rounded = ({ share, low, high }: { share: number; low: number; high: number }): string =>
  [share, low, high].map((value) => value.toFixed(3)).join(' ');

describe('a chance and its interval', () => {
  test.each([
    [8, 10, '0.800 0.490 0.943'],
    [0, 20, '0.000 0.000 0.161'],
    [20, 20, '1.000 0.839 1.000'],
    [500, 1000, '0.500 0.469 0.531'],
  ])('%d of %d', (hits, tries, expected) => {
    expect(rounded(wilson(hits, tries))).toBe(expected);
  });

  test('nothing looked at says nothing', () => {
    expect(wilson(0, 0)).toMatchObject({ low: 0, high: 1 });
  });

  test('of one class it is that of the class', () => {
    expect(rounded(pooled([{ weight: 1, hits: 8, tries: 10 }], 10))).toBe(rounded(wilson(8, 10)));
  });

  test('a class that was looked at in part only makes it wide, though nothing was found there', () => {
    const all = pooled([{ weight: 1, hits: 0, tries: 1000 }], 1000);
    const part = pooled(
      [
        { weight: 0.5, hits: 0, tries: 500 },
        { weight: 0.5, hits: 0, tries: 20 },
      ],
      1000,
    );
    expect(all.high).toBeLessThan(0.004);
    expect(part).toMatchObject({ share: 0, low: 0 });
    expect(part.high).toBeCloseTo(0.5 * wilson(0, 20).high, 2);
  });

  /* Nature has three classes; the second and third are looked at in part. The interval holds the truth in 93 of 100 studies at least. */
  test('holds the truth of a double sample as often as it says', () => {
    const classes = [
      { weight: 0.6, chance: 0.02, most: Infinity },
      { weight: 0.3, chance: 0.1, most: 40 },
      { weight: 0.1, chance: 0.7, most: 20 },
    ];
    const truth = classes.reduce((sum, own) => sum + own.weight * own.chance, 0);
    const [studies, runs] = [600, 300];
    let held = 0;
    for (let one = 0; one < studies; one += 1) {
      const sizes = [0, 0, 0];
      const hits = [0, 0, 0];
      const tries = [0, 0, 0];
      for (let run = 0; run < runs; run += 1) {
        const of = chance(one, 'class', run);
        const index = of < 0.6 ? 0 : of < 0.9 ? 1 : 2;
        sizes[index] = (sizes[index] ?? 0) + 1;
        if ((tries[index] ?? 0) >= (classes[index]?.most ?? 0)) continue;
        tries[index] = (tries[index] ?? 0) + 1;
        if (chance(one, 'hit', run) < (classes[index]?.chance ?? 0)) hits[index] = (hits[index] ?? 0) + 1;
      }
      const { low, high } = pooled(
        sizes.map((size, index) => ({
          weight: size / runs,
          hits: hits[index] ?? 0,
          tries: tries[index] ?? 0,
        })),
        runs,
      );
      if (low <= truth && truth <= high) held += 1;
    }
    expect(held / studies).toBeGreaterThan(0.93);
    expect(held / studies).toBeLessThan(0.995);
  });

  test('a difference on the same rehearsals', () => {
    expect(difference(0, 0, 500)).toMatchObject({ by: 0 });
    expect(difference(0, 0, 500).low).toBeLessThan(0);
    const better = difference(60, 2, 500);
    expect(better.by).toBeCloseTo(0.116, 6);
    expect(better.low).toBeGreaterThan(0.08);
    expect(better.high).toBeLessThan(0.15);
  });
});

describe('a spread of fixed size', () => {
  const values = fc.array(fc.double({ min: -90_000, max: 90_000, noNaN: true }), {
    minLength: 1,
    maxLength: 300,
  });
  const spreadOf = (all: readonly number[], finest = 1) => {
    const table = spread(finest);
    for (const value of all) count(table, value);
    return table;
  };

  test('tells quantiles to the width of a bin: a second, or a hundredth and a half of the figure', () => {
    fc.assert(
      fc.property(values, fc.double({ min: 0.01, max: 1, noNaN: true }), (all, share) => {
        const sorted = all.toSorted((a, b) => a - b);
        const exact = sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length - 1e-9) - 1)] ?? NaN;
        const told = quantile([{ spread: spreadOf(all), weight: 1 }], share);
        expect(Math.abs(told - exact)).toBeLessThanOrEqual(1.1 + Math.abs(exact) / 60);
      }),
      { seed: 51, numRuns: 200 },
    );
  });

  test('two tables add up to the table of both, and one is as large for many as for few', () => {
    fc.assert(
      fc.property(values, values, (some, others) => {
        const both = spreadOf(some);
        addSpread(both, spreadOf(others));
        const together = spreadOf([...some, ...others]);
        expect(both.counts).toEqual(together.counts);
        expect(both.counts).toHaveLength(spread(1).counts.length);
        expect([both.least, both.most]).toEqual([together.least, together.most]);
      }),
      { seed: 52, numRuns: 50 },
    );
  });

  test('what never came lies above everything', () => {
    const parts = [{ spread: spreadOf([10, 20, 30, NaN]), weight: 1 }];
    expect(Math.abs(quantile(parts, 0.5) - 20)).toBeLessThan(1.1);
    expect(quantile(parts, 0.9)).toBe(Infinity);
  });

  test('weights count', () => {
    const parts = [
      { spread: spreadOf(Array.from({ length: 90 }, () => 0)), weight: 1 },
      { spread: spreadOf(Array.from({ length: 10 }, () => 600)), weight: 9 },
    ];
    expect(quantile(parts, 0.4)).toBeCloseTo(0, 0);
    expect(quantile(parts, 0.6)).toBeCloseTo(600, -1);
  });

  test('where it lies cannot be told from few: it may lie beyond all that were seen', () => {
    const few = [{ spread: spreadOf(Array.from({ length: 50 }, (_, at) => at)), weight: 1 }];
    const told = quantileWithError(few, 0.99);
    expect(told.value).toBeCloseTo(48.5, 0);
    expect(told.low).toBeLessThan(48);
    expect(told.high).toBe(Infinity);
    expect(quantileWithError(few, 0.5)).toMatchObject({ value: expect.closeTo(24.5, 0) });
    expect(quantileWithError(few, 0.5).high).toBeLessThan(35);
  });

  /* How often the interval of a quantile holds the true one, over 300 studies; the standard error of that is 1.3 points. */
  const heldIn300 = (share: number, truth: number, partsOf: (study: number) => readonly Weighed[]): number =>
    Array.from({ length: 300 }, (_, study) => quantileWithError(partsOf(study), share)).filter(
      ({ low, high }) => low <= truth && truth <= high,
    ).length / 300;

  /* 400 draws from 0 to 1000, all equally likely. */
  test.each([0.5, 0.9, 0.99])('its interval holds the true quantile of %d in 95 of 100 or more', (share) => {
    const held = heldIn300(share, 1000 * share, (study) => [
      {
        spread: spreadOf(Array.from({ length: 400 }, (_, draw) => 1000 * chance(study, 'draw', draw))),
        weight: 1,
      },
    ]);
    expect(held).toBeGreaterThan(0.93);
    expect(held).toBeLessThan(0.995);
  });

  /* The tail lies in classes of which 40 and 20 are looked at: these few are all that is known of it, however many are played. */
  test.each([
    [0.5, 1300 / 3],
    [0.9, 6000 / 7],
    [0.99, 1680],
  ])('and so it does where the tail was looked at in part only: %d', (share, truth) => {
    const nature = [
      { upTo: 0.6, from: 0, to: 600, most: Infinity },
      { upTo: 0.9, from: 300, to: 900, most: 40 },
      { upTo: 1, from: 600, to: 1800, most: 20 },
    ];
    const held = heldIn300(share, truth, (study) => {
      const sizes = nature.map(() => 0);
      const looked = nature.map((): number[] => []);
      for (let run = 0; run < 400; run += 1) {
        const of = nature.findIndex(({ upTo }) => chance(study, 'class', run) < upTo);
        const { from, to, most } = nature[of] ?? { from: 0, to: 0, most: 0 };
        sizes[of] = (sizes[of] ?? 0) + 1;
        if ((looked[of]?.length ?? 0) < most)
          looked[of]?.push(from + (to - from) * chance(study, 'draw', run));
      }
      return looked.map((values, of) => ({
        spread: spreadOf(values),
        weight: (sizes[of] ?? 0) / Math.max(1, values.length),
      }));
    });
    expect(held).toBeGreaterThan(0.93);
  });
});
