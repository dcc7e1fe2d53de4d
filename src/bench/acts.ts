import type { StepId } from '../plan/index.ts';
import type { Showing } from '../planner/index.ts';
import {
  earlier,
  LONGEST,
  plus,
  roughly,
  seconds,
  secondsBetween,
  wallClock,
  type EpochMs,
} from '../units/index.ts';
import { acted, refused, type Acted } from './acted.ts';
import { beQuiet, hear, putBack, shelve, takeOut, unshelve } from './alarm-acts.ts';
import { availableFrom } from './calls.ts';
import type { ComponentEvent } from './component-machine.ts';
import type { BenchEvent } from './events.ts';
import { takeFeed } from './feeds.ts';
import { takeForecast } from './forecast.ts';
import { called, timerCalled, componentRun, lookup, must, nameIn, runsOf, type Placed } from './lookup.ts';
import { door, intoOven, setOven, turned } from './oven-acts.ts';
import { lastReadings, read } from './readings.ts';
import { airStep, firstShowing, showingAfter, showingBefore, showingNow, showingOf } from './showings.ts';
import type { BenchState, LogLine } from './state.ts';
import { leaveOut, spoil } from './swaps.ts';
import { askForTimetable, decline, offer, offerNothing, takeTimetable } from './replanning.ts';
import { moveService } from './service-moves.ts';
import { isLastService, isReady, nextService, titlesOf } from './service.ts';
import { toComponent } from './to-component.ts';
import { watchAt } from './watch.ts';

/** Carries out what an event says, without letting time act or looking at calls and alarms. */
export function act(state: BenchState, event: BenchEvent): Acted {
  if (state.servedAt !== undefined && event.kind !== 'clock' && event.kind !== 'gap')
    return refused('the run is over: it has been served');
  switch (event.kind) {
    case 'clock':
    case 'undo':
      return acted(state);
    case 'start':
      return goingOnAir(start(state, event.step, earlier(event.at, event.time), event.time), event);
    case 'done':
      return onward(
        state,
        event.step,
        stepAct(state, event.step, event.time, 'running', (at) => ended(state, at), event.at),
        earlier(event.at, event.time),
        event.time,
      );
    case 'skip':
      return onward(
        state,
        event.step,
        stepAct(state, event.step, event.time, 'open', (at) => ({ type: 'SKIP', at }), event.time),
        event.time,
        event.time,
      );
    case 'more':
      if (!(event.length > 0)) return refused('more time must be more than nothing');
      if (event.length > LONGEST) return refused('that is over 400 days more');
      return stepAct(
        state,
        event.step,
        event.time,
        'running',
        () => ({ type: 'MORE', length: event.length, now: event.time }),
        event.time,
      );
    case 'length':
      return resize(state, event);
    case 'spoilt':
      return spoilt(state, event);
    case 'lost':
      return lose(state, event);
    case 'reading':
      return read(state, event);
    case 'oven set':
      return setOven(state, event.oven, event.heat, event.time);
    case 'door':
      return door(state, event.oven, event.door, event.time);
    case 'timer':
      return addTimer(state, event);
    case 'timer done':
      if (!state.timers.some((timer) => timer.name === event.name))
        return refused(`there is no timer called ${event.name}`);
      return acted({ ...state, timers: state.timers.filter((timer) => timer.name !== event.name) });
    case 'heard':
      return hear(state, event.key);
    case 'served':
      return serve(state, event.time);
    case 'turned':
      return turned(state, event.step, event.time);
    default:
      return actOnWatch(state, event);
  }
}

type Watching = Exclude<
  BenchEvent['kind'],
  | 'clock'
  | 'undo'
  | 'start'
  | 'done'
  | 'skip'
  | 'more'
  | 'length'
  | 'spoilt'
  | 'lost'
  | 'reading'
  | 'oven set'
  | 'door'
  | 'timer'
  | 'timer done'
  | 'heard'
  | 'served'
  | 'turned'
>;

/** What changes nothing at the bench itself: timetables, what rings, what is seen ahead, and who watches. */
function actOnWatch(state: BenchState, event: Extract<BenchEvent, { kind: Watching }>): Acted {
  switch (event.kind) {
    case 'timetable':
      return takeTimetable(state, event);
    case 'service moved':
      return moveService(state, event);
    case 'timetable asked':
      return askForTimetable(state, event);
    case 'proposed':
      return offer(state, event);
    case 'not proposed':
      return offerNothing(state, event);
    case 'declined':
      return decline(state, event);
    case 'shelved':
      return shelve(state, event);
    case 'unshelved':
      return unshelve(state, event);
    case 'out of service':
      return takeOut(state, event);
    case 'in service':
      return putBack(state, event);
    case 'quiet':
      return beQuiet(state, event);
    case 'sound test':
      return acted(state);
    case 'feed':
      return takeFeed(state, event);
    case 'forecast':
      return takeForecast(state, event);
    case 'gap':
      return acted(gap(state, event));
  }
}

