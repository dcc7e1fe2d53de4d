import { describe, expect, test } from 'vitest';
import { loadText, planWith, told, workloadOf } from './support.ts';

/** The step `bake` of ten buns, made for so many. */
const scaled = (attributes: string, yields: number) =>
  workloadOf(planWith(`  buns: { steps: [ { bake: { ${attributes} } }, { out: { takes: 1 min } } ] }\n`), {
    yields,
  }).components[0]?.steps[0];

describe('a yield', () => {
  test.each([
    [
      'each: 8 s',
      25,
      { length: { kind: 'each', per: 8, pieces: 25, range: { low: 200, usual: 200, high: 200 } } },
    ],
    ['each: 8 s, scales: false', 25, { length: { pieces: 10, range: { usual: 80 } } }],
    ['takes: 9-13 min', 25, { length: { range: { low: 540, usual: 660, high: 780 } } }],
    [
      'takes: 9-13 min, usually: 10 min, scales: true',
      25,
      { length: { range: { low: 1350, usual: 1500, high: 1950 } } },
    ],
    ['takes: 1 min, scales: true', 1, { length: { range: { low: 6, usual: 6, high: 6 } } }],
    ['rest: 1-2 h', 25, { length: { atLeast: 3600, atMost: 7200 } }],
    ['takes: 1 min, uses: [tray]', 11, { uses: [{ item: 'tray', count: 2 }] }],
    ['takes: 1 min, uses: [tray]', 20, { uses: [{ item: 'tray', count: 2 }] }],
    ['takes: 1 min, uses: [tray]', 21, { uses: [{ item: 'tray', count: 3 }] }],
    ['takes: 1 min, uses: [{ item: tray, count: 2 }]', 3, { uses: [{ item: 'tray', count: 1 }] }],
    ['takes: 1 min, uses: [tray], scales: false', 40, { uses: [{ item: 'tray', count: 1 }] }],
    ['takes: 1 min, uses: [hob]', 40, { uses: [{ item: 'hob', count: 1 }] }],
    ['takes: 1 min, holds: { tray: out }', 25, { holds: [{ item: 'tray', count: 3 }] }],
    ['takes: 1 min, uses: [tray], holds: { tray: out }', 25, { holds: [{ item: 'tray', count: 3 }] }],
    ['takes: 1 min, oven: { at: 180 C }', 15, { oven: { shelves: 2 } }],
    ['takes: 1 min, oven: { at: 180 C }, scales: false', 15, { oven: { shelves: 1 } }],
  ])('%s for %i', (attributes, yields, expected) => {
    expect(scaled(attributes, yields)).toMatchObject(expected);
  });

  test('is told by the plan', () => {
    const { plans } = workloadOf(planWith('  buns: { steps: [ { bake: { takes: 1 min } } ] }\n'), {
      yields: 25,
    });
    expect(plans[0]?.makes).toEqual({ count: 25, of: 'buns' });
  });

  const problems = (attributes: string, yields: number): string[] =>
    loadText(planWith(`  buns: { steps: [ { bake: { ${attributes} } } ] }\n`), { yields }).diagnostics.map(
      told,
    );

  test('that the kitchen cannot carry is a problem', () => {
    expect(problems('takes: 1 min, uses: [tray]', 40)).toEqual([]);
    expect(problems('takes: 1 min, uses: [tray]', 41)).toEqual(['too-many 6:51']);
    expect(problems('takes: 1 min, oven: { at: 180 C }', 21)).toEqual(['too-many 6:50']);
  });

  test.each([0, -4, 2.5, Number.NaN, Number.POSITIVE_INFINITY, 10_001])('of %d is refused', (yields) => {
    expect(problems('each: 1 s', yields)).toEqual(['bad-yield 1:1']);
  });
});
