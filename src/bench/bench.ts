import type { BenchEvent, Happening, RunSetup } from './events.ts';
import type { BenchState, Call, Outcome, Projection } from './state.ts';
import type { EpochMs } from '../units/index.ts';

/** The state of a run before anything has happened. */
export declare function begin(setup: RunSetup): BenchState;
/** Applies one event. Pure. Throws only on our own mistakes. */
export declare function apply(state: BenchState, event: BenchEvent): Outcome;
/** Applies events in order, from the beginning; refused ones change nothing. */
export declare function replay(setup: RunSetup, events: readonly BenchEvent[]): BenchState;
/** The next moment at which time alone changes the state: the keeper sends a `clock` event once its time has come to it. */
export declare function nextDeadline(state: BenchState): EpochMs | undefined;
/** How the run is expected to go on from `now`. */
export declare function project(state: BenchState, now: EpochMs): Projection;
/** The happening that answers a call at `at` (not after now; earlier where it is dated back). */
export declare function answer(call: Call, at: EpochMs): Happening;
