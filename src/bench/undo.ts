import type { StepId, Workload } from '../plan/index.ts';
import { begin, carryOut, remember } from './carry.ts';
import { heatWords } from './oven-calls.ts';
import type { BenchEvent, Effect, RunSetup } from './events.ts';
import { called, lookup, must, nameIn, timerCalled } from './lookup.ts';
import { advance, settle } from './settle.ts';
import type { BenchState, Outcome } from './state.ts';

/** The acts of the cook that can be taken back. */
export const UNDOABLE: ReadonlySet<BenchEvent['kind']> = new Set([
  'start',
  'done',
  'reading',
  'oven set',
  'door',
  'timer',
  'timer done',
  'more',
  'length',
  'skip',
  'spoilt',
  'lost',
  'served',
  'timetable',
  'service moved',
  'declined',
  'turned',
  'shelved',
  'out of service',
]);

/** What `undo` would take back now: the latest act of the cook that stands. */
export function undoable(state: BenchState): BenchEvent | undefined {
  const gone = new Set(state.undone.map(({ event }) => event));
  return state.history.findLast(
    (event) => event.source === 'cook' && UNDOABLE.has(event.kind) && !gone.has(event.id),
  );
}

/** How many states of a run are kept at hand to go back to. An act further back is found by living the run again. */
const TRAIL = 100;
const trails = new WeakMap<RunSetup, BenchState[]>();

/** Applies an event that is new and not out of order, and keeps the way back. */
export function live(state: BenchState, event: BenchEvent): Outcome {
  const outcome = event.kind === 'undo' ? takeBack(state, event) : carryOut(state, event);
  if (!outcome.ok) return outcome;
  const trail = trails.get(state.setup) ?? [];
  trails.set(state.setup, trail);
  if (trail.at(-1) !== state) trail.push(state);
  if (trail.length > TRAIL) trail.shift();
  return outcome;
}

/** The run as it stood before the event at `index` of the history. */
function stateBefore({ setup, history }: BenchState, index: number): BenchState {
  const isBefore = (old: BenchState): boolean =>
    old.history.length === index && old.history.every((event, at) => event === history[at]);
  const kept = trails.get(setup)?.findLast(isBefore);
  if (kept) return kept;
  return history.slice(0, index).reduce((state, event) => live(state, event).state, begin(setup));
}

/**
 * Taking an act back is going to where the run stood before it, and living what came after once more without it: time and
 * probes have their say anew. (Whatever the cook did after it has been taken back already.)
 */
function takeBack(state: BenchState, event: BenchEvent): Outcome {
  const target = undoable(state);
  if (!target) return { ok: false, state, why: 'there is nothing to take back' };
  const until = advance(state, event.time);
  const undone = [...state.undone, { event: target.id, by: event.id }];
  const index = state.history.indexOf(target);
  const after = [...state.history.slice(index), event];
  const told = after.reduce((now, old) => again(now, old, undone, state.history), stateBefore(state, index));
  // What rang has rung, also where the reason was taken back.
  const rung = { ...told.rung };
  for (const [key, times] of Object.entries(until.state.rung)) rung[key] = Math.max(times, rung[key] ?? 0);
  const standing = new Set(told.calls.map((call) => call.key));
  const hushed = until.state.calls.filter((call) => !standing.has(call.key));
  const effects = [...until.effects, ...hushed.map(({ key }): Effect => ({ kind: 'hush', key }))];
  return { ok: true, state: { ...told, rung, undone }, effects };
}

/** Lives an event once more. One that was taken back, or that no longer fits, only lets time pass; an `undo` is told. */
function again(
  state: BenchState,
  event: BenchEvent,
  undone: BenchState['undone'],
  history: readonly BenchEvent[],
): BenchState {
  const pair = undone.find((each) => each.event === event.id || each.by === event.id);
  const outcome = pair ? undefined : carryOut(state, event);
  if (outcome?.ok) return outcome.state;
  const passed = remember(advance(state, event.time).state, event);
  const target = pair?.by === event.id ? history.find((old) => old.id === pair.event) : undefined;
  if (!target) return settle(passed, event.time).state;
  const text = `taken back: ${describe(target, state.setup.workload)}`;
  return settle({ ...passed, log: [...passed.log, { at: event.time, kind: 'note', text }] }, event.time)
    .state;
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
    case 'length':
      return `new length of ${step(event.step)}`;
    case 'skip':
      return `${step(event.step)} skipped`;
    case 'spoilt':
      return `swap ${event.swap} spoilt`;
    case 'lost':
      return `${nameIn(workload, event.component)} lost`;
    case 'oven set':
      return `${event.oven} ${heatWords(event.heat)}`;
    case 'door':
      return `${event.oven} door ${event.door}`;
    case 'timer':
    case 'timer done':
      return timerCalled(event.name);
    case 'reading':
      return `reading of ${event.probe}`;
    case 'timetable':
      return 'the new timetable';
    case 'service moved':
      return 'the new time of service';
    case 'declined':
      return 'the new timetable not taken';
    case 'served':
    case 'timetable asked':
    case 'proposed':
    case 'not proposed':
    case 'heard':
    case 'clock':
    case 'undo':
    case 'gap':
    case 'feed':
    case 'forecast':
    case 'sound test':
    case 'quiet':
    case 'in service':
    case 'unshelved':
      return event.kind;
    case 'turned':
      return `turning of ${step(event.step)}`;
    case 'shelved':
      return 'setting an alarm aside';
    case 'out of service':
      return `${event.alarm} out of service`;
  }
}
