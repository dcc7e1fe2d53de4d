import type { StepId, Workload } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';
import { act } from './acts.ts';
import { heatWords } from './calls.ts';
import { beginComponent } from './component-machine.ts';
import type { BenchEvent, Effect, Happening, RunSetup } from './events.ts';
import { called, lookup, must } from './lookup.ts';
import { beginOven } from './oven-machine.ts';
import { advance, projectAt, settle } from './settle.ts';
import type { BenchState, Call, Outcome, Projection } from './state.ts';
import { watchAt } from './watch.ts';

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
    timers: [],
    probes: [],
    log: [],
    rung: {},
    history: [],
    undone: [],
    time: begunAt,
    deadline: begunAt,
  };
  return bare;
}

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
  return event.kind === 'undo' ? takeBack(state, event) : carryOut(state, event);
}

function carryOut(state: BenchState, event: BenchEvent): Outcome {
  const advanced = advance(state, event.time);
  const done = act(advanced.state, event);
  if (!done.ok) return { ok: false, state, why: done.why };
  const remembered = remember(done.state, event);
  const settled =
    event.kind === 'clock' ? { state: remembered, effects: [] } : settle(remembered, event.time);
  return { ok: true, state: settled.state, effects: [...advanced.effects, ...settled.effects] };
}

/** Puts the event into the history; an act of the cook ends the telling of the last gap. */
function remember(state: BenchState, event: BenchEvent): BenchState {
  const kept = { ...state, history: [...state.history, event], time: event.time };
  if (event.source !== 'cook' || state.gap === undefined) return kept;
  const { gap: _, ...rest } = kept;
  return rest;
}

const UNDOABLE: ReadonlySet<BenchEvent['kind']> = new Set([
  'start',
  'done',
  'reading',
  'oven set',
  'door',
  'timer',
  'timer done',
  'more',
  'skip',
  'lost',
  'served',
  'timetable',
]);

/** What `undo` would take back now: the latest act of the cook that stands. */
export function undoable(state: BenchState): BenchEvent | undefined {
  const gone = new Set(state.undone.map(({ event }) => event));
  return state.history.findLast(
    (event) => event.source === 'cook' && UNDOABLE.has(event.kind) && !gone.has(event.id),
  );
}

/** Taking back is living the run again without the act; time and probes have their say anew. */
function takeBack(state: BenchState, event: BenchEvent): Outcome {
  const target = undoable(state);
  if (!target) return { ok: false, state, why: 'there is nothing to take back' };
  const until = advance(state, event.time);
  const undone = [...state.undone, { event: target.id, by: event.id }];
  const lived = relive(state.setup, [...state.history, event], undone);
  // What rang has rung, also where the reason was taken back.
  const rung = { ...lived.rung };
  for (const [key, times] of Object.entries(until.state.rung)) rung[key] = Math.max(times, rung[key] ?? 0);
  const standing = new Set(lived.calls.map((call) => call.key));
  const hushed = until.state.calls.filter((call) => !standing.has(call.key));
  const effects = [...until.effects, ...hushed.map(({ key }): Effect => ({ kind: 'hush', key }))];
  return { ok: true, state: { ...lived, rung }, effects };
}

function relive(setup: RunSetup, history: readonly BenchEvent[], undone: BenchState['undone']): BenchState {
  const gone = new Set(undone.map(({ event }) => event));
  const targets = new Map(undone.map(({ event, by }) => [by, history.find((each) => each.id === event)]));
  let state = begin(setup);
  for (const event of history) {
    const target = targets.get(event.id);
    if (gone.has(event.id) || target !== undefined) {
      state = remember(advance(state, event.time).state, event);
      if (target)
        state = {
          ...state,
          log: [
            ...state.log,
            { at: event.time, kind: 'note', text: `taken back: ${describe(target, setup.workload)}` },
          ],
        };
      state = settle(state, event.time).state;
      continue;
    }
    const outcome = carryOut(state, event);
    // An event that no longer fits (a probe's word on a step that is not running any more) only lets time pass.
    state = outcome.ok ? outcome.state : remember(advance(state, event.time).state, event);
  }
  return { ...state, undone };
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
    case 'served':
      return { kind: 'served' };
  }
}

/** An act of the cook in a few words, for "taken back: ...". */
export function describe(event: BenchEvent, workload: Workload): string {
  const step = (id: StepId): string => called(must(lookup(workload).placed, id));
  switch (event.kind) {
    case 'start':
      return `start of ${step(event.step)}`;
    case 'done':
      return `end of ${step(event.step)}`;
    case 'more':
      return `more time for ${step(event.step)}`;
    case 'skip':
      return `${step(event.step)} skipped`;
    case 'lost':
      return `${must(lookup(workload).components, event.component).name} lost`;
    case 'oven set':
      return `${event.oven} ${heatWords(event.heat)}`;
    case 'door':
      return `${event.oven} door ${event.door}`;
    case 'timer':
    case 'timer done':
      return `timer ${event.name}`;
    case 'reading':
      return `reading of ${event.probe}`;
    case 'served':
    case 'timetable':
    case 'heard':
    case 'clock':
    case 'undo':
    case 'gap':
      return event.kind;
  }
}
