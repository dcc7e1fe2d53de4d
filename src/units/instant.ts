import { Temporal } from 'temporal-polyfill';
import { parsed, unreadable, type Parsed } from './parsed.ts';
import { seconds, type Seconds } from './duration.ts';

declare const epochBrand: unique symbol;

/** A moment: milliseconds since 1970-01-01T00:00Z. */
export type EpochMs = number & { readonly [epochBrand]: true };

/** A moment on the kitchen's wall clock: a time of day, and a date where one was given (`YYYY-MM-DD`). */
export interface ClockTime {
  readonly hour: number;
  readonly minute: number;
  readonly date?: string;
}

export const epochMs = (value: number): EpochMs => value as EpochMs;

/** The moment `length` after `moment` (before it, for a negative length). */
export const plus = (moment: EpochMs, length: number): EpochMs => epochMs(moment + Math.round(length * 1000));

/** Seconds from `from` to `to`; negative when `to` is earlier. */
export const secondsBetween = (from: EpochMs, to: EpochMs): Seconds => seconds((to - from) / 1000);

export const later = (a: EpochMs, b: EpochMs): EpochMs => (a > b ? a : b);
export const earlier = (a: EpochMs, b: EpochMs): EpochMs => (a < b ? a : b);

const CLOCK = /^(?:(\d{4}-\d{2}-\d{2})[ T])?(\d{1,2}):(\d{2})$/;
/** Years that a date may lie in: others are slips of the pen. */
const [FIRST_YEAR, LAST_YEAR] = [1990, 2999];
const CLOCK_HINT = 'write a time of day, 19:30, or a date and time, 2027-03-28 07:30';

/** Reads `19:30`, `7:05` or `2027-03-28 07:30`. */
export function parseClockTime(text: string): Parsed<ClockTime> {
  const match = CLOCK.exec(text.trim());
  const hour = Number(match?.[2]);
  const minute = Number(match?.[3]);
  if (!match || hour > 23 || minute > 59) return unreadable(`"${text}" is not a time of day`, CLOCK_HINT);
  const date = match[1];
  if (date === undefined) return parsed({ hour, minute });
  const year = Number(date.slice(0, 4));
  if (year < FIRST_YEAR || year > LAST_YEAR)
    return unreadable(`"${text}" is not in the years ${FIRST_YEAR} to ${LAST_YEAR}`, CLOCK_HINT);
  try {
    return parsed({ hour, minute, date: Temporal.PlainDate.from(date).toString() });
  } catch {
    return unreadable(`"${text}" names a day that is not in the calendar`, CLOCK_HINT);
  }
}

export function formatClockTime(time: ClockTime): string {
  const clock = `${String(time.hour).padStart(2, '0')}:${String(time.minute).padStart(2, '0')}`;
  return time.date === undefined ? clock : `${time.date} ${clock}`;
}

/** Whether the name is a time zone of the IANA database that this machine knows. */
export function isTimeZone(name: string): boolean {
  try {
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(name);
    return true;
  } catch {
    return false;
  }
}

/**
 * The first moment at or after `after` at which the clock on the wall shows `time`; with a date, the moment that day.
 * A time skipped by daylight saving moves forward by the skipped hour; of a repeated one the first is meant that is
 * not before `after`.
 */
export function momentOf(time: ClockTime, after: EpochMs, timeZone: string): EpochMs {
  const clock = Temporal.PlainTime.from({ hour: time.hour, minute: time.minute });
  if (time.date !== undefined) {
    return epochMs(
      Temporal.PlainDate.from(time.date).toZonedDateTime({ timeZone, plainTime: clock }).epochMilliseconds,
    );
  }
  const today = zoned(after, timeZone).toPlainDate();
  const onDay = (day: Temporal.PlainDate, repeated: 'compatible' | 'later'): EpochMs =>
    epochMs(
      day.toPlainDateTime(clock).toZonedDateTime(timeZone, { disambiguation: repeated }).epochMilliseconds,
    );
  // Where the clock is set back today and the first time has passed, the second is still to come.
  const stillToday = [onDay(today, 'compatible'), onDay(today, 'later')].find((moment) => moment >= after);
  return stillToday ?? onDay(today.add({ days: 1 }), 'compatible');
}

const zoned = (moment: EpochMs, timeZone: string): Temporal.ZonedDateTime =>
  Temporal.Instant.fromEpochMilliseconds(moment).toZonedDateTimeISO(timeZone);

/** The time of day on the kitchen's wall: `19:30`, or with seconds `19:30:05`. */
export function wallClock(
  moment: EpochMs,
  timeZone: string,
  precision: 'minute' | 'second' = 'minute',
): string {
  return zoned(moment, timeZone).toPlainTime().toString({ smallestUnit: precision });
}

/** Days from the kitchen's date at `from` to its date at `to`: 0 the same day, 1 the day after, -1 the day before. */
export function daysBetween(from: EpochMs, to: EpochMs, timeZone: string): number {
  return zoned(from, timeZone).toPlainDate().until(zoned(to, timeZone).toPlainDate()).days;
}

/** The kitchen's date: `2027-03-28`. */
export function localDate(moment: EpochMs, timeZone: string): string {
  return zoned(moment, timeZone).toPlainDate().toString();
}

/** The kitchen's weekday in short: `Sat`. */
export function weekday(moment: EpochMs, timeZone: string): string {
  return ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'][zoned(moment, timeZone).dayOfWeek - 1] ?? '';
}

/**
 * The kitchen's clock, with the day where it is not that of `reference`: `19:30`, `Sun 07:30`, and `2027-05-14 07:30` from a
 * week on, where a weekday could be another one.
 */
export function clockFrom(moment: EpochMs, reference: EpochMs, timeZone: string): string {
  const clock = wallClock(moment, timeZone);
  const days = daysBetween(reference, moment, timeZone);
  if (days === 0) return clock;
  return `${Math.abs(days) < 7 ? weekday(moment, timeZone) : localDate(moment, timeZone)} ${clock}`;
}
