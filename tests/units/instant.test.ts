import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  clockFrom,
  daysBetween,
  earlier,
  epochMs,
  formatClockTime,
  isTimeZone,
  later,
  localDate,
  momentOf,
  parseClockTime,
  plus,
  secondsBetween,
  wallClock,
  weekday,
  type EpochMs,
  type Parsed,
} from '../../src/units/index.ts';

fc.configureGlobal({ seed: Number(process.env['SEED'] ?? 1) });

const outcome = <T>(read: Parsed<T>): unknown => (read.ok ? read.value : read.problem);
const utc = (text: string): EpochMs => epochMs(Date.parse(`${text}Z`));
const ZONES = [
  'UTC',
  'Europe/Lisbon',
  'America/New_York',
  'America/St_Johns',
  'Australia/Lord_Howe',
  'Asia/Kathmandu',
  'Pacific/Apia',
  'Africa/Casablanca',
];

describe('a time of day', () => {
  test.each([
    ['19:30', { hour: 19, minute: 30 }],
    [' 7:05 ', { hour: 7, minute: 5 }],
    ['2027-03-28 07:30', { hour: 7, minute: 30, date: '2027-03-28' }],
    ['2028-02-29T00:00', { hour: 0, minute: 0, date: '2028-02-29' }],
    ['24:00', '"24:00" is not a time of day'],
    ['19:60', '"19:60" is not a time of day'],
    ['1930', '"1930" is not a time of day'],
    ['19:30:00', '"19:30:00" is not a time of day'],
    ['2027-02-29 10:00', '"2027-02-29 10:00" names a day that is not in the calendar'],
    ['9999-12-31 23:59', '"9999-12-31 23:59" is not in the years 1990 to 2999'],
    ['0001-01-01 00:00', '"0001-01-01 00:00" is not in the years 1990 to 2999'],
    ['2027-13-01 10:00', '"2027-13-01 10:00" names a day that is not in the calendar'],
  ])('%j', (text, expected) => {
    expect(outcome(parseClockTime(text))).toEqual(expected);
  });

  const date = fc
    .date({ min: new Date('1990-01-01'), max: new Date('2090-01-01'), noInvalidDate: true })
    .map((day) => day.toISOString().slice(0, 10));
  const clock = fc
    .record({ hour: fc.nat(23), minute: fc.nat(59), date: fc.option(date, { nil: undefined }) })
    .map(({ hour, minute, date: day }) => ({ hour, minute, ...(day !== undefined && { date: day }) }));
  test('is written so that it is read back', () => {
    fc.assert(
      fc.property(clock, (time) => {
        expect(outcome(parseClockTime(formatClockTime(time)))).toEqual(time);
      }),
    );
  });
});

