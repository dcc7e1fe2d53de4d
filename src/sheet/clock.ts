import { Temporal } from 'temporal-polyfill';
import { epochMs, localDate, wallClock, weekday, type EpochMs } from '../units/index.ts';

/** `Fri 2027-05-14`. */
export const dayOf = (moment: EpochMs, timeZone: string): string =>
  `${weekday(moment, timeZone)} ${localDate(moment, timeZone)}`;

/** `Fri 2027-05-14 22:34`. */
export const dayAndClock = (moment: EpochMs, timeZone: string): string =>
  `${dayOf(moment, timeZone)} ${wallClock(moment, timeZone)}`;

/** What happens, in groups that lie on one day of the kitchen. */
export function byDay<T extends { readonly at: EpochMs }>(
  entries: readonly T[],
  timeZone: string,
): { readonly day: string; readonly entries: T[] }[] {
  const days: { day: string; entries: T[] }[] = [];
  for (const entry of entries) {
    const day = dayOf(entry.at, timeZone);
    const current = days.at(-1);
    if (current?.day === day) current.entries.push(entry);
    else days.push({ day, entries: [entry] });
  }
  return days;
}

/** Every midnight of the kitchen after `from` and not after `to`. */
export function midnightsBetween(from: EpochMs, to: EpochMs, timeZone: string): EpochMs[] {
  const zoned = Temporal.Instant.fromEpochMilliseconds(from).toZonedDateTimeISO(timeZone);
  const found: EpochMs[] = [];
  for (
    let day = zoned.startOfDay().add({ days: 1 });
    day.epochMilliseconds <= to;
    day = day.add({ days: 1 })
  ) {
    found.push(epochMs(day.startOfDay().epochMilliseconds));
    // A timetable has an end; one of centuries would be a mistake of the program.
    if (found.length > 2000) break;
  }
  return found;
}

/** Seconds by which the wall clock is ahead of UTC at a moment; negative west of Greenwich. */
export const clockOffset = (moment: EpochMs, timeZone: string): number =>
  Temporal.Instant.fromEpochMilliseconds(moment).toZonedDateTimeISO(timeZone).offsetNanoseconds / 1e9;
