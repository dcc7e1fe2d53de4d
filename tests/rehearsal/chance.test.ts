import fc from 'fast-check';
import { expect, test } from 'vitest';
import { between, chance, triangular } from '../../src/rehearsal/chance.ts';
import { minutes, seconds, type DurationRange } from '../../src/units/index.ts';

const range = (low: number, usual: number, high: number): DurationRange => ({
  low: minutes(low),
  usual: minutes(usual),
  high: minutes(high),
});

test('the same question gets the same answer, another seed or word another one', () => {
  expect(chance(1, 'nature', 'cream.warm', 1)).toBe(chance(1, 'nature', 'cream.warm', 1));
  const answers = [
    chance(1, 'nature', 'cream.warm', 1),
    chance(2, 'nature', 'cream.warm', 1),
    chance(1, 'nature', 'cream.warm', 2),
    chance(1, 'nature', 'cream.warm1', ''),
    chance(1, 'delay', 'cream.warm', 1),
  ];
  expect(new Set(answers).size).toBe(answers.length);
});

test('answers spread evenly over [0, 1)', () => {
  const answers = Array.from({ length: 10_000 }, (_, seed) => chance(seed, 'x'));
  const tenths = Array.from({ length: 10 }, (_, i) => answers.filter((a) => Math.floor(a * 10) === i).length);
  // 1000 expected in each; 5 standard deviations are 150.
  for (const count of tenths) expect(Math.abs(count - 1000)).toBeLessThan(150);
});

test.each([
  ['nothing lies below the low end', range(9, 10, 13), 0, 540],
  ['the share below the usual is (usual - low) / (high - low)', range(9, 10, 13), 0.25, 600],
  ['half-way in a lopsided range', range(9, 10, 13), 0.5, Math.round(780 - Math.sqrt(0.5 * 240 * 180))],
  ['nothing lies above the high end', range(9, 10, 13), 1, 780],
  ['a usual at the low end', range(9, 9, 13), 0, 540],
  ['a usual at the high end', range(9, 13, 13), 1, 780],
  ['one figure', range(12, 12, 12), 0.7, 720],
])('triangular: %s', (_name, length, luck, expected) => {
  expect(Math.round(triangular(length, luck))).toBe(expected);
});

test('triangular lengths stay in their range and grow with luck', () => {
  const figure = fc.integer({ min: 0, max: 10_000 });
  const luck = fc.double({ min: 0, max: 1, noNaN: true });
  fc.assert(
    fc.property(figure, figure, figure, luck, luck, (a, b, c, one, two) => {
      const [low = 0, usual = 0, high = 0] = [a, b, c].toSorted((x, y) => x - y);
      const length = { low: seconds(low), usual: seconds(usual), high: seconds(high) };
      const [less, more] = [triangular(length, Math.min(one, two)), triangular(length, Math.max(one, two))];
      expect(less).toBeGreaterThanOrEqual(low - 1e-9);
      expect(more).toBeLessThanOrEqual(high + 1e-9);
      expect(less).toBeLessThanOrEqual(more + 1e-9);
    }),
    { seed: 20, numRuns: 500 },
  );
});

test('a delay is a whole number of seconds between its ends', () => {
  expect(between(seconds(2), seconds(20), 0)).toBe(2);
  expect(between(seconds(2), seconds(20), 0.999_999)).toBe(20);
  expect(between(seconds(2), seconds(20), 0.5)).toBe(11);
});