describe('the moment of a time of day', () => {
  test.each([
    ['later today', '19:30', '2027-06-01T10:00', 'Europe/Lisbon', '2027-06-01T18:30'],
    ['this very moment', '11:00', '2027-06-01T10:00', 'Europe/Lisbon', '2027-06-01T10:00'],
    ['tomorrow', '10:59', '2027-06-01T10:00', 'Europe/Lisbon', '2027-06-02T09:59'],
    [
      'over midnight of the kitchen, not of UTC',
      '00:30',
      '2027-06-01T23:15',
      'Europe/Lisbon',
      '2027-06-01T23:30',
    ],
    ['on the day the clock goes forward', '07:30', '2027-03-28T00:30', 'Europe/Lisbon', '2027-03-28T06:30'],
    ['skipped, so an hour on', '01:30', '2027-03-28T00:30', 'Europe/Lisbon', '2027-03-28T01:30'],
    ['repeated, the first', '01:30', '2027-10-30T23:30', 'Europe/Lisbon', '2027-10-31T00:30'],
    [
      'repeated, the second once the first has passed',
      '01:30',
      '2027-10-31T00:45',
      'Europe/Lisbon',
      '2027-10-31T01:30',
    ],
    [
      'repeated, tomorrow once both have passed',
      '01:30',
      '2027-10-31T01:45',
      'Europe/Lisbon',
      '2027-11-01T01:30',
    ],
    ['on a given day', '2027-03-29 07:30', '2027-01-01T00:00', 'Europe/Lisbon', '2027-03-29T06:30'],
    [
      'on a given day that has passed',
      '2026-01-02 07:30',
      '2027-01-01T00:00',
      'Europe/Lisbon',
      '2026-01-02T07:30',
    ],
    [
      'where the zone is half an hour off',
      '06:00',
      '2027-01-01T00:00',
      'America/St_Johns',
      '2027-01-01T09:30',
    ],
  ])('%s', (_what, time, after, zone, expected) => {
    const read = parseClockTime(time);
    expect(read.ok && momentOf(read.value, utc(after), zone)).toBe(utc(expected));
  });

  const moment = fc.integer({ min: Date.UTC(2000, 0), max: Date.UTC(2060, 0) }).map(epochMs);
  test('is never before, comes within two days, and the wall shows it but where the time is skipped', () => {
    fc.assert(
      fc.property(moment, fc.nat(23), fc.nat(59), fc.constantFrom(...ZONES), (after, hour, minute, zone) => {
        const found = momentOf({ hour, minute }, after, zone);
        const wait = secondsBetween(after, found);
        expect(wait).toBeGreaterThanOrEqual(0);
        expect(wait).toBeLessThan(2 * 86_400);
        // Where the wall does not show it, it was skipped: in the six hours before, the wall went on by more than six.
        const shown = wallClock(found, zone);
        const onWall = (time: string): number => Date.parse(`1970-01-01T${time}Z`) / 1000;
        const gone = (onWall(shown) - onWall(wallClock(plus(found, -6 * 3600), zone)) + 86_400) % 86_400;
        expect(shown === formatClockTime({ hour, minute }) || gone > 6 * 3600).toBe(true);
      }),
      { numRuns: 1000 },
    );
  });

  test('with its own date and time, a moment is found again, or an hour at most beside where the clock is set back', () => {
    fc.assert(
      fc.property(moment, fc.constantFrom(...ZONES), (some, zone) => {
        const minute = epochMs(Math.floor(some / 60_000) * 60_000);
        const read = parseClockTime(`${localDate(minute, zone)} ${wallClock(minute, zone)}`);
        const found = read.ok ? momentOf(read.value, minute, zone) : epochMs(0);
        expect(secondsBetween(found, minute)).toBeGreaterThanOrEqual(0);
        expect(secondsBetween(found, minute)).toBeLessThanOrEqual(3600);
      }),
      { numRuns: 1000 },
    );
  });
});

describe('moments', () => {
  const noon = utc('2027-03-28T12:00');

  test('move by seconds, either way, to the millisecond', () => {
    expect(plus(noon, 90)).toBe(utc('2027-03-28T12:01:30'));
    expect(plus(noon, -0.0015)).toBe(noon - 1);
    expect(secondsBetween(noon, plus(noon, -5))).toBe(-5);
    expect([later(noon, plus(noon, 1)), earlier(noon, plus(noon, 1))]).toEqual([plus(noon, 1), noon]);
  });

  test('are shown on the kitchen wall', () => {
    expect(wallClock(noon, 'Asia/Kathmandu')).toBe('17:45');
    expect(wallClock(plus(noon, 59.9), 'UTC', 'second')).toBe('12:00:59');
    expect(localDate(utc('2027-03-28T23:30'), 'Europe/Lisbon')).toBe('2027-03-29');
    expect(weekday(utc('2027-03-28T23:30'), 'Europe/Lisbon')).toBe('Mon');
  });

  test.each([
    ['2027-03-28T10:00', '11:00'],
    ['2027-03-28T23:30', 'Mon 00:30'],
    ['2027-03-22T10:00', 'Mon 10:00'],
    ['2027-03-21T10:00', '2027-03-21 10:00'],
    ['2027-04-03T22:59', 'Sat 23:59'],
    ['2027-04-03T23:00', '2027-04-04 00:00'],
  ])('%s is told beside noon of Sunday the 28th as %s', (moment, told) => {
    expect(clockFrom(utc(moment), utc('2027-03-28T12:00'), 'Europe/Lisbon')).toBe(told);
  });

  test.each([
    ['2027-03-27T22:00', '2027-03-27T23:59', 0],
    ['2027-03-27T23:59', '2027-03-28T00:01', 1],
    ['2027-03-28T00:01', '2027-03-27T23:59', -1],
    ['2027-03-27T12:00', '2027-04-03T11:00', 7],
  ])('from %s to %s the date changes by %i in Lisbon', (from, to, days) => {
    expect(daysBetween(utc(from), utc(to), 'Europe/Lisbon')).toBe(days);
  });
});

test.each([
  ['Europe/Lisbon', true],
  ['UTC', true],
  ['Atlantis/Harbour', false],
  ['', false],
  ['\u001b[2J', false],
])('%j is a time zone: %j', (name, expected) => {
  expect(isTimeZone(name)).toBe(expected);
});