const note = (state: BenchState, line: LogLine): BenchState => ({ ...state, log: [...state.log, line] });

function serve(state: BenchState, time: EpochMs): Acted {
  const service = nextService(state);
  if (!service || !isReady(state, service)) return refused('not everything is finished yet');
  const late = (time - service.at) / 1000;
  const how =
    Math.abs(late) < 60
      ? 'on time'
      : late > 0
        ? `${roughly(seconds(late))} late`
        : `${roughly(seconds(-late))} early`;
  const what = state.setup.workload.plans.length > 1 ? `${titlesOf(state, service)} ` : '';
  const text = `${what}${state.setup.rundown ? 'ended' : 'served'} at ${wallClock(time, state.setup.workload.kitchen.timeZone)}, ${how}`;
  const served = {
    ...state,
    servings: [...state.servings, time],
    ...(isLastService(state) ? { servedAt: time } : {}),
  };
  return acted(note(served, { at: time, kind: 'note', text }));
}

const ended = (state: BenchState, at: EpochMs): ComponentEvent => {
  const { altitude } = state.setup.workload.kitchen;
  return {
    type: 'DONE',
    at,
    lastReadings: lastReadings(state),
    ...(altitude === undefined ? {} : { altitude }),
  };
};

function stepAct(
  state: BenchState,
  id: StepId,
  now: EpochMs,
  wanted: 'running' | 'open',
  event: (at: EpochMs) => ComponentEvent,
  at: EpochMs,
): Acted {
  const placed = lookup(state.setup.workload).placed.get(id);
  if (!placed) return refused(`the plan has no step ${id}`);
  const run = must(runsOf(state), id);
  if (run.state === 'ended' || run.state === 'skipped') return refused(`${called(placed)} is over already`);
  if (wanted === 'running' && run.state !== 'running') return refused(`${called(placed)} has not started`);
  if (run.state === 'waiting' && !isNext(state, placed))
    return refused(`${called(placed)} is not the next step`);
  return acted(toComponent(state, placed, event(earlier(at, now)), now));
}

/** Cuts a step or stretches it. One that is going cannot be cut to less than has passed: then it is over now. */
function resize(state: BenchState, event: Extract<BenchEvent, { kind: 'length' }>): Acted {
  if (!(event.length > 0)) return refused('a step must last longer than nothing');
  if (event.length > LONGEST) return refused('that is over 400 days');
  const placed = lookup(state.setup.workload).placed.get(event.step);
  if (!placed) return refused(`the plan has no step ${event.step}`);
  if (placed.step.length.kind === 'rest')
    return refused(`${called(placed)} is a rest: it ends when you end it`);
  const run = must(runsOf(state), event.step);
  if (run.state === 'ended' || run.state === 'skipped') return refused(`${called(placed)} is over already`);
  const shown = showingOf(state, event.step);
  if (shown && !(shown.shortest <= event.length && event.length <= shown.longest))
    return refused(lengthWords(placed, shown));
  const passed = run.state === 'running' ? secondsBetween(run.startedAt, event.time) : 0;
  const extra = seconds(Math.max(event.length, passed) - placed.step.length.range.usual);
  return acted(
    toComponent(state, placed, { type: 'LENGTH', step: event.step, extra, now: event.time }, event.time),
  );
}

const lengthWords = (placed: Placed, { shortest, longest, decides }: Showing): string =>
  shortest === longest
    ? `${called(placed)} has one length: ${decides === 'nature' ? 'nature decides it' : 'the plan names no other'}`
    : `${called(placed)} may be cut to ${roughly(shortest)} and stretched to ${roughly(longest)}`;

const isNext = (state: BenchState, { component, index }: Placed): boolean =>
  componentRun(state, component.id).steps.findIndex(
    (run) => run.state === 'running' || run.state === 'waiting',
  ) === index;

