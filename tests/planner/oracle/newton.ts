import type { Oven } from '../../../src/plan/index.ts';

/*
 * Newton's law, worked out here once more for ovens that give mean rates and nothing else: with the heater on towards 400 C,
 * so that from the room to 200 C it takes what the mean rate says, and above 90 % of the way in a straight line; with the
 * heater off towards the room, so that from 220 C to 180 C it takes what the mean rate says. A degree above the room is cold.
 */
const SOURCE = 400;

function rateOf(pace: Oven['heats']): number {
  if (typeof pace !== 'number') throw new Error('the oracle only knows mean rates');
  return pace;
}

/** Seconds of heating from one temperature to another, without soak. */
export function heatingTime(oven: Oven, ambient: number, from: number, to: number): number {
  const meanTime = ((200 - ambient) * 60) / rateOf(oven.heats);
  const scale = meanTime / (Math.log(SOURCE - ambient) - Math.log(SOURCE - 200));
  const bend = ambient + 0.9 * (SOURCE - ambient);
  const until = (celsius: number): number =>
    celsius <= bend
      ? -Math.log((SOURCE - celsius) / (SOURCE - ambient))
      : Math.log(10) + (celsius - bend) / (SOURCE - bend);
  return scale * (until(to) - until(from));
}

/** Seconds of cooling with the door shut. */
export function coolingTime(oven: Oven, ambient: number, from: number, to: number): number {
  const meanTime = 2400 / rateOf(oven.cools);
  const halfLives = (high: number, low: number): number => Math.log2((high - ambient) / (low - ambient));
  const low = Math.max(to, ambient + 1);
  return from <= low ? 0 : (meanTime * halfLives(from, low)) / halfLives(220, 180);
}
