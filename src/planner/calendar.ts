import { ovenModel, type OvenModel } from '../heat/index.ts';
import type { Workload } from '../plan/index.ts';
import { epochMs, nightStretches, workingStretches, type EpochMs, type Stretch } from '../units/index.ts';
import { lengthBounds } from './drafting.ts';
import type { Span } from './ladder.ts';
import { change, lead } from './oven-times.ts';

const DAY = 86_400;
/** Nothing is planned over more than this, in seconds. */
const LONGEST = 400 * DAY;
/** Room for days off and nights, in seconds. */
const FORTNIGHT = 14 * DAY;
const SOME_DAYS = 3 * DAY;
/** Beyond everything that is planned. */
const AGES = 2 * LONGEST;

/** What the calendar says of the time in which work is planned, in whole seconds from some base. */
export interface Calendar {
  /** No work lies before it, or after it. */
  readonly begin: number;
  readonly end: number;
  /** When there is no work; undefined: the kitchen keeps no hours. */
  readonly closed?: readonly Span[];
  readonly nights: readonly Span[];
}

/**
 * The calendar for work that ends at `base` at the latest, or begins there; services lie `apart` seconds from each other. It
 * reaches so far that nothing is lost: two weeks (three days where there are no working hours), and twice the time that all steps would take one after the other in the
 * hours that there are; beyond that every gap in a timetable could be closed.
 */
export function calendarOf(
  workload: Workload,
  base: EpochMs,
  direction: 'before' | 'after',
  apart = 0,
): Calendar {
  const { hours, timeZone } = workload.kitchen;
  const wanted =
    (hours ? FORTNIGHT : SOME_DAYS) + apart + (2 * totalLength(workload)) / shareOfHours(workload);
  const reach = Math.ceil(Math.min(LONGEST, wanted));
  const [begin, end] = direction === 'before' ? [-reach, 3 * DAY] : [0, reach];
  const [from, to] = [epochMs(base + begin * 1000), epochMs(base + end * 1000)];
  const nights = nightStretches(timeZone, from, to).map((stretch) => ({
    from: Math.floor((stretch.from - base) / 1000),
    to: Math.ceil((stretch.to - base) / 1000),
  }));
  if (!hours) return { begin, end, nights };
  return { begin, end, nights, closed: between(workingStretches(hours, timeZone, from, to), base) };
}

function between(open: readonly Stretch[], base: EpochMs): Span[] {
  const ends = [-AGES, ...open.map((stretch) => Math.floor((stretch.to - base) / 1000))];
  const begins = [...open.map((stretch) => Math.ceil((stretch.from - base) / 1000)), AGES];
  return ends
    .map((end, place) => ({ from: end, to: begins[place] ?? AGES }))
    .filter((stretch) => stretch.to > stretch.from);
}

/** Which part of a week there is work in. */
function shareOfHours({ kitchen }: Workload): number {
  const { hours, timeZone } = kitchen;
  if (!hours) return 1;
  const week = workingStretches(hours, timeZone, epochMs(0), epochMs(7 * DAY * 1000));
  const open = week.reduce((sum, { from, to }) => sum + (to - from) / 1000, 0);
  return Math.max(0.01, open / (7 * DAY));
}

function totalLength({ components, kitchen }: Workload): number {
  const steps = components.flatMap((component) => component.steps);
  const asked = steps.flatMap(({ oven }) =>
    oven?.heat.kind === 'at' ? [oven.heat.temperature.celsius] : [],
  );
  const changes = kitchen.ovens.map((oven) => longestChange(ovenModel(oven, kitchen.ambient), asked));
  const heating = Math.max(0, ...changes);
  return steps.reduce((sum, step) => sum + lengthBounds(step).least + step.after + heating, 0);
}

/** An oven's longest way between what is asked of it: from the room to the hottest, or from the hottest to the coldest. */
function longestChange(oven: OvenModel, asked: readonly number[]): number {
  if (asked.length === 0) return 0;
  const hottest = Math.max(...asked);
  return Math.max(lead(oven, hottest), change(oven, hottest, Math.min(...asked)));
}
