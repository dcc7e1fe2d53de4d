import { Temporal } from 'temporal-polyfill';
import { formatClockTime, parseClockTime, epochMs, type ClockTime, type EpochMs } from './instant.ts';
import { parsed, unreadable, type Parsed } from './parsed.ts';

/** The hours of one day by the wall clock. `to` is on the next day where it is not after `from`, so they last 24 h at most. */
export interface DayHours {
  readonly from: ClockTime;
  readonly to: ClockTime;
}

/** When there is work: seven entries, from Monday to Sunday. A written word marks a day off, as nothing would not survive JSON. */
export type WorkingHours = readonly (DayHours | 'off')[];

/** A stretch of time; `from` is before `to`. */
export interface Stretch {
  readonly from: EpochMs;
  readonly to: EpochMs;
}

const HOURS_HINT = 'write from when to when: 6:00-22:00; 22:00-6:00 ends the next morning';
const MIDNIGHT: ClockTime = { hour: 0, minute: 0 };

/** Reads `6:00-22:00`, `22:00 - 6:00` (until the next morning) or `16:00-24:00`. */
export function parseDayHours(text: string): Parsed<DayHours> {
  const ends = text.split(/-|\u2013|\bto\b/).map((end) => end.trim());
  const [fromText = '', toText = ''] = ends;
  if (ends.length !== 2) return unreadable(`"${text}" does not say from when to when`, HOURS_HINT);
  const from = parseClockTime(fromText);
  const to = toText === '24:00' ? parsed(MIDNIGHT) : parseClockTime(toText);
  if (!from.ok) return unreadable(`"${fromText}" in "${text}" is not a time of day`, HOURS_HINT);
  if (!to.ok) return unreadable(`"${toText}" in "${text}" is not a time of day`, HOURS_HINT);
  return parsed({ from: from.value, to: to.value });
}

/** Writes hours so that {@link parseDayHours} gives them back: `06:00-22:00`. */
export const formatDayHours = ({ from, to }: DayHours): string =>
  `${formatClockTime(from)}-${formatClockTime(to)}`;

/**
 * The stretches in which there is work between two moments, cut off at both, in order; stretches that touch or overlap
 * are one. Hours are those of the wall clock: in the night in which the clock goes forward 22:00-6:00 is an hour
 * shorter. A time that is skipped that night is as late after it as it was to be after the jump; of a time that comes
 * twice the first is meant.
 * @throws RangeError when there are not seven days.
 */
export function workingStretches(
  hours: WorkingHours,
  timeZone: string,
  from: EpochMs,
  to: EpochMs,
): readonly Stretch[] {
  if (hours.length !== 7) throw new RangeError(`hours of ${hours.length} days, not of seven`);
  const stretches: Stretch[] = [];
  if (from >= to) return stretches;
  const dayOf = (moment: EpochMs): Temporal.PlainDate =>
    Temporal.Instant.fromEpochMilliseconds(moment).toZonedDateTimeISO(timeZone).toPlainDate();
  const last = dayOf(to);
  // Hours of the day before may reach into the first day.
  for (
    let day = dayOf(from).subtract({ days: 1 });
    Temporal.PlainDate.compare(day, last) <= 0;
    day = day.add({ days: 1 })
  ) {
    const today = hours[day.dayOfWeek - 1];
    if (today === undefined || today === 'off') continue;
    const worked = stretchOn(day, today, timeZone);
    const cut = { from: Math.max(worked.from, from), to: Math.min(worked.to, to) };
    const before = stretches.at(-1);
    if (cut.from >= cut.to) continue;
    if (before && cut.from <= before.to)
      stretches[stretches.length - 1] = { from: before.from, to: epochMs(Math.max(before.to, cut.to)) };
    else stretches.push({ from: epochMs(cut.from), to: epochMs(cut.to) });
  }
  return stretches;
}

function stretchOn(day: Temporal.PlainDate, { from, to }: DayHours, timeZone: string): Stretch {
  const moment = (date: Temporal.PlainDate, { hour, minute }: ClockTime): EpochMs =>
    epochMs(
      date.toZonedDateTime({ timeZone, plainTime: Temporal.PlainTime.from({ hour, minute }) })
        .epochMilliseconds,
    );
  const isNextDay = to.hour * 60 + to.minute <= from.hour * 60 + from.minute;
  return { from: moment(day, from), to: moment(isNextDay ? day.add({ days: 1 }) : day, to) };
}

/** When it is night: work then is avoided, where nothing else is said. */
const NIGHT: DayHours = { from: { hour: 22, minute: 0 }, to: { hour: 6, minute: 0 } };

/** The nights between two moments, cut off at both, in order: from 22:00 to 6:00 by the wall clock. */
export const nightStretches = (timeZone: string, from: EpochMs, to: EpochMs): readonly Stretch[] =>
  workingStretches(
    Array.from({ length: 7 }, () => NIGHT),
    timeZone,
    from,
    to,
  );
