import type { BenchEvent, BenchState, Outcome, RunSetup } from '../bench/index.ts';
import type { EpochMs } from '../units/index.ts';

/** The bench, as far as a keeper and a replica need it. All three are pure. */
export interface BenchEngine {
  begin(setup: RunSetup): BenchState;
  apply(state: BenchState, event: BenchEvent): Outcome;
  nextDeadline(state: BenchState): EpochMs | undefined;
}
