import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  formatTemperature,
  parseReadingRate,
  parseTemperature,
  parseTemperatureChange,
  parseTemperatureOffset,
  parseTemperatureRange,
  parseTemperatureRate,
  parseTemperatureSpan,
  temperatureOf,
  type Parsed,
} from '../../src/units/index.ts';

fc.configureGlobal({ seed: Number(process.env['SEED'] ?? 1) });

const outcome = <T>(read: Parsed<T>): unknown => (read.ok ? read.value : read.problem);
/** Temperatures of a kitchen, in tenths. */
const anyTemperature = fc
  .tuple(fc.integer({ min: -700, max: 5500 }), fc.constantFrom<'C' | 'F'>('C', 'F'))
  .map(([tenths, scale]) => temperatureOf(tenths / 10, scale));

describe('a temperature', () => {
  test.each([
    ['220 C', { figure: 220, scale: 'C', celsius: 220 }],
    ['428F', { figure: 428, scale: 'F', celsius: 220 }],
    [' -18 °C ', { figure: -18, scale: 'C', celsius: -18 }],
    ['+5.5 c', { figure: 5.5, scale: 'C', celsius: 5.5 }],
    ['32 F', { figure: 32, scale: 'F', celsius: 0 }],
    ['-0 C', { figure: 0, scale: 'C', celsius: 0 }],
    ['220', '"220" is not a temperature'],
    ['220 K', '"220 K" is not a temperature'],
    ['1e2 C', '"1e2 C" is not a temperature'],
    ['C', '"C" is not a temperature'],
    ['601 C', '"601 C" is no temperature of a kitchen'],
    ['-81 C', '"-81 C" is no temperature of a kitchen'],
    ['1113 F', '"1113 F" is no temperature of a kitchen'],
  ])('%j', (text, expected) => {
    expect(outcome(parseTemperature(text))).toEqual(expected);
  });

  test('is written so that it is read back as it was given', () => {
    fc.assert(
      fc.property(anyTemperature, (temperature) => {
        expect(outcome(parseTemperature(formatTemperature(temperature)))).toEqual(temperature);
      }),
    );
  });
});

describe('a range of temperatures', () => {
  test.each([
    ['20-22 C', 20, 22],
    ['20 C - 22 C', 20, 22],
    ['-20--18 C', -20, -18],
    ['-20 to -16 C', -20, -16],
    ['32–33.5 C', 32, 33.5],
    ['0 C - 68 F', 0, 20],
  ])('%j', (text, low, high) => {
    const read = parseTemperatureRange(text);
    expect(read.ok && [read.value.low.celsius, read.value.high.celsius]).toEqual([low, high]);
  });

  test.each([
    ['22-20 C', 'the range "22-20 C" runs backwards'],
    ['20 C', '"20 C" is not a range of temperatures'],
    ['20-22', '"20-22" is not a range of temperatures'],
    ['-999-5 C', '"-999 C" is no temperature of a kitchen'],
  ])('%j is none', (text, problem) => {
    expect(outcome(parseTemperatureRange(text))).toBe(problem);
  });
});

test.each([
  ['8 C', 8],
  ['18 F', 10],
  ['0 C', 0],
  ['-8 C', '"-8 C" is not a difference of temperatures'],
  ['8', '"8" is not a difference of temperatures'],
  ['201 C', '"201 C" is not a difference of temperatures'],
])('the difference %j', (text, expected) => {
  expect(outcome(parseTemperatureSpan(text))).toBe(expected);
});

test.each([
  ['12 C/min', 12],
  ['0.5C / min', 0.5],
  ['18 F/min', 10],
  ['0 C/min', '"0 C/min" is not a rate of heating or cooling'],
  ['12 C', '"12 C" is not a rate of heating or cooling'],
  ['12 C/h', '"12 C/h" is not a rate of heating or cooling'],
  ['500 C/min', '"500 C/min" is not a rate of heating or cooling'],
])('the rate %j', (text, expected) => {
  expect(outcome(parseTemperatureRate(text))).toBe(expected);
});

test.each([
  ['-8 C', -8],
  ['+15 F', 25 / 3],
  ['8C', 8],
  ['-0 C', 0],
  ['--8 C', '"--8 C" is not a difference of temperatures'],
  ['-201 C', '"-201 C" is not a difference of temperatures'],
  ['minus 8 C', '"minus 8 C" is not a difference of temperatures'],
])('the difference to either side %j', (text, expected) => {
  expect(outcome(parseTemperatureOffset(text))).toBe(expected);
});

test.each([
  ['5 C/s', 5],
  ['0.5C / s', 0.5],
  ['9 F/s', 5],
  ['0 C/s', '"0 C/s" does not say how fast a reading may change'],
  ['5 C/min', '"5 C/min" does not say how fast a reading may change'],
  ['5', '"5" does not say how fast a reading may change'],
])('the rate of a reading %j', (text, expected) => {
  expect(outcome(parseReadingRate(text))).toBe(expected);
});

describe('a change of temperature', () => {
  test.each([
    ['20 to 200 C in 12 min', { from: 20, to: 200, in: 720 }],
    ['220-180 C in 14 min', { from: 220, to: 180, in: 840 }],
    ['220 C - 180 C in 1 h 5 min', { from: 220, to: 180, in: 3900 }],
    ['  -20 \u2013 20 \u00b0C in 90 s ', { from: -20, to: 20, in: 90 }],
    ['68 F to 200 C in 12 min', { from: 20, to: 200, in: 720 }],
    ['20 C to 392 F in 12 min', { from: 20, to: 200, in: 720 }],
    ['20 to 200 C', '"20 to 200 C" is not a change that was watched'],
    ['20 to 200 in 12 min', '"20 to 200 in 12 min" is not a change that was watched'],
    ['20 to 200 C in twelve minutes', '"twelve minutes" is not a length of time'],
    ['20 to 900 C in 12 min', '"900 C" is no temperature of a kitchen'],
    ['-90 to 20 C in 12 min', '"-90 C" is no temperature of a kitchen'],
    ['20 to 20 C in 12 min', '"20 to 20 C in 12 min" is no change: it needs two temperatures, and some time'],
    ['20 to 68 F in 0 s', '"20 to 68 F in 0 s" is no change: it needs two temperatures, and some time'],
  ])('%j', (text, expected) => {
    expect(outcome(parseTemperatureChange(text))).toEqual(expected);
  });

  test('is read whichever way it goes, on either scale', () => {
    fc.assert(
      fc.property(anyTemperature, anyTemperature, fc.integer({ min: 1, max: 100_000 }), (from, to, time) => {
        fc.pre(from.celsius !== to.celsius);
        const text = `${formatTemperature(from)} to ${formatTemperature(to)} in ${time} s`;
        expect(outcome(parseTemperatureChange(text))).toEqual({
          from: from.celsius,
          to: to.celsius,
          in: time,
        });
      }),
    );
  });
});
