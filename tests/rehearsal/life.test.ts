import { describe, expect, test } from 'vitest';
import { chance } from '../../src/rehearsal/chance.ts';
import { LIFELIKE, rehearseToEnd, type Life } from '../../src/rehearsal/index.ts';
import { withLateness } from '../../src/rehearsal/faults.ts';
import { below, forgotten, quantile, shared } from '../../src/rehearsal/life.ts';
import { natureOf } from '../../src/rehearsal/nature.ts';
import { seconds } from '../../src/units/index.ts';
import { id, smallRun } from './small-run.ts';

const stepCalled = (name: string) => {
  const found = smallRun.workload.components
    .flatMap(({ steps }) => steps)
    .find((step) => step.id === id(name));
  if (!found) throw new Error(name);
  return found;
};

function correlation(pairs: readonly (readonly [number, number])[]): number {
  const mean = (of: (pair: readonly [number, number]) => number): number =>
    pairs.reduce((sum, pair) => sum + of(pair), 0) / pairs.length;
  const [a, b] = [mean(([x]) => x), mean(([, y]) => y)];
  const both = mean(([x, y]) => (x - a) * (y - b));
  return both / Math.sqrt(mean(([x]) => (x - a) ** 2) * mean(([, y]) => (y - b) ** 2));
}

test.each([
  [0.5, 0],
  [0.975, 1.959964],
  [0.0013499, -3],
  [0.99, 2.326348],
])('the standard normal: below %s of it lies %s', (share, value) => {
  expect(quantile(share)).toBeCloseTo(value, 4);
  expect(below(value)).toBeCloseTo(share, 6);
});

describe('the luck of a day', () => {
  const SEEDS = Array.from({ length: 4000 }, (_, seed) => seed);
  const luck = (life: Life, seed: number, about: string): number =>
    shared(life, chance(seed, about), quantile(chance(seed, 'day')), undefined);

  test('leaves each step as likely to be slow as it was', () => {
    const tenths = Array.from({ length: 10 }, () => 0);
    for (const seed of SEEDS) {
      const tenth = Math.floor(luck(LIFELIKE, seed, 'x') * 10);
      tenths[tenth] = (tenths[tenth] ?? 0) + 1;
    }
    // 400 are expected in each; five standard deviations are 95.
    for (const count of tenths) expect(Math.abs(count - 400)).toBeLessThan(95);
  });

  test.each([0, 0.15, 0.6])('makes two steps resemble each other as told: %s', (day) => {
    const life = { ...LIFELIKE, day };
    const pairs = SEEDS.map(
      (seed) => [quantile(luck(life, seed, 'x')), quantile(luck(life, seed, 'y'))] as const,
    );
    // One standard error of a correlation of 4000 pairs is 0.016.
    expect(Math.abs(correlation(pairs) - day)).toBeLessThan(0.06);
  });

  test('lengths stay in their range, and a day at nothing is a day without', () => {
    const step = stepCalled('cream.cook');
    const alone: Life = { ...LIFELIKE, day: 0, oven: 0 };
    for (const seed of SEEDS.slice(0, 200)) {
      const length = natureOf(seed, LIFELIKE).duration(step, 1);
      expect(length).toBeGreaterThanOrEqual(9 * 60);
      expect(length).toBeLessThanOrEqual(13 * 60);
      expect(
        Math.abs(natureOf(seed, alone).duration(step, 1) - natureOf(seed).duration(step, 1)),
      ).toBeLessThan(2);
    }
  });

  test('a rest that ends at a temperature may be there late, and no later than told', () => {
    const chill = stepCalled('cream.chill');
    const shares = SEEDS.map((seed) => natureOf(seed, LIFELIKE).duration(chill, 1) / (30 * 60));
    expect(Math.min(...shares)).toBeGreaterThanOrEqual(0.8);
    expect(Math.max(...shares)).toBeLessThanOrEqual(1.25);
    expect(shares.filter((share) => share > 1).length / shares.length).toBeGreaterThan(0.3);
  });
});

test('a press is forgotten as often as told, for as long as told', () => {
  const lengths = Array.from({ length: 4000 }, (_, seed) =>
    forgotten({ ...LIFELIKE, forgets: 0.05 }, chance(seed, 'a'), chance(seed, 'b')),
  );
  const some = lengths.filter((length) => length > 0);
  // 200 are expected; five standard deviations are 69.
  expect(Math.abs(some.length - 200)).toBeLessThan(69);
  expect(Math.min(...some)).toBeGreaterThanOrEqual(60);
  expect(Math.max(...some)).toBeLessThanOrEqual(240);
});

test('a probe that is read off once ends its step as nature has it, and nothing else is read', () => {
  const never: Life = { ...LIFELIKE, forgets: 0, forgottenFor: { least: seconds(0), most: seconds(0) } };
  const end = rehearseToEnd(smallRun, 1, { life: never, probes: 'once' });
  expect(end.ended).toBe('served');
  const readings = end.events.filter(({ kind }) => kind === 'reading');
  expect(readings).toMatchObject([{ source: 'cook', probe: 'cream' }]);
});

test('an oven that stands low slows what bakes in it, and nothing that is told to bake in another', () => {
  const nature = { duration: () => seconds(100) };
  const cold = withLateness(nature, [{ kind: 'oven low', oven: 'deck', by: 40 }]);
  const bake = stepCalled('buns.bake');
  const bakeIn = (oven: string) => ({ ...bake, oven: { ...bake.oven, oven } }) as typeof bake;
  const lengths = [bake, bakeIn('deck'), bakeIn('tower'), stepCalled('buns.fill')];
  expect(lengths.map((step) => cold.duration(step, 1))).toEqual([120, 120, 100, 100]);
});
