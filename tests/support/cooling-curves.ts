import type { Sample, Surroundings } from '../../src/heat/index.ts';
import { chance } from '../../src/rehearsal/chance.ts';
import { celsius, plus, type Celsius, type EpochMs } from '../../src/units/index.ts';

/*
 * Simulated cooling bodies with the noise of real ones, for prediction ranges to be held to. Every curve follows from its
 * family and seed.
 */

export interface Curve {
  /** Readings from the moment it was put into the cold until well after it reached its goal. */
  readonly samples: readonly Sample[];
  readonly since: EpochMs;
  /** What is believed of its surroundings; where it truly stands is another matter. */
  readonly believed: Surroundings;
  readonly goal: Celsius;
  /** When the body itself (without noise) reached its goal, ms. */
  readonly reached: EpochMs;
}

export const FAMILIES = [
  'one temperature, white noise, to 0.1 C',
  'one temperature, to 0.5 C',
  'one temperature, noise that lasts',
  'a slab, read in the middle',
  'a fridge that cycles and is opened',
  'surroundings guessed wrong',
  'read by hand now and then',
] as const;
export type Family = (typeof FAMILIES)[number];

/** One number in (0, 1) for each question. */
const draw = (family: Family, seed: number, what: string | number, more = 0): number =>
  Math.min(1 - 1e-9, Math.max(1e-9, chance(seed, family, what, more)));

/** Standard normal, by Box and Muller. */
const normal = (family: Family, seed: number, what: string, index = 0): number =>
  Math.sqrt(-2 * Math.log(draw(family, seed, `${what} a`, index))) *
  Math.cos(2 * Math.PI * draw(family, seed, `${what} b`, index));

const EVERY_S = 20;
/** A cook looks at a thermometer every so many turns of that, on the mean. */
const LOOKED_AT = 24;
/** Two openings in an hour, each 6 C for 8 minutes. */
const MEAN_OF_OPENINGS = (2 * 6 * 480) / 3600;
const START = 1_800_000_000_000 as EpochMs;

export function curveOf(family: Family, seed: number): Curve {
  const uniform = (what: string, low: number, high: number): number =>
    low + (high - low) * draw(family, seed, what);
  const from = uniform('from', 45, 85);
  const around = uniform('around', 1, 6);
  const tau = Math.exp(uniform('tau', Math.log(15 * 60), Math.log(150 * 60)));
  const goal = around + uniform('goal', 3, 16);
  const byHand = family === 'read by hand now and then';
  const wrong = family === 'surroundings guessed wrong';
  const slab = family === 'a slab, read in the middle' ? slabOf(uniform('biot', 0.2, 6)) : undefined;
  const opened = family === 'a fridge that cycles and is opened';
  const own = wrong ? 3 : opened ? 1.5 : 1;
  const mean = around + (opened ? MEAN_OF_OPENINGS : 0);
  const believed = {
    celsius: celsius(mean + own * normal(family, seed, 'belief')),
    spread: own,
    drift: opened ? 1.2 : 0.2,
  };
  const lasting = family === 'one temperature, noise that lasts' ? 0.85 : 0;
  const noise = family === 'one temperature, to 0.5 C' ? 0.15 : uniform('noise', 0.05, 0.4);
  const step = family === 'one temperature, to 0.5 C' ? 0.5 : 0.1;

  const samples: Sample[] = [];
  let [body, disturbed, passed] = [from, 0, 0];
  let reached: EpochMs | undefined;
  for (let index = 0; passed < 24 * 3600; index += 1, passed = index * EVERY_S) {
    const at = plus(START, passed);
    const medium = around + (opened ? weather(seed, passed) : 0);
    body = slab
      ? around + (from - around) * slab(passed / tau)
      : medium + (body - medium) * Math.exp(-(index === 0 ? 0 : EVERY_S) / tau);
    if (reached === undefined && body <= goal) reached = at;
    if (reached !== undefined && at > reached) break;
    disturbed = lasting * disturbed + Math.sqrt(1 - lasting ** 2) * normal(family, seed, 'noise', index);
    const isLooked = !byHand || index === 0 || draw(family, seed, 'look', index) < 1 / LOOKED_AT;
    if (isLooked)
      samples.push({ at, celsius: celsius(Math.round((body + noise * disturbed) / step) * step) });
  }
  return { samples, since: START, believed, goal: celsius(goal), reached: reached ?? plus(START, passed) };

  /** A thermostat's swing of 1 C in 25 minutes, and a door that is opened now and then: 6 C that go in 8 minutes. */
  function weather(curve: number, time: number): number {
    const swing = Math.sin((2 * Math.PI * time) / 1500 + 6 * draw(family, curve, 'phase'));
    let warmer = 0;
    for (let minute = 0; minute * 900 < time; minute += 1) {
      if (draw(family, curve, 'door', minute) > 0.5) continue;
      const since = time - (minute + draw(family, curve, 'when', minute)) * 900;
      if (since > 0) warmer += 6 * Math.exp(-since / 480);
    }
    return swing + warmer;
  }
}

/**
 * The middle of a slab that cools on both faces, as a share of its first distance from the surroundings; time in units of
 * the slowest time constant. Series solution of the heat equation with a Biot number (Carslaw and Jaeger, Conduction of Heat
 * in Solids, section 3.11).
 */
export function slabOf(biot: number): (time: number) => number {
  const roots = Array.from({ length: 12 }, (_, index) => rootOf(biot, index));
  const slowest = (roots[0] ?? 1) ** 2;
  return (time) =>
    roots.reduce((sum, root) => {
      const weight = (4 * Math.sin(root)) / (2 * root + Math.sin(2 * root));
      return sum + weight * Math.exp((-(root ** 2) * time) / slowest);
    }, 0);
}

/** The root of z tan z = Biot between n pi and n pi + pi / 2. */
function rootOf(biot: number, index: number): number {
  let [low, high] = [index * Math.PI + 1e-9, index * Math.PI + Math.PI / 2 - 1e-9];
  for (let round = 0; round < 60; round += 1) {
    const middle = (low + high) / 2;
    if (middle * Math.tan(middle) < biot) low = middle;
    else high = middle;
  }
  return low;
}
