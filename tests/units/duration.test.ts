import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  countdown,
  formatDuration,
  hours,
  LONGEST,
  minutes,
  parseDuration,
  parseEnds,
  parseWindow,
  roughly,
  seconds,
  type Parsed,
} from '../../src/units/index.ts';

fc.configureGlobal({ seed: Number(process.env['SEED'] ?? 1) });

/** The value that was read, or what was said of the text. */
const outcome = <T>(read: Parsed<T>): unknown => (read.ok ? read.value : read.problem);
/** Lengths down to a millisecond, as long as a plan may name. */
const anyLength = fc.integer({ min: 0, max: LONGEST * 1000 }).map((ms) => seconds(ms / 1000));

describe('a length of time', () => {
  test.each([
    ['90 s', 90],
    ['90s', 90],
    ['  6 min ', 360],
    ['1 h 30 min', 5400],
    ['1h30min', 5400],
    ['1.5 h', 5400],
    ['2 d', 172_800],
    ['1 day 2 hours 3 minutes 4.5 seconds', 93_784.5],
    ['0 min', 0],
    ['5 Min', 300],
    ['0.001 s', 0.001],
    ['400 d', 34_560_000],
  ])('%j', (text, expected) => {
    expect(outcome(parseDuration(text))).toBe(expected);
  });

  test.each([
    '',
    '6',
    'min',
    '-5 min',
    '1e3 s',
    '5 m',
    '5 mins',
    '1,5 h',
    '1.2345 s',
    '1 h 2 h 3 h 4 h 5 h',
    '٣ min',
  ])('%j is none', (text) => expect(parseDuration(text).ok).toBe(false));

  test('over 400 days is a slip of the pen', () => {
    expect(outcome(parseDuration('401 d'))).toBe('"401 d" is over 400 days');
    expect(outcome(parseEnds('401 d'))).toBe('"401 d" is over 400 days');
  });

  test('is written so that it is read back exactly', () => {
    fc.assert(
      fc.property(anyLength, (length) => {
        expect(outcome(parseDuration(formatDuration(length)))).toBe(length);
      }),
    );
  });

  test('in other words', () => {
    expect([minutes(1.5), hours(2)]).toEqual([90, 7200]);
  });
});

describe('a range', () => {
  test.each([
    ['9-13 min', { low: 540, high: 780 }],
    ['9 - 13min', { low: 540, high: 780 }],
    ['9–13 min', { low: 540, high: 780 }],
    ['45 min - 7 d', { low: 2700, high: 604_800 }],
    ['1 h 30 min to 2 h', { low: 5400, high: 7200 }],
    ['12 min', { low: 720, high: 720 }],
    ['5-5 s', { low: 5, high: 5 }],
    ['13-9 min', 'the range "13-9 min" runs backwards'],
    ['2 h - 45 min', 'the range "2 h - 45 min" runs backwards'],
    ['9-13', '"9-13" is not a length of time or a range'],
    ['9-13-15 min', '"9-13-15 min" is not a length of time or a range'],
    ['', '"" is not a length of time or a range'],
  ])('%j', (text, expected) => {
    expect(outcome(parseEnds(text))).toEqual(expected);
  });

  test('is read back whatever its ends', () => {
    fc.assert(
      fc.property(anyLength, anyLength, fc.constantFrom('-', ' - ', ' to ', '–'), (a, b, dash) => {
        const [low, high] = a <= b ? [a, b] : [b, a];
        expect(outcome(parseEnds(`${formatDuration(low)}${dash}${formatDuration(high)}`))).toEqual({
          low,
          high,
        });
      }),
    );
  });
});

describe('a window', () => {
  test.each([
    ['3-20 h', { atLeast: 10_800, atMost: 72_000 }],
    ['45 min - 7 d', { atLeast: 2700, atMost: 604_800 }],
    ['at least 3 h', { atLeast: 10_800 }],
    ['At most  2 d', { atLeast: 0, atMost: 172_800 }],
    ['3 h', 'a rest of "3 h" does not say whether that is the least or the most'],
    ['20-3 h', 'the range "20-3 h" runs backwards'],
    ['at least', '"at least" is not a length of time or a range'],
    ['at least 3-4 h', '"3-4 h" is not a length of time'],
  ])('%j', (text, expected) => {
    expect(outcome(parseWindow(text))).toEqual(expected);
  });
});

test('no text makes a reader throw or wait', () => {
  const text = fc.oneof(
    fc.string(),
    fc
      .array(fc.constantFrom('1', '9', '.', ' ', '-', 'min', 'h', 'd', 's', 'to', 'at least ', '  '))
      .map((p) => p.join('')),
  );
  fc.assert(
    fc.property(text, (value) => {
      for (const read of [parseDuration, parseEnds, parseWindow]) {
        const result = read(value);
        expect(result.ok || result.hint.length > 0).toBe(true);
      }
    }),
  );
  const began = performance.now();
  for (const long of ['1 ', '1 min ', ' ', '1', '-', '1 h - ']) parseWindow(long.repeat(20_000));
  expect(performance.now() - began).toBeLessThan(2000);
});

test.each([
  [0, '0 s'],
  [40.4, '40 s'],
  [59.6, '1 min'],
  [61, '1 min 1 s'],
  [599, '9 min 59 s'],
  [600, '10 min'],
  [745, '12 min'],
  [3569, '59 min'],
  [3590, '1 h'],
  [11_100, '3 h 05'],
  [7200, '2 h'],
  [86_399, '1 d'],
  [86_400 + 4 * 3600, '1 d 4 h'],
  [172_800, '2 d'],
])('roughly(%d) is %j', (length, words) => {
  expect(roughly(seconds(length))).toBe(words);
});

test.each([
  [0, '0:00'],
  [7, '0:07'],
  [7.9, '0:07'],
  [760, '12:40'],
  [11_100, '3:05:00'],
  [-0.4, '0:00'],
  [-61, '-1:01'],
])('countdown(%d) is %j', (length, figures) => {
  expect(countdown(length)).toBe(figures);
});
