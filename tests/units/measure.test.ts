import { expect, test } from 'vitest';
import { parseAltitude, parseThickness } from '../../src/units/index.ts';

test.each([
  ['900 m', 900],
  ['3000 ft', 914.4],
  ['-400m', -400],
  ['0 ft', 0],
  ['-0 m', 0],
  ['900', '"900" is not an altitude'],
  ['0.9 km', '"0.9 km" is not an altitude'],
  ['6001 m', '"6001 m" is no altitude of a kitchen'],
  ['-501 m', '"-501 m" is no altitude of a kitchen'],
])('the altitude %j', (text, expected) => {
  const read = parseAltitude(text);
  expect(read.ok ? read.value : read.problem).toBe(expected);
});

test.each([
  ['3 cm', 30],
  ['2.5cm', 25],
  ['25 mm', 25],
  ['1.5 in', 38.1],
  ['2 mm', 2],
  ['30 cm', 300],
  ['1.9 mm', '"1.9 mm" is no depth at which food lies'],
  ['31 cm', '"31 cm" is no depth at which food lies'],
  ['0.3 m', '"0.3 m" is not a depth'],
  ['3', '"3" is not a depth'],
])('the depth %j', (text, expected) => {
  const read = parseThickness(text);
  expect(read.ok ? read.value : read.problem).toBe(expected);
});
