import { Temporal } from 'temporal-polyfill';
import type { Kitchen, Workload } from '../../../src/plan/index.ts';

/** Half-open, in seconds from some moment that goes with it. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** The first and the last second in which the oracle wants to know about the clock on the wall, in epoch seconds. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** Every night (22:00-06:00 local) that touches the span, in epoch seconds; none where nights do not count. */
export function nights({ kitchen }: Workload, span: Span): Stretch[] {
  if (kitchen.nights === 'allowed' || kitchen.hours) return [];
  return days(kitchen, span)
    .map((day) => ({ from: at(kitchen, day, 22, 0), to: at(kitchen, day.add({ days: 1 }), 6, 0) }))
    .filter((night) => night.to > span.from && night.from < span.to);
}

/** Every stretch outside the cooks' hours, cut to the span, in epoch seconds; none where the kitchen gives no hours. */
export function closed({ kitchen }: Workload, span: Span): Stretch[] {
  const { hours } = kitchen;
  if (!hours) return [];
  const open = days(kitchen, span).flatMap((day): Stretch[] => {
    const given = hours[day.dayOfWeek - 1];
    if (given === undefined || given === 'off') return [];
    const from = at(kitchen, day, given.from.hour, given.from.minute);
    const sameDay = at(kitchen, day, given.to.hour, given.to.minute);
    const nextDay = at(kitchen, day.add({ days: 1 }), given.to.hour, given.to.minute);
    return [{ from, to: sameDay > from ? sameDay : nextDay }];
  });
  const found: Stretch[] = [];
  let until = span.from;
  for (const stretch of open) {
    if (stretch.from > until && until < span.to)
      found.push({ from: until, to: Math.min(stretch.from, span.to) });
    until = Math.max(until, stretch.to);
  }
  if (until < span.to) found.push({ from: until, to: span.to });
  return found;
}

/** The local days of the span, and two more on either side. */
function days(kitchen: Kitchen, span: Span): Temporal.PlainDate[] {
  const dayOf = (second: number): Temporal.PlainDate =>
    Temporal.Instant.fromEpochMilliseconds(second * 1000)
      .toZonedDateTimeISO(kitchen.timeZone)
      .toPlainDate();
  const last = dayOf(span.to).add({ days: 2 });
  const found: Temporal.PlainDate[] = [];
  for (
    let day = dayOf(span.from).subtract({ days: 2 });
    Temporal.PlainDate.compare(day, last) <= 0;
    day = day.add({ days: 1 })
  )
    found.push(day);
  return found;
}

function at(kitchen: Kitchen, day: Temporal.PlainDate, hour: number, minute: number): number {
  const plainTime = Temporal.PlainTime.from({ hour, minute });
  return day.toZonedDateTime({ timeZone: kitchen.timeZone, plainTime }).epochMilliseconds / 1000;
}

export const touches = (stretch: Stretch, from: number, to: number): boolean =>
  from < to && from < stretch.to && to > stretch.from;
