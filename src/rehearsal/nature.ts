import type { Step } from '../plan/index.ts';
import { seconds, type DurationRange, type Seconds } from '../units/index.ts';
import { chance, triangular } from './chance.ts';
import { dayLuck, ovenLuck, ovenOfLuck, shared, waitsForProbe, type Life } from './life.ts';

/** How long things truly take in a rehearsal. */
export interface Nature {
  /** How long after its start a step is done, or a rest has had enough, in its nth attempt; whole seconds. */
  duration(step: Step, attempt: number): Seconds;
}

/** A rest is ready in this share of its least: a plan's "at least" is taken to be enough. */
export const READY: DurationRange = { low: seconds(0.7), usual: seconds(0.85), high: seconds(1) };

/** From what a length is drawn: so many times what is drawn from the range, in seconds. */
export interface Lot {
  readonly times: number;
  readonly range: DurationRange;
}

/** What nature draws a step's length from: a range as it stands, a rest as a share of its least. */
export function lotOf({ length, until }: Step, life?: Life): Lot {
  if (length.kind !== 'rest') return { times: 1, range: length.range };
  const isLate = life !== undefined && until !== undefined && waitsForProbe(until);
  return { times: length.atLeast, range: isLate ? life.temperature : READY };
}

/** The length that a luck of 0 to 1 draws from a lot; whole seconds. */
export const drawn = ({ times, range }: Lot, luck: number): Seconds =>
  seconds(Math.round(times * triangular(range, luck)));

/**
 * Nature as the plan describes it: each length is drawn from the triangular distribution through low, usual and high,
 * one draw for each step and attempt. With `life`, draws of one day belong together.
 */
export function natureOf(seed: number, life?: Life): Nature {
  return {
    duration(step, attempt) {
      const own = chance(seed, 'nature', step.id, attempt);
      const oven = ovenOfLuck(step);
      const luck = life
        ? shared(life, own, dayLuck(seed), oven === undefined ? undefined : ovenLuck(seed, oven))
        : own;
      return drawn(lotOf(step, life), luck);
    },
  };
}
