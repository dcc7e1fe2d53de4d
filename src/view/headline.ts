import type { BenchState, Projection } from '../bench/index.ts';
import { daysBetween, roughly, seconds, wallClock, weekday, type EpochMs } from '../units/index.ts';
import { clean } from './text.ts';

/** How a thing stands, for colour and mark; never shown by colour alone. */
export type Tone = 'plain' | 'quiet' | 'good' | 'care' | 'bad';

export interface Headline {
  readonly title: string;
  readonly makes: string;
  /** The kitchen's clock: `18:42:07`. */
  readonly clock: string;
  /** `serve 19:30`; with the day where it is not today. */
  readonly service: string;
  /** `12 min in hand`, `on the minute`, `7 min late`. */
  readonly margin: string;
  readonly tone: Tone;
}

/** What stands in the first line of every screen. */
export function headlineOf(state: BenchState, projection: Projection, now: EpochMs): Headline {
  const { plans, kitchen } = state.setup.workload;
  const moments = [...new Set(state.timetable.service)].toSorted((a, b) => a - b);
  const clocks = moments.map((moment) => {
    const time = wallClock(moment, kitchen.timeZone);
    return daysBetween(now, moment, kitchen.timeZone) === 0
      ? time
      : `${weekday(moment, kitchen.timeZone)} ${time}`;
  });
  const served = state.servedAt;
  return {
    title: plans.map((plan) => clean(plan.title)).join(' + '),
    makes: plans.map((plan) => clean(`${plan.makes.count} ${plan.makes.of}`)).join(' + '),
    clock: wallClock(now, kitchen.timeZone, 'second'),
    service: clocks.length > 0 ? `serve ${clocks.join(', ')}` : '',
    ...(served === undefined
      ? marginWords(projection.margin)
      : { margin: `served ${wallClock(served, kitchen.timeZone)}`, tone: 'good' as const }),
  };
}

/** Under this there is little to give away. */
const TIGHT = 300;

/** The margin in words, and how good it is. */
function marginWords(margin: number): { readonly margin: string; readonly tone: Tone } {
  if (margin <= -60) return { margin: `${roughly(seconds(-wholeMinutes(margin)))} late`, tone: 'bad' };
  if (margin < 60) return { margin: 'on the minute', tone: 'care' };
  return {
    margin: `${roughly(seconds(wholeMinutes(margin)))} in hand`,
    tone: margin < TIGHT ? 'care' : 'good',
  };
}

/** Whole minutes towards minus infinity: what is said to be in hand is never more than there is. */
const wholeMinutes = (length: number): number => Math.floor(length / 60) * 60;
