import type { StepId } from '../../plan/index.ts';

/** A limit of the plan that a rehearsal may break, with its steps (the one that breaks it last). */
export interface Window {
  readonly kind: 'within' | 'keeps' | 'rest' | 'cooling' | 'door' | 'service';
  readonly steps: readonly StepId[];
  /** `shells: bake high may wait 10 min after lid`. */
  readonly words: string;
}

/** One rehearsal as it went. Times are milliseconds since the run's beginning; NaN where something never came. */
export interface PlayedRun {
  seed: number;
  /** By a step's place in the workload. */
  readonly starts: Float64Array;
  readonly ends: Float64Array;
  /** By moment of service, in order. */
  readonly servedAt: Float64Array;
  /** How late the latest service went out, s; 0 where all were in time. */
  late: number;
  /** Whether a new timetable was wanted on the way, which only the real bench can have. */
  leaves: 'played' | 'needs bench';
  /** By window: 1 where it was broken. */
  readonly broken: Uint8Array;
}
