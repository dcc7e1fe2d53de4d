import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { nearest, slips } from '../../src/plan/nearest.ts';

const KNOWN = ['takes', 'usually', 'each', 'rest', 'hands', 'within', 'after', 'saucepan', 'fridge shelf'];

describe('the nearest known word', () => {
  test.each([
    ['take', 'takes'],
    ['Takes', 'takes'],
    ['handz', 'hands'],
    ['hnads', 'hands'],
    ['whitin', 'within'],
    ['sauce pan', 'saucepan'],
    ['fridgeshelf', 'fridge shelf'],
    ['eahc', 'each'],
    ['oven', undefined],
    ['x', undefined],
    ['', undefined],
    ['takes'.repeat(50), undefined],
  ])('to %j is %j', (word, expected) => {
    expect(nearest(word, KNOWN)).toBe(expected);
  });
});

describe('slips', () => {
  test.each([
    ['', '', 0],
    ['', 'abc', 3],
    ['kitten', 'sitting', 3],
    ['ab', 'ba', 1],
    ['abcd', 'acbd', 1],
  ])('from %j to %j: %i', (from, to, count) => {
    expect(slips(from, to)).toBe(count);
  });

  const word = fc.string({ maxLength: 12 });
  test('are none only to the word itself, as many back as there, and no more than the longer word has letters', () => {
    fc.assert(
      fc.property(word, word, (from, to) => {
        const count = slips(from, to);
        expect(count === 0).toBe(from === to);
        expect(slips(to, from)).toBe(count);
        expect(count).toBeLessThanOrEqual(Math.max(from.length, to.length));
        expect(count).toBeGreaterThanOrEqual(Math.abs(from.length - to.length));
      }),
    );
  });
});
