import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { chance } from '../../src/rehearsal/chance.ts';
import { difference, pooled, wilson } from '../../src/rehearsal/report/chances.ts';
import { addSpread, count, quantile, quantileWithError, spread } from '../../src/rehearsal/report/spread.ts';

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

  /* 400 draws from 0 to 1000, all equally likely, 300 times over. */
  test('its interval holds the true quantile in some 95 of 100', () => {
    let held = 0;
    for (let one = 0; one < 300; one += 1) {
      const all = Array.from({ length: 400 }, (_, draw) => 1000 * chance(one, 'draw', draw));
      const { low, high } = quantileWithError([{ spread: spreadOf(all), weight: 1 }], 0.9);
      if (low <= 900 && 900 <= high) held += 1;
    }
    expect(held / 300).toBeGreaterThan(0.92);
    expect(held / 300).toBeLessThan(0.99);
  });
});
