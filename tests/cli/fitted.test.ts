import { expect, test } from 'vitest';
import { fitted } from '../../src/cli/out.ts';

const REPORT = `On time: in 74 % of rehearsals; late is a minute or more.
  cut this
      if cream: chill wanted only 1 h 48 instead of 2 h, and nothing else`;

test('a report breaks between words where the terminal is narrower, and goes on further in', () => {
  expect(fitted(REPORT, 40)).toBe(`On time: in 74 % of rehearsals; late is
  a minute or more.
  cut this
      if cream: chill wanted only 1 h 48
        instead of 2 h, and nothing else`);
});

test('where it fits, or there is no terminal, it stays as it is', () => {
  expect(fitted(REPORT, 100)).toBe(REPORT);
  expect(fitted(REPORT, Infinity)).toBe(REPORT);
});
