import type { EpochMs } from '../units/index.ts';
import { begin } from './carry.ts';
import type { BenchEvent, Happening, RunSetup } from './events.ts';
import { projectAt } from './settle.ts';
import type { BenchState, Call, Outcome, Projection } from './state.ts';
import { live } from './undo.ts';
import { watchAt } from './watch.ts';

/**
 * Applies one event. Pure: the same state and event give the same outcome. Time acts first, up to the event's own
 * time, each deadline at its own moment, so it does not matter how often the clock was sent before.
 */
export function apply(state: BenchState, event: BenchEvent): Outcome {
  if (state.history.some((old) => old.id === event.id)) return { ok: true, state, effects: [] };
  if (event.time < state.time) {
    throw new Error(
      `event ${event.id} of ${event.time} comes after one of ${state.time} in run ${state.setup.run}`,
    );
  }
  return live(state, event);
}

/** Applies events in order, from the beginning; refused ones change nothing. */
export function replay(setup: RunSetup, events: readonly BenchEvent[]): BenchState {
  return events.reduce((state, event) => apply(state, event).state, begin(setup));
}

/** The next moment at which time alone changes the state: the keeper sends a `clock` event once its time has come to it. */
export function nextDeadline(state: BenchState): EpochMs | undefined {
  return state.deadline;
}

/** How the run is expected to go on from `now`. */
export function project(state: BenchState, now: EpochMs): Projection {
  return projectAt(state, watchAt(now), now);
}

/** The happening that answers a call at `at` (not after now; earlier where it is dated back). */
export function answer(call: Call, at: EpochMs): Happening {
  const { asks } = call;
  switch (asks.kind) {
    case 'start':
    case 'done':
      return { kind: asks.kind, step: asks.step, at };
    case 'oven set':
      return { kind: 'oven set', oven: asks.oven, heat: asks.heat };
    case 'timer done':
      return { kind: 'timer done', name: asks.name };
    case 'turn':
      return { kind: 'turned', step: asks.step };
    case 'served':
      return { kind: 'served' };
  }
}
