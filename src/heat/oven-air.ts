import { celsius, seconds, type Celsius, type Seconds } from '../units/index.ts';
import { secondsTo, temperatureAfter, type OvenModel, type OvenStand } from './oven.ts';

/** When the air is furthest past the goal, so many seconds after it was first reached. A guess. */
const OVERSHOOT_PEAK = 180;
/** An open door lets out so much of the air's heat, most of it within the first seconds; shut again, the walls give it back. Guesses. */
const AIR_SHARE = 0.2;
const AIR_OUT = 10;
const AIR_BACK = 60;

/** Between what a thermometer in the oven's air is to be expected, and its middle. */
export interface Air {
  readonly low: Celsius;
  readonly mean: Celsius;
  readonly high: Celsius;
}

/**
 * What a thermometer in the air may read after so many seconds, all in order: around the goal it swings by the thermostat,
 * and after the first heating it shoots past it, most of all about three minutes later.
 */
export function airAround(model: OvenModel, stand: OvenStand, time: number): Air {
  const mean = temperatureAfter(model, stand, time);
  const { goal, from, door } = stand;
  if (goal === undefined) return { low: mean, mean, high: mean };
  const near = Math.abs(mean - goal) <= model.swing;
  const swing = near ? model.swing : 0;
  const shot =
    goal > from + model.tolerance ? overshootAfter(model, time - secondsTo(model, from, goal, door)) : 0;
  return { low: celsius(mean - swing), mean, high: celsius(mean + Math.max(swing, shot)) };
}

/** How far the air is past the goal, so many seconds after it was reached by heating. */
export function overshootAfter(model: OvenModel, time: number): number {
  if (!(time > 0)) return 0;
  const share = time / OVERSHOOT_PEAK;
  return model.overshoot * share * Math.exp(1 - share);
}

/** What an opening of the door costs. */
export interface OpeningCost {
  /** How far a thermometer in the air falls. */
  readonly fell: Celsius;
  /** How far the oven itself falls: walls, racks, and what bakes. */
  readonly lost: Celsius;
  /** Seconds after the door is shut until both are back, with the heater on. */
  readonly back: Seconds;
}

/**
 * What it costs to have the door open for so long at a temperature. The air goes within seconds and is warmed by the walls
 * within a minute; what the walls lose takes the heater longer.
 */
export function openingCost(model: OvenModel, at: number, time: number): OpeningCost {
  const passed = Math.max(0, time);
  const left = temperatureAfter(model, { from: at, goal: undefined, door: 'open' }, passed);
  const aired = 1 - Math.exp(-passed / AIR_OUT);
  const air = AIR_SHARE * Math.max(0, left - model.ambient) * aired;
  const lost = Math.max(0, at - left);
  const back = (at > left ? secondsTo(model, left, at) : 0) + AIR_BACK * aired;
  return { fell: celsius(lost + air), lost: celsius(lost), back: seconds(Math.round(back)) };
}
