import {
  loaded,
  openingCost,
  ovenModel,
  secondsTo,
  secondsUntilRight,
  temperatureAfter,
  type OvenModel,
} from '../heat/index.ts';
import type { Oven, OvenHeat } from '../plan/index.ts';
import {
  celsius,
  later,
  plus,
  secondsBetween,
  type Celsius,
  type EpochMs,
  type Seconds,
} from '../units/index.ts';
import type { OpeningCost } from '../heat/index.ts';
import type { OvenBase, OvenRun } from './state.ts';

/** What a run has to say of an oven for it to be reckoned. */
export type Reckonable = Pick<OvenRun, 'heat' | 'from' | 'setAt' | 'door' | 'since'>;

/** What an oven is to come to and hold; nothing where it is off. */
export const goalOf = (heat: OvenHeat): Celsius | undefined =>
  heat.kind === 'off' ? undefined : heat.temperature.celsius;

/** Whether two settings of the knob are the same one. */
export function sameHeat(a: OvenHeat, b: OvenHeat): boolean {
  return a.kind === 'at' && b.kind === 'at'
    ? a.temperature.celsius === b.temperature.celsius
    : a.kind === b.kind;
}

/** Since when it has been reckoned without a break. */
export const reckonedSince = (run: Pick<OvenRun, 'setAt' | 'since'>): EpochMs => run.since?.at ?? run.setAt;

/** What the oven is reckoned to stand at: along its model's curve, from the last moment at which that was known. */
export function reckonedHeat(oven: Oven, room: Celsius, run: Reckonable, at: EpochMs): Celsius {
  const { from, pace } = { from: run.since?.celsius ?? run.from, pace: run.since?.pace ?? 1 };
  const passed = secondsBetween(reckonedSince(run), at) / pace;
  return temperatureAfter(ovenModel(oven, room), { from, goal: goalOf(run.heat), door: run.door }, passed);
}

/** When an oven turned to `heat` at `at` is right: there, and soaked where it had to heat; in whole seconds, as planned. */
export function rightBy(oven: Oven, room: Celsius, from: Celsius, heat: OvenHeat, at: EpochMs): EpochMs {
  const goal = goalOf(heat);
  return goal === undefined ? at : plus(at, Math.ceil(secondsUntilRight(ovenModel(oven, room), from, goal)));
}

/** What it has fallen to when it has been off, its door shut, for so many seconds. */
export const afterOff = (oven: Oven, room: Celsius, from: Celsius, length: Seconds): Celsius =>
  temperatureAfter(ovenModel(oven, room), { from, goal: undefined, door: 'shut' }, length);

/** Whether an oven that is to be at its goal is too far from it: which way it goes. */
export function wayTo(oven: Oven, heat: OvenHeat, at: Celsius): 'up' | 'down' | 'there' {
  const goal = goalOf(heat);
  if (goal === undefined || Math.abs(goal - at) <= oven.tolerance) return 'there';
  return goal > at ? 'up' : 'down';
}

/** When an oven that stands so is right. */
export function rightFrom(
  oven: Oven,
  room: Celsius,
  run: Pick<OvenRun, 'heat' | 'readyAt'>,
  base: OvenBase,
): EpochMs {
  const goal = goalOf(run.heat);
  if (goal === undefined) return base.at;
  const model = ovenModel(oven, room);
  const way = Math.ceil(secondsTo(model, base.celsius, goal) * base.pace);
  const there = plus(base.at, way);
  const near = wayTo(oven, run.heat, base.celsius) === 'there';
  // What was there and soaking when its door was opened is right when it was to be, or when it has come back.
  if (near && base.by !== 'reading') return later(run.readyAt, goal > base.celsius ? there : base.at);
  if (base.celsius > goal) return near ? plus(base.at, base.soaks ? model.soak : 0) : there;
  return plus(there, base.soaks ? model.soak : 0);
}

/** What an opening of its door of so many seconds costs an oven that stands so. */
export function costOf(oven: Oven, room: Celsius, at: Celsius, length: Seconds): OpeningCost {
  return openingCost(ovenModel(oven, room), at, length);
}

/** What it comes down to when so many shelves of cold load go in. */
export const afterLoad = (oven: Oven, room: Celsius, at: Celsius, shelves: number): Celsius =>
  loaded(ovenModel(oven, room), at, shelves);

/** Between these a pace is believed: half as long as the model says, to so many times as long. */
const QUICKEST = 0.5;
const SLOWEST = 5;
/** A pace is told from a change of at least so much on the way. */
const TELLING = 15;

/** How many times as long as its model says an oven takes, from what it stood at twice on its way. */
export function paceOf(
  model: OvenModel,
  first: { readonly at: EpochMs; readonly celsius: number },
  second: { readonly at: EpochMs; readonly celsius: number },
  goal: number,
): number {
  const passed = secondsBetween(first.at, second.at);
  const rising = goal > first.celsius;
  const done = rising ? second.celsius - first.celsius : first.celsius - second.celsius;
  if (passed <= 0 || Math.abs(goal - first.celsius) < TELLING) return 1;
  // What has hardly moved is as slow as it can be told: at least it has not come further than so much.
  const moved = Math.max(done, TELLING / 3) * (rising ? 1 : -1);
  const modelled = secondsTo(model, first.celsius, celsius(first.celsius + moved));
  if (modelled <= 0) return 1;
  return Math.min(SLOWEST, Math.max(QUICKEST, passed / modelled));
}
