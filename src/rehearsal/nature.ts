import type { Step } from '../plan/index.ts';
import { seconds, type DurationRange, type Seconds } from '../units/index.ts';
import { chance, triangular } from './chance.ts';

/** How long things truly take in a rehearsal. */
export interface Nature {
  /** How long after its start a step is done, or a rest has had enough, in its nth attempt; whole seconds. */
  duration(step: Step, attempt: number): Seconds;
}

/** A rest is ready in this share of its least: a plan's "at least" is taken to be enough. */
const READY: DurationRange = { low: seconds(0.7), usual: seconds(0.85), high: seconds(1) };

/**
 * Nature as the plan describes it: each length is drawn from the triangular distribution through low, usual and high,
 * one draw for each step and attempt.
 */
export function natureOf(seed: number): Nature {
  return {
    duration(step, attempt) {
      const luck = chance(seed, 'nature', step.id, attempt);
      const { length } = step;
      const drawn =
        length.kind === 'rest' ? length.atLeast * triangular(READY, luck) : triangular(length.range, luck);
      return seconds(Math.round(drawn));
    },
  };
}
