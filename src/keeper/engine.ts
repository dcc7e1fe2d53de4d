import type { BenchEvent, BenchState, Outcome, RunSetup, Situation } from '../bench/index.ts';
import type { Progress } from '../planner/index.ts';
import type { EpochMs } from '../units/index.ts';

/** The bench, as far as a keeper and a replica need it. All of it is pure. */
export interface BenchEngine {
  begin(setup: RunSetup): BenchState;
  apply(state: BenchState, event: BenchEvent): Outcome;
  nextDeadline(state: BenchState): EpochMs | undefined;
  /** The situation for which a new timetable is wanted now. */
  wantsReplan(state: BenchState): Situation | undefined;
  /** Whether somebody should look ahead now. */
  wantsForecast(state: BenchState, now: EpochMs): boolean;
  /** How far the run has come, for the planner. */
  progressOf(state: BenchState, now: EpochMs): Progress;
}
