import {
  forecastOf,
  reckonedHeat,
  type BenchState,
  type OvenForecast,
  type OvenRun,
  type Projection,
} from '../bench/index.ts';
import { openingCost, ovenModel, temperatureAfter } from '../heat/index.ts';
import type { Oven, OvenHeat } from '../plan/index.ts';
import {
  epochMs,
  plus,
  roughly,
  seconds,
  secondsBetween,
  type Celsius,
  type EpochMs,
} from '../units/index.ts';
import type { Axis } from './axis.ts';
import { lookupIn } from './lookup.ts';
import { clockWords } from './text.ts';

/** When an oven on its way will be right, and who wants it when. */
export interface ForecastView {
  /** `right at 17:42 (17:39-17:50), shells want it at 17:38`. */
  readonly text: string;
  /** Whether somebody wants it before it will be right. */
  readonly late: boolean;
}

/** Later than this is late. */
const LATE_S = 60;
/** Between less than so much apart is not worth the words. */
const SURE_S = 120;

const ovenNamed = (state: BenchState, name: string): Oven | undefined =>
  state.setup.workload.kitchen.ovens.find((each) => each.name === name);

/** The forecast of an oven that is on its way, in words; nothing where it is right, or off. */
export function forecastView(
  state: BenchState,
  projection: Projection,
  oven: string,
  now: EpochMs,
): ForecastView | undefined {
  const ahead = forecastOf(state, projection, oven, now);
  if (!ahead?.right) return undefined;
  const { right, wanted } = ahead;
  const { timeZone } = state.setup.workload.kitchen;
  const clock = (moment: EpochMs): string => clockWords(moment, now, timeZone);
  const sure = secondsBetween(right.soonest, right.latest) < SURE_S;
  const text = `right at ${clock(right.at)}${sure ? '' : ` (${clock(right.soonest)}-${clock(right.latest)})`}`;
  if (!wanted) return { text, late: false };
  const { called } = lookupIn(state.setup.workload);
  return {
    text: `${text}, ${called(wanted.step)} wants it at ${clock(wanted.at)}`,
    late: secondsBetween(wanted.at, right.at) > LATE_S,
  };
}

/** What it stands at while it is on its way, in the scale of its knob: `about 165 C`, and `by its probe` where that was heard. */
export function reckonedWords(
  state: BenchState,
  run: OvenRun,
  ahead: OvenForecast | undefined,
): string | undefined {
  const { ambient } = state.setup.workload.kitchen;
  const goal = run.heat.kind === 'off' ? ambient : run.heat.temperature.celsius;
  const from = run.since?.celsius ?? run.from;
  if (!ahead || Math.abs(goal - from) < 1) return undefined;
  const figure = Math.round(inScale(ahead.celsius, run.heat) / 5) * 5;
  const scale = run.heat.kind === 'at' ? run.heat.temperature.scale : 'C';
  return `about ${figure} ${scale}${ahead.measuredAt === undefined ? '' : ', by its probe'}`;
}

const inScale = (celsius: Celsius, heat: OvenHeat): number =>
  heat.kind === 'at' && heat.temperature.scale === 'F' ? (celsius * 9) / 5 + 32 : celsius;

/** What half a minute with its door open would cost it now: `30 s open costs about 35 degrees, back in 2 min`. */
export function openingWords(state: BenchState, run: OvenRun, now: EpochMs): string | undefined {
  const oven = ovenNamed(state, run.oven);
  if (!oven || run.heat.kind === 'off') return undefined;
  const { ambient } = state.setup.workload.kitchen;
  const cost = openingCost(ovenModel(oven, ambient), reckonedHeat(oven, ambient, run, now), GLANCE_S);
  const back = seconds(60 * Math.max(1, Math.round(cost.back / 60)));
  return `30 s open costs about ${Math.round(cost.fell / 5) * 5} degrees, back in ${roughly(back)}`;
}
const GLANCE_S = 30;

/** The last opening that is known: `open since 17:20`, or `opened 17:20 for 30 s, fell about 40 degrees`. */
export function lastOpening(state: BenchState, run: OvenRun, now: EpochMs): string | undefined {
  const last = run.openings.at(-1);
  if (!last) return undefined;
  const opened = clockWords(last.at, now, state.setup.workload.kitchen.timeZone);
  if (last.shutAt === undefined) return `open since ${opened}`;
  const length = roughly(seconds(Math.max(1, secondsBetween(last.at, last.shutAt))));
  return `opened ${opened} for ${length}${last.fell === undefined ? '' : `, fell about ${last.fell} degrees`}`;
}

/** One turn of a knob that is still to come. */
export interface TurnAhead {
  readonly at: EpochMs;
  readonly heat: OvenHeat;
}

/**
 * What an oven is reckoned to stand at over the axis: in Celsius for each column from that of now on, as its knob and its
 * door stand and as the knob is to be turned.
 */
export function reckonedCourse(
  state: BenchState,
  run: OvenRun,
  turns: readonly TurnAhead[],
  axis: Axis,
  now: EpochMs,
): readonly Celsius[] {
  const oven = ovenNamed(state, run.oven);
  if (!oven) return [];
  const { ambient } = state.setup.workload.kitchen;
  const model = ovenModel(oven, ambient);
  const course: Celsius[] = [];
  let stand = { celsius: reckonedHeat(oven, ambient, run, now), at: now, heat: run.heat };
  let left = turns;
  const at = (moment: EpochMs): Celsius =>
    temperatureAfter(
      model,
      {
        from: stand.celsius,
        goal: stand.heat.kind === 'off' ? undefined : stand.heat.temperature.celsius,
        door: run.door,
      },
      secondsBetween(stand.at, moment),
    );
  for (let column = axis.nowColumn; column < axis.width; column += 1) {
    const moment = epochMs(Math.max(now, plus(axis.from, column * axis.cell)));
    for (let [turn] = left; turn && turn.at <= moment; [turn] = left) {
      stand = { celsius: at(turn.at), at: turn.at, heat: turn.heat };
      left = left.slice(1);
    }
    course.push(at(moment));
  }
  return course;
}
