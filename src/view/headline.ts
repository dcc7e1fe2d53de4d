import { isOnAir, type BenchState, type Projection } from '../bench/index.ts';
import { roughly, seconds, secondsBetween, wallClock, type EpochMs } from '../units/index.ts';
import { stageHeadline } from './stage.ts';
import { clean, clockWords } from './text.ts';

/** How a thing stands, for colour and mark; never shown by colour alone. */
export type Tone = 'plain' | 'quiet' | 'good' | 'care' | 'bad';

export interface Headline {
  readonly title: string;
  readonly makes: string;
  /** The kitchen's clock: `18:42:07`. */
  readonly clock: string;
  /** `serve 19:30`; with the day where it is not today. A demonstration: `on air 20:00`, `off air 20:22`. */
  readonly service: string;
  /** `12 min in hand`, `on the minute`, `7 min late`; on air, to the second: `0:25 over`. */
  readonly margin: string;
  readonly tone: Tone;
  /** What is told holds whatever nature does within the ranges. */
  readonly promise?: 'promised';
  /** `quiet till 18:40` while nothing sounds; `quiet on air` while nothing does that is not high. */
  readonly quiet?: string;
  /** Each plan by itself, in their order: its title, when it is served, and its own margin. */
  readonly plans: readonly { readonly title: string; readonly service: string; readonly margin: string }[];
}

/** What stands in the first line of every screen. */
export function headlineOf(state: BenchState, projection: Projection, now: EpochMs): Headline {
  const { plans, kitchen } = state.setup.workload;
  const moments = [...new Set(state.timetable.service)].toSorted((a, b) => a - b);
  const clock = (moment: EpochMs): string => clockWords(moment, now, kitchen.timeZone);
  const clocks = moments.map(clock);
  const served = state.servedAt;
  const { quietUntil } = state;
  const stage = stageHeadline(state, now);
  return {
    ...(state.promise?.holds === true && served === undefined && !stage?.pace && { promise: 'promised' }),
    ...(quietUntil !== undefined && quietUntil > now
      ? { quiet: `quiet till ${clock(quietUntil)}` }
      : isOnAir(state)
        ? { quiet: 'quiet on air' }
        : {}),
    title: plans.map((plan) => clean(plan.title)).join(' + '),
    makes: plans.map((plan) => clean(`${plan.makes.count} ${plan.makes.of}`)).join(' + '),
    clock: wallClock(now, kitchen.timeZone, 'second'),
    service: stage?.service ?? (clocks.length > 0 ? `serve ${clocks.join(', ')}` : ''),
    plans: plans.map((plan, index) => {
      const service = state.timetable.service[index];
      const soonest = projection.soonest[index];
      const known = service !== undefined && soonest !== undefined && served === undefined;
      return {
        title: clean(plan.title),
        service: service === undefined ? '' : clock(service),
        margin: known ? marginWords(secondsBetween(soonest, service)).margin : '',
      };
    }),
    ...(served === undefined
      ? (stage?.pace ?? marginWords(projection.margin))
      : {
          margin: `${state.setup.rundown ? 'ended' : 'served'} ${wallClock(served, kitchen.timeZone)}`,
          tone: 'good' as const,
        }),
  };
}

/** Under this there is little to give away. */
const TIGHT = 300;

/** The margin in words, and how good it is. */
export function marginWords(margin: number): { readonly margin: string; readonly tone: Tone } {
  if (margin <= -60) return { margin: `${roughly(seconds(-wholeMinutes(margin)))} late`, tone: 'bad' };
  if (margin < 60) return { margin: 'on the minute', tone: 'care' };
  return {
    margin: `${roughly(seconds(wholeMinutes(margin)))} in hand`,
    tone: margin < TIGHT ? 'care' : 'good',
  };
}

/** Whole minutes towards minus infinity: what is said to be in hand is never more than there is. */
const wholeMinutes = (length: number): number => Math.floor(length / 60) * 60;
