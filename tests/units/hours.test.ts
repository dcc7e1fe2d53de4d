import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  epochMs,
  formatDayHours,
  hours,
  nightStretches,
  parseDayHours,
  plus,
  secondsBetween,
  wallClock,
  weekday,
  workingStretches,
  type DayHours,
  type EpochMs,
  type Parsed,
  type Stretch,
  type WorkingHours,
} from '../../src/units/index.ts';

fc.configureGlobal({ seed: Number(process.env['SEED'] ?? 1) });

const outcome = <T>(read: Parsed<T>): unknown => (read.ok ? read.value : read.problem);
const utc = (text: string): EpochMs => epochMs(Date.parse(`${text}Z`));
const clock = (hour: number, minute = 0) => ({ hour, minute });

/** Hours as a plan has them, from Monday: `6:00-22:00`, or a dash for a day off. One alone is every day's. */
function week(...days: readonly string[]): WorkingHours {
  const read = days.map((day) => {
    const value = parseDayHours(day);
    return value.ok ? value.value : 'off';
  });
  return read.length === 1 ? Array.from({ length: 7 }, () => read[0] ?? 'off') : read;
}

/** Stretches as UTC shows them: `03-28 07:00 - 03-28 15:00`. */
const told = (stretches: readonly Stretch[]): string[] =>
  stretches.map(({ from, to }) =>
    [from, to].map((moment) => new Date(moment).toISOString().slice(5, 16).replace('T', ' ')).join(' - '),
  );

describe('hours of a day', () => {
  test.each([
    ['6:00-22:00', { from: clock(6), to: clock(22) }],
    [' 06:30 - 14:15 ', { from: clock(6, 30), to: clock(14, 15) }],
    ['7:00 to 15:00', { from: clock(7), to: clock(15) }],
    ['7:00\u201315:00', { from: clock(7), to: clock(15) }],
    ['22:00-6:00', { from: clock(22), to: clock(6) }],
    ['16:00-24:00', { from: clock(16), to: clock(0) }],
    ['0:00-24:00', { from: clock(0), to: clock(0) }],
    ['24:00-6:00', '"24:00" in "24:00-6:00" is not a time of day'],
    ['6-22', '"6" in "6-22" is not a time of day'],
    ['6:00-22:60', '"22:60" in "6:00-22:60" is not a time of day'],
    ['6:00', '"6:00" does not say from when to when'],
    ['', '"" does not say from when to when'],
    ['6:00-12:00-18:00', '"6:00-12:00-18:00" does not say from when to when'],
    ['2027-03-28 6:00-22:00', '"2027-03-28 6:00-22:00" does not say from when to when'],
  ])('%j', (text, expected) => {
    expect(outcome(parseDayHours(text))).toEqual(expected);
  });

  test('are written so that they are read back', () => {
    const time = fc.record({ hour: fc.nat(23), minute: fc.nat(59) });
    fc.assert(
      fc.property(fc.record({ from: time, to: time }), (day) => {
        expect(outcome(parseDayHours(formatDayHours(day)))).toEqual(day);
      }),
    );
  });
});

