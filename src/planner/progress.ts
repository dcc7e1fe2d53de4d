import type { StepId } from '../plan/index.ts';
import type { Celsius, EpochMs } from '../units/index.ts';
import type { Timetable } from './timetable.ts';

/** How a step stands when a new timetable is asked for. */
export type StepStanding =
  /** Ended or skipped: nothing about it can change any more. */
  | { readonly kind: 'ended'; readonly start: EpochMs; readonly end: EpochMs }
  /** Under way since `start`; what is still possible of its range: it ends at `soonest` at the earliest, and as a rule at `likely`. */
  | {
      readonly kind: 'going';
      readonly start: EpochMs;
      readonly soonest: EpochMs;
      readonly likely: EpochMs;
      readonly oven?: string;
    }
  /** Still to be started. */
  | { readonly kind: 'open' };

/** How an oven stands: what it is reckoned to read now, and what its knob is set to (nothing: off). */
export interface OvenStanding {
  readonly oven: string;
  readonly celsius: Celsius;
  readonly knob?: Celsius;
  /** When it will be right at what it is set to, soak included. */
  readonly readyAt: EpochMs;
}

/** How far a run has come. Plain data: it survives JSON. */
export interface Progress {
  readonly now: EpochMs;
  /** Every step of the workload. */
  readonly steps: Readonly<Record<StepId, StepStanding>>;
  readonly ovens: readonly OvenStanding[];
  /** The timetable that the cook has been told. */
  readonly told: Timetable;
  /** Plans whose service has been called already, by their place in the workload. */
  readonly served: readonly number[];
}
