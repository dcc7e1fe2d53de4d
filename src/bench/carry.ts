import { act } from './acts.ts';
import { beginComponent } from './component-machine.ts';
import type { BenchEvent, Effect, RunSetup } from './events.ts';
import { beginOven } from './oven-machine.ts';
import { advance, settle } from './settle.ts';
import type { BenchState, Outcome } from './state.ts';

/** The state of a run before anything has happened. */
export function begin(setup: RunSetup): BenchState {
  const { workload, timetable, begunAt } = setup;
  const bare: BenchState = {
    setup,
    timetable,
    components: workload.components.map((component) => beginComponent(component, begunAt)),
    ovens: workload.kitchen.ovens.map((oven) => beginOven(oven, workload.kitchen, begunAt)),
    calls: [],
    alarms: [],
    arising: {},
    lately: [],
    shelved: [],
    outOfService: [],
    timers: [],
    probes: [],
    cooling: [],
    feeds: [],
    replanning: { situations: [], answered: [] },
    log: [],
    rung: {},
    history: [],
    undone: [],
    servings: [],
    time: begunAt,
    deadline: begunAt,
  };
  return bare;
}

/** Carries an event out, whatever it is but `undo`. */
export function carryOut(state: BenchState, event: BenchEvent): Outcome {
  const advanced = advance(state, event.time);
  const done = act(advanced.state, event);
  if (!done.ok) return { ok: false, state, why: done.why };
  const remembered = remember(done.state, event);
  const settled =
    event.kind === 'clock' ? { state: remembered, effects: [] } : settle(remembered, event.time);
  return {
    ok: true,
    state: settled.state,
    effects: [...advanced.effects, ...settled.effects, ...tested(event)],
  };
}

/** A test of what can be heard rings whether or not it is quiet: somebody asked for it. */
function tested(event: BenchEvent): readonly Effect[] {
  if (event.kind !== 'sound test') return [];
  const { priority, id } = event;
  return [
    { kind: 'ring', key: `sound test ${id}`, nth: 1, priority, text: `this is how ${priority} sounds` },
  ];
}

/** Puts the event into the history; an act of the cook ends the telling of the last gap. */
export function remember(state: BenchState, event: BenchEvent): BenchState {
  const kept = { ...state, history: [...state.history, event], time: event.time };
  if (event.source !== 'cook' || state.gap === undefined) return kept;
  const { gap: _, ...rest } = kept;
  return rest;
}