describe('stretches of work', () => {
  test.each([
    [
      'every day',
      week('6:00-14:00'),
      'UTC',
      '2027-03-01T00:00',
      '2027-03-03T00:00',
      ['03-01 06:00 - 03-01 14:00', '03-02 06:00 - 03-02 14:00'],
    ],
    [
      'cut off at both moments',
      week('6:00-14:00'),
      'UTC',
      '2027-03-01T13:00',
      '2027-03-02T07:30',
      ['03-01 13:00 - 03-01 14:00', '03-02 06:00 - 03-02 07:30'],
    ],
    [
      'through the night before the first moment',
      week('22:00-6:00'),
      'UTC',
      '2027-03-01T02:00',
      '2027-03-01T23:00',
      ['03-01 02:00 - 03-01 06:00', '03-01 22:00 - 03-01 23:00'],
    ],
    [
      'where the clock goes forward, an hour shorter',
      week('22:00-6:00'),
      'Europe/Lisbon',
      '2027-03-27T12:00',
      '2027-03-28T12:00',
      ['03-27 22:00 - 03-28 05:00'],
    ],
    [
      'where the clock goes back, an hour longer',
      week('22:00-6:00'),
      'Europe/Lisbon',
      '2027-10-30T12:00',
      '2027-10-31T12:00',
      ['10-30 21:00 - 10-31 06:00'],
    ],
    [
      'between two times that are both skipped',
      week('1:10-1:50'),
      'Europe/Lisbon',
      '2027-03-28T00:00',
      '2027-03-28T12:00',
      ['03-28 01:10 - 03-28 01:50'],
    ],
    [
      'that would begin by skipped time after its end: none',
      week('1:30-2:10'),
      'Europe/Lisbon',
      '2027-03-28T00:00',
      '2027-03-28T12:00',
      [],
    ],
    [
      'to an hour that comes twice: the first',
      week('0:00-1:30'),
      'Europe/Lisbon',
      '2027-10-30T20:00',
      '2027-10-31T12:00',
      ['10-30 23:00 - 10-31 00:30'],
    ],
    [
      'days that touch are one stretch',
      week('0:00-24:00'),
      'Europe/Lisbon',
      '2027-03-20T00:00',
      '2027-04-02T00:00',
      ['03-20 00:00 - 04-02 00:00'],
    ],
    [
      'days that overlap are one stretch',
      week('-', '20:00-10:00', '6:00-12:00', '-', '-', '-', '-'),
      'UTC',
      '2027-03-01T00:00',
      '2027-03-08T00:00',
      ['03-02 20:00 - 03-03 12:00'],
    ],
    [
      'a long day that ends after the next day has ended',
      week('-', '6:00-5:00', '1:00-2:00', '-', '-', '-', '-'),
      'UTC',
      '2027-03-01T00:00',
      '2027-03-08T00:00',
      ['03-02 06:00 - 03-03 05:00'],
    ],
    [
      'Monday first, in the kitchen and not in UTC',
      week('9:00-10:00', '-', '-', '-', '-', '-', '-'),
      'Pacific/Apia',
      '2027-02-27T00:00',
      '2027-03-07T00:00',
      ['02-28 20:00 - 02-28 21:00'],
    ],
    ['of days off', week('-'), 'UTC', '2027-03-01T00:00', '2027-03-20T00:00', []],
    ['between a moment and itself', week('0:00-24:00'), 'UTC', '2027-03-01T00:00', '2027-03-01T00:00', []],
    ['backwards', week('0:00-24:00'), 'UTC', '2027-03-02T00:00', '2027-03-01T00:00', []],
  ])('%s', (_what, worked, zone, from, to, expected) => {
    expect(told(workingStretches(worked, zone, utc(from), utc(to)))).toEqual(expected);
  });

  test('of fewer days than seven are our own mistake', () => {
    const some = utc('2027-03-01T00:00');
    expect(() => workingStretches([], 'UTC', some, plus(some, 1))).toThrow(RangeError);
  });

  const time = fc.record({ hour: fc.nat(23), minute: fc.nat(59) });
  const day: fc.Arbitrary<DayHours | 'off'> = fc.oneof(
    fc.record({ from: time, to: time }),
    fc.constant('off' as const),
  );
  const anyWeek = fc.array(day, { minLength: 7, maxLength: 7 });
  const zone = fc.constantFrom('UTC', 'Europe/Lisbon', 'America/St_Johns', 'Australia/Lord_Howe');
  const moment = fc.integer({ min: Date.UTC(2015, 0), max: Date.UTC(2045, 0) }).map(epochMs);
  const DAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];
  const minuteOf = (wall: string): number => Number(wall.slice(0, 2)) * 60 + Number(wall.slice(3));

  /** Whether the wall clock shows working hours at a moment, found without reckoning any stretch. */
  function isWorked(at: EpochMs, worked: WorkingHours, timeZone: string): boolean {
    const now = minuteOf(wallClock(at, timeZone));
    const today = DAYS.indexOf(weekday(at, timeZone));
    const within = (of: number, isYesterday: boolean): boolean => {
      const entry = worked[(of + 7) % 7] ?? 'off';
      if (entry === 'off') return false;
      const [from, to] = [entry.from.hour * 60 + entry.from.minute, entry.to.hour * 60 + entry.to.minute];
      const isOver = to <= from;
      if (isYesterday) return isOver && now < to;
      return now >= from && (isOver || now < to);
    };
    return within(today, false) || within(today - 1, true);
  }

  test('hold the moments at which the wall clock shows working hours, and no others', () => {
    fc.assert(
      fc.property(anyWeek, zone, moment, fc.nat(20 * 24 * 60 - 1), (worked, timeZone, from, offset) => {
        const to = plus(from, 20 * 86_400);
        const at = plus(from, offset * 60);
        const stretches = workingStretches(worked, timeZone, from, to);
        // In the hours around a change of the clock the wall shows a time twice, or not at all.
        const wall = (by: number): number => minuteOf(wallClock(plus(at, by), timeZone));
        const isPlain = (wall(26 * 3600) - wall(-26 * 3600) + 2880) % 1440 === (52 * 60) % 1440;
        fc.pre(isPlain);
        const isIn = stretches.some((stretch) => stretch.from <= at && at < stretch.to);
        expect(isIn).toBe(isWorked(at, worked, timeZone));
      }),
      { numRuns: 500 },
    );
  });

  test('are in order, within the moments, and apart', () => {
    fc.assert(
      fc.property(anyWeek, zone, moment, fc.nat(60 * 24), (worked, timeZone, from, span) => {
        const to = plus(from, hours(span));
        const ends = workingStretches(worked, timeZone, from, to).flatMap((one) => [one.from, one.to]);
        expect(ends.every((end) => from <= end && end <= to)).toBe(true);
        expect(ends.every((end, index) => index === 0 || (ends[index - 1] ?? end) < end)).toBe(true);
      }),
      { numRuns: 300 },
    );
  });
});

describe('nights', () => {
  test('are from 22:00 to 6:00 on the kitchen wall', () => {
    expect(told(nightStretches('Asia/Kathmandu', utc('2027-03-01T12:00'), utc('2027-03-02T17:00')))).toEqual([
      '03-01 16:15 - 03-02 00:15',
      '03-02 16:15 - 03-02 17:00',
    ]);
  });

  test('have seven hours, eight or nine', () => {
    const length = (date: string): number => {
      const noon = utc(`${date}T12:00`);
      const [night] = nightStretches('Europe/Lisbon', noon, plus(noon, 86_400));
      return night ? secondsBetween(night.from, night.to) / 3600 : 0;
    };
    expect(['2027-03-27', '2027-06-01', '2027-10-30'].map(length)).toEqual([7, 8, 9]);
  });
});
