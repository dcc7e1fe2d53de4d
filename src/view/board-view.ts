import { project, type BenchState, type Projection } from '../bench/index.ts';
import { countdown, later, plus, roughly, secondsBetween, type EpochMs } from '../units/index.ts';
import { aheadViews, type AheadView } from './ahead.ts';
import { alarmViews, asideViews, type AlarmView, type AsideView } from './alarms.ts';
import { awayView, type Absence, type AwayView } from './away.ts';
import { axisOf, type Axis } from './axis.ts';
import { endedView, type EndedView } from './ended.ts';
import { farView, type FarView } from './far.ts';
import { headlineOf, type Headline } from './headline.ts';
import { laneViews, type LaneView } from './lanes.ts';
import { stretches } from './lookup.ts';
import { nextViews, type NextView } from './next.ts';
import { busyWith, nowView, type NowView } from './now.ts';
import { ovenViews, type OvenView } from './ovens.ts';
import { offerView, type OfferView } from './offer.ts';
import { heatView, type HeatView } from './temperatures.ts';
import { stageView, type StageView } from './stage.ts';
import { isSoon } from './soon.ts';
import { clean } from './text.ts';
import { topmost } from './topmost.ts';

/** A quick timer. */
export interface TimerView {
  readonly name: string;
  readonly figures: string;
  readonly over: boolean;
  /** It is over within ten minutes, or is. */
  readonly soon: boolean;
}

/** What a screen shows of a run at one moment: plain data, every text safe to print. */
export interface BoardView {
  readonly headline: Headline;
  readonly now: NowView;
  readonly next: readonly NextView[];
  /** What the hands are on, or how long they are free. */
  readonly hands: string;
  /** Whether a step has the hands. */
  readonly busy: boolean;
  readonly axis: Axis;
  readonly lanes: readonly LaneView[];
  readonly ovens: readonly OvenView[];
  readonly alarms: readonly AlarmView[];
  /** Alarms that were set aside, and kinds that are out of service. */
  readonly asides: readonly AsideView[];
  /** Clashes that the forecast sees, the soonest first. */
  readonly ahead: readonly AheadView[];
  readonly timers: readonly TimerView[];
  readonly heat: HeatView;
  readonly far: FarView;
  /** How it went, once it is over; of a demonstration the stage tells it. */
  readonly ended?: EndedView;
  /** The stage, where the run is a demonstration. */
  readonly stage?: StageView;
  /** A new timetable that waits for the cook's word. */
  readonly offer?: OfferView;
  readonly away?: AwayView;
}

export interface BoardViewOptions {
  /** Columns the shared time axis has. */
  readonly axisWidth: number;
  /** What to tell somebody who comes back. */
  readonly absence?: Absence;
  /** How the run would go on by the timetable that is offered. */
  readonly offered?: Projection;
}

/** What a screen shows of a run at `now`. */
export function boardView(state: BenchState, now: EpochMs, options: BoardViewOptions): BoardView {
  const { proposal } = state.replanning;
  const offered = proposal && project({ ...state, timetable: proposal.timetable }, now);
  return viewOf(state, project(state, now), now, { ...options, ...(offered ? { offered } : {}) });
}

/** The same, from an outlook that is already known. */
export function viewOf(
  state: BenchState,
  projection: Projection,
  now: EpochMs,
  options: BoardViewOptions,
): BoardView {
  const { kitchen } = state.setup.workload;
  const times = stretches(state, projection, now);
  const services = state.timetable.service;
  const expectedEnd = [...services, ...projection.steps.map((step) => step.end)].reduce(later, plus(now, 0));
  const axis = axisOf(now, expectedEnd, services, options.axisWidth, kitchen.timeZone);
  const top = topmost(state, now);
  const shown = top.kind === 'call' || top.kind === 'open' ? top.call.key : undefined;
  const next = nextViews(state, projection, now, shown);
  const busy = busyWith(state);
  const here = nowView(state, now, next[0]?.at);
  const offer = offerView(state, now, options.offered);
  const stage = stageView(state, projection, now);
  return {
    headline: headlineOf(state, projection, now),
    now: here,
    next,
    hands: busy ?? (top.kind === 'call' ? 'hands free' : freeUntil(next, now)),
    busy: busy !== undefined,
    axis,
    lanes: laneViews(state, times, axis, now),
    ovens: ovenViews(state, projection, times, axis, now),
    alarms: alarmViews(state, now),
    asides: asideViews(state, now),
    ahead: aheadViews(state, now),
    timers: state.timers
      .toSorted((a, b) => a.endsAt - b.endsAt)
      .map((timer) => {
        const left = secondsBetween(now, timer.endsAt);
        return {
          name: clean(timer.name),
          figures: countdown(Math.abs(left)),
          over: left <= 0,
          soon: isSoon(timer.endsAt, now),
        };
      }),
    heat: heatView(state, now),
    far: farView(state, now, here, next, offer),
    ...(stage ? { stage } : state.servedAt === undefined ? {} : { ended: endedView(state) }),
    ...(offer ? { offer } : {}),
    ...(options.absence ? { away: awayView(state, options.absence, now) } : {}),
  };
}

/** For how long nothing is called. */
function freeUntil(next: readonly NextView[], now: EpochMs): string {
  const first = next[0];
  if (!first) return 'hands free';
  const free = secondsBetween(now, first.at);
  return free < 60 ? 'hands free for a moment' : `hands free for ${roughly(free)}`;
}
