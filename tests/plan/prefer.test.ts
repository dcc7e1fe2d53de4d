import { describe, expect, test } from 'vitest';
import { parsePreferences, preferenceOrder } from '../../src/plan/index.ts';
import { loadText, planWith, workloadOf } from './support.ts';

const COMPONENTS = '  a: { steps: [ { b: { takes: 1 min } } ] }\n';

describe('what a plan prefers', () => {
  test.each([
    ['', undefined],
    ['prefer: []\n', undefined],
    ['prefer: day\n', ['day']],
    ['prefer: [oven, fresh]\n', ['oven', 'fresh']],
    ['prefer:\n  - day\n  - oven\n  - fresh\n', ['day', 'oven', 'fresh']],
  ])('%j', (head, expected) => {
    expect(workloadOf(planWith(COMPONENTS, head)).plans[0]?.prefer).toEqual(expected);
  });

  test('misspelt, is answered with the nearest right word', () => {
    const [found] = loadText(planWith(COMPONENTS, 'prefer: [dya]\n')).diagnostics;
    expect(found).toMatchObject({
      message: '"dya" cannot stand here; fresh, day, oven can',
      hint: 'did you mean "day"?',
    });
  });
});

describe('what a command line prefers', () => {
  test.each([
    ['day', ['day']],
    [' oven, fresh ', ['oven', 'fresh']],
    ['fresh,day,oven', ['fresh', 'day', 'oven']],
    ['dya', '"dya" is nothing to prefer; did you mean "day"?'],
    ['day,cheap', '"cheap" is nothing to prefer; there is: fresh, day, oven'],
    ['', '"" is nothing to prefer; there is: fresh, day, oven'],
    ['day,oven,day', '"day" stands there twice; name it once'],
  ])('%j', (text, expected) => {
    const read = parsePreferences(text);
    expect(read.ok ? read.value : `${read.problem}; ${read.hint}`).toEqual(expected);
  });
});

test.each([
  [undefined, ['fresh', 'day', 'oven']],
  [['oven'], ['oven', 'fresh', 'day']],
  [
    ['day', 'fresh', 'oven'],
    ['day', 'fresh', 'oven'],
  ],
] as const)('%j is the order %j', (prefer, expected) => {
  expect(preferenceOrder(prefer)).toEqual(expected);
});