function start(state: BenchState, id: StepId, at: EpochMs, now: EpochMs): Acted {
  const placed = lookup(state.setup.workload).placed.get(id);
  if (!placed) return refused(`the plan has no step ${id}`);
  const run = must(runsOf(state), id);
  if (run.state !== 'waiting')
    return refused(`${called(placed)} ${run.state === 'running' ? 'is going already' : 'is over already'}`);
  const sources = [...(placed.before ? [placed.before.id] : []), ...placed.step.needs];
  const earlierShown = showingBefore(state, id);
  if (earlierShown !== undefined)
    return refused(
      `${called(placed)} must wait for ${called(must(lookup(state.setup.workload).placed, earlierShown))}`,
    );
  const missing = sources.find((source) => availableFrom(state, source, watchAt(now)) === undefined);
  if (missing !== undefined)
    return refused(
      `${called(placed)} must wait for ${called(must(lookup(state.setup.workload).placed, missing))}`,
    );
  let next = state;
  for (const source of sources) {
    if (must(runsOf(next), source).state !== 'running') continue;
    next = toComponent(next, must(lookup(state.setup.workload).placed, source), ended(state, at), now);
  }
  next = toComponent(next, placed, { type: 'START', at }, now);
  return acted(intoOven(next, placed.step, at, now));
}

/** The time on air begins with the first showing. */
function goingOnAir(begun: Acted, { step, at, time }: Extract<BenchEvent, { kind: 'start' }>): Acted {
  const air = begun.ok ? airStep(begun.state) : undefined;
  if (!begun.ok || air === undefined || firstShowing(begun.state)?.step !== step) return begun;
  const onAir = start(begun.state, air, earlier(at, time), time);
  return onAir.ok ? onAir : begun;
}

/** On air one showing follows the other at once, also one that is left out, where what it needs is there; else it is called. */
function onward(before: BenchState, step: StepId, over: Acted, at: EpochMs, now: EpochMs): Acted {
  const next = showingAfter(before, step);
  if (!over.ok || next === undefined) return over;
  const begun = start(leaveOut(over.state, at), next, at, now);
  return begun.ok ? begun : over;
}

/** A copy is spoilt: where that ends the showing that is going, the next one begins. */
function spoilt(state: BenchState, event: Extract<BenchEvent, { kind: 'spoilt' }>): Acted {
  const done = spoil(state, event);
  if (!done.ok) return done;
  const after = leaveOut(done.state, event.time);
  const going = showingNow(state);
  const isOver = going !== undefined && 'endedAt' in must(runsOf(after), going);
  const next = isOver ? showingNow(after) : undefined;
  const begun = next === undefined ? undefined : start(after, next, event.time, event.time);
  return begun?.ok ? begun : acted(after);
}

function lose(state: BenchState, event: Extract<BenchEvent, { kind: 'lost' }>): Acted {
  const component = lookup(state.setup.workload).components.get(event.component);
  const first = component?.steps[0];
  if (!component || !first) return refused(`the plan has no component ${event.component}`);
  const run = componentRun(state, component.id);
  if (run.steps.every((step) => step.state === 'waiting'))
    return refused(`${nameIn(state.setup.workload, component.id)} has not begun, so nothing is lost`);
  const placed = must(lookup(state.setup.workload).placed, first.id);
  return acted(toComponent(state, placed, { type: 'LOST', at: event.time }, event.time));
}

function addTimer(state: BenchState, event: Extract<BenchEvent, { kind: 'timer' }>): Acted {
  if (!(event.length > 0)) return refused('a timer must be longer than nothing');
  if (state.timers.some((timer) => timer.name === event.name))
    return refused(`there is a timer called ${event.name} already`);
  if (state.timers.length >= 20) return refused('twenty timers are going already');
  const timer = { name: event.name, startedAt: event.time, endsAt: plus(event.time, event.length) };
  return acted(
    note(
      { ...state, timers: [...state.timers, timer] },
      { at: event.time, kind: 'timer', text: `${timerCalled(event.name)}: ${roughly(event.length)}` },
    ),
  );
}

const GAP_WORDS = {
  'keeper stopped': 'nothing kept the run',
  'machine slept': 'the machine stood still',
  'clock stepped': "the machine's clock was moved: the run keeps its own time",
} as const;

function gap(state: BenchState, event: Extract<BenchEvent, { kind: 'gap' }>): BenchState {
  const length = roughly(seconds(Math.max(0, event.time - event.from) / 1000));
  const text =
    event.reason === 'clock stepped' ? GAP_WORDS[event.reason] : `${GAP_WORDS[event.reason]} for ${length}`;
  return note(
    { ...state, gap: { from: event.from, to: event.time, reason: event.reason } },
    { at: event.time, kind: 'note', text },
  );
}
