import type { Step, Trigger } from '../plan/index.ts';
import { seconds, type DurationRange, type Seconds } from '../units/index.ts';
import { between, chance } from './chance.ts';

/**
 * What days are like, beside what the plan says of each step alone. Guesses until records replace them; each can be set
 * to nothing.
 */
export interface Life {
  /** Some days everything is slow: how much of each step's luck is the day's (correlation of any two steps), 0 to 1. */
  readonly day: number;
  /** An oven off its mark is so for all that bakes in it: how much more of a bake's luck is its oven's. `day + oven` below 1. */
  readonly oven: number;
  /** The chance that a press is forgotten, and for how long then, all equally likely. */
  readonly forgets: number;
  readonly forgottenFor: { readonly least: Seconds; readonly most: Seconds };
  /** When a rest that ends at a temperature is there, as shares of its least: it may come late. */
  readonly temperature: DurationRange;
}

/** Life as it is taken to be where nobody has measured it. */
export const LIFELIKE: Life = {
  day: 0.15,
  oven: 0.25,
  forgets: 0.01,
  forgottenFor: { least: seconds(60), most: seconds(240) },
  temperature: { low: seconds(0.8), usual: seconds(0.95), high: seconds(1.25) },
};

/** Whether a trigger asks for a temperature that a person cannot replace. */
export function waitsForProbe(trigger: Trigger): boolean {
  switch (trigger.kind) {
    case 'cue':
      return false;
    case 'probe':
    case 'join':
      return true;
    case 'all':
      return trigger.of.some(waitsForProbe);
    case 'any':
      return trigger.of.every(waitsForProbe);
  }
}

/** The oven whose mark a step's luck hangs on; nothing where it bakes in none. */
export const ovenOfLuck = ({ oven }: Step): string | undefined =>
  oven?.heat.kind === 'at' ? (oven.oven ?? 'oven') : undefined;

/** The luck of a day, or of an oven on that day: standard normal. */
export const dayLuck = (seed: number): number => quantile(chance(seed, 'day'));
export const ovenLuck = (seed: number, oven: string): number => quantile(chance(seed, 'day of', oven));

/**
 * A step's luck (0 to 1, all equally likely) of which a part is the day's and, in an oven, the oven's: a Gaussian copula
 * with one common factor each. `own` is its own luck, `day` and `oven` are standard normal. Each step alone is as likely to
 * be slow as before; together they are not.
 */
export function shared(life: Life, own: number, day: number, oven: number | undefined): number {
  const ofOven = oven === undefined ? 0 : life.oven;
  const left = 1 - life.day - ofOven;
  const sum = Math.sqrt(life.day) * day + Math.sqrt(ofOven) * (oven ?? 0) + Math.sqrt(left) * quantile(own);
  return below(sum);
}

/** How long a press is forgotten, whole seconds: mostly not at all. Both lucks are 0 to 1. */
export function forgotten({ forgets, forgottenFor }: Life, luck: number, length: number): Seconds {
  return luck < forgets ? between(forgottenFor.least, forgottenFor.most, length) : seconds(0);
}

const MOST = 1 - 2 ** -33;

/**
 * The standard normal quantile, by the rational approximation of P. J. Acklam (2003; relative error below 1.2e-9).
 * `share` is taken to lie strictly between 0 and 1.
 */
export function quantile(share: number): number {
  const p = Math.min(MOST, Math.max(1 - MOST, share));
  if (p < 0.02425) return tail(Math.sqrt(-2 * Math.log(p)));
  if (p > 1 - 0.02425) return -tail(Math.sqrt(-2 * Math.log(1 - p)));
  const q = p - 0.5;
  const r = q * q;
  return (
    ((((((-3.969683028665376e1 * r + 2.209460984245205e2) * r - 2.759285104469687e2) * r +
      1.38357751867269e2) *
      r -
      3.066479806614716e1) *
      r +
      2.506628277459239) *
      q) /
    (((((-5.447609879822406e1 * r + 1.615858368580409e2) * r - 1.556989798598866e2) * r +
      6.680131188771972e1) *
      r -
      1.328068155288572e1) *
      r +
      1)
  );
}

function tail(q: number): number {
  return (
    (((((-7.784894002430293e-3 * q - 3.223964580411365e-1) * q - 2.400758277161838) * q - 2.549732539343734) *
      q +
      4.374664141464968) *
      q +
      2.938163982698783) /
    ((((7.784695709041462e-3 * q + 3.224671290700398e-1) * q + 2.445134137142996) * q + 3.754408661907416) *
      q +
      1)
  );
}

/**
 * The share of a standard normal that lies below, by formula 7.1.26 for the error function in Abramowitz and Stegun (1964;
 * error below 1.5e-7).
 */
export function below(value: number): number {
  const x = Math.abs(value) / Math.SQRT2;
  const t = 1 / (1 + 0.3275911 * x);
  const series =
    t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const half = (series * Math.exp(-x * x)) / 2;
  return value < 0 ? half : 1 - half;
}
