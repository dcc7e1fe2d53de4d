import type { Step, StepId } from '../plan/index.ts';
import {
  earlier,
  formatTemperature,
  LONGEST,
  later,
  plus,
  roughly,
  seconds,
  wallClock,
  type EpochMs,
} from '../units/index.ts';
import { availableFrom, heatWords } from './calls.ts';
import { stepComponent, type ComponentEvent } from './component-machine.ts';
import type { BenchEvent } from './events.ts';
import { stepLines } from './log.ts';
import { called, timerCalled, componentRun, lookup, must, ovenOf, runsOf, type Placed } from './lookup.ts';
import { askForTimetable, decline, offer, offerNothing, takeTimetable } from './replanning.ts';
import { probeGoals } from './triggers.ts';
import { doorEvent, sameHeat, stepOven, type OvenEvent } from './oven-machine.ts';
import type { BenchState, LogLine, OvenRun } from './state.ts';
import { isLastService, isReady, nextService, titlesOf } from './service.ts';
import { watchAt } from './watch.ts';

/** What an act makes of the run, or why it cannot be. */
export type Acted =
  | { readonly ok: true; readonly state: BenchState }
  | { readonly ok: false; readonly why: string };

const acted = (state: BenchState): Acted => ({ ok: true, state });
const refused = (why: string): Acted => ({ ok: false, why });

/** Carries out what an event says, without letting time act or looking at calls and alarms. */
export function act(state: BenchState, event: BenchEvent): Acted {
  if (state.servedAt !== undefined && event.kind !== 'clock' && event.kind !== 'gap')
    return refused('the run is over: it has been served');
  switch (event.kind) {
    case 'clock':
    case 'undo':
      return acted(state);
    case 'start':
      return start(state, event.step, earlier(event.at, event.time), event.time);
    case 'done':
      return stepAct(
        state,
        event.step,
        event.time,
        'running',
        (at) => ({ type: 'DONE', at, lastReadings: lastReadings(state) }),
        event.at,
      );
    case 'skip':
      return stepAct(state, event.step, event.time, 'open', (at) => ({ type: 'SKIP', at }), event.time);
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
    case 'timetable':
      return takeTimetable(state, event);
    case 'timetable asked':
      return askForTimetable(state, event);
    case 'proposed':
      return offer(state, event);
    case 'not proposed':
      return offerNothing(state, event);
    case 'declined':
      return decline(state, event);
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
  const text = `${what}served at ${wallClock(time, state.setup.workload.kitchen.timeZone)}, ${how}`;
  const served = {
    ...state,
    servings: [...state.servings, time],
    ...(isLastService(state) ? { servedAt: time } : {}),
  };
  return acted(note(served, { at: time, kind: 'note', text }));
}

const lastReadings = (state: BenchState) =>
  state.probes.map(({ probe, temperature, at }) => ({
    probe,
    celsius: temperature.celsius,
    at,
    deliberate: false,
  }));

/** Gives one event to the machine of one component. */
function toComponent(
  state: BenchState,
  { component }: Placed,
  event: ComponentEvent,
  knownAt: EpochMs,
): BenchState {
  const lines: LogLine[] = [];
  const components = state.components.map((run) => {
    if (run.component !== component.id) return run;
    const next = stepComponent(component, run, event);
    lines.push(...stepLines(component, run, next, knownAt));
    return next;
  });
  return { ...state, components, log: [...state.log, ...lines] };
}

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
  const missing = sources.find((source) => availableFrom(state, source, watchAt(now)) === undefined);
  if (missing !== undefined)
    return refused(
      `${called(placed)} must wait for ${called(must(lookup(state.setup.workload).placed, missing))}`,
    );
  let next = state;
  for (const source of sources) {
    if (must(runsOf(next), source).state !== 'running') continue;
    next = toComponent(
      next,
      must(lookup(state.setup.workload).placed, source),
      { type: 'DONE', at, lastReadings: lastReadings(state) },
      now,
    );
  }
  next = toComponent(next, placed, { type: 'START', at }, now);
  return acted(intoOven(next, placed.step, at, now));
}

/** A load that goes in sets the knob and the door as its step wants them. */
function intoOven(state: BenchState, step: Step, at: EpochMs, now: EpochMs): BenchState {
  const oven = ovenOf(state, step);
  const run = state.ovens.find((each) => each.oven === oven);
  if (!step.oven || !run) return state;
  let next = state;
  if (!sameHeat(run.heat, step.oven.heat)) {
    next = toOven(next, run.oven, { type: 'SET', heat: step.oven.heat, at: later(at, run.setAt) }, [
      { at: now, kind: 'oven', text: `${run.oven} ${heatWords(step.oven.heat)}` },
    ]);
  }
  return toOven(next, run.oven, doorEvent(step.oven.door), []);
}

function toOven(state: BenchState, oven: string, event: OvenEvent, lines: readonly LogLine[]): BenchState {
  const { kitchen } = state.setup.workload;
  const models = lookup(state.setup.workload).ovens;
  const ovens = state.ovens.map((run): OvenRun =>
    run.oven === oven ? stepOven(must(models, oven), kitchen, run, event) : run,
  );
  return { ...state, ovens, log: lines.length > 0 ? [...state.log, ...lines] : state.log };
}

function setOven(state: BenchState, oven: string, heat: OvenRun['heat'], time: EpochMs): Acted {
  if (!state.ovens.some((run) => run.oven === oven)) return refused(`the kitchen has no oven called ${oven}`);
  return acted(
    toOven(state, oven, { type: 'SET', heat, at: time }, [
      { at: time, kind: 'oven', text: `${oven} ${heatWords(heat)}` },
    ]),
  );
}

function door(state: BenchState, oven: string, to: OvenRun['door'], time: EpochMs): Acted {
  const run = state.ovens.find((each) => each.oven === oven);
  if (!run) return refused(`the kitchen has no oven called ${oven}`);
  const early = to === 'open' && run.lockedUntil !== undefined && run.lockedUntil.at > time;
  const event: OvenEvent = to === 'open' ? { type: 'OPEN', at: time, early } : doorEvent(to);
  const text = `${oven} door ${to}${early ? ', before it may be' : ''}`;
  return acted(toOven(state, oven, event, [{ at: time, kind: 'oven', text }]));
}

function lose(state: BenchState, event: Extract<BenchEvent, { kind: 'lost' }>): Acted {
  const component = lookup(state.setup.workload).components.get(event.component);
  const first = component?.steps[0];
  if (!component || !first) return refused(`the plan has no component ${event.component}`);
  const run = componentRun(state, component.id);
  if (run.steps.every((step) => step.state === 'waiting'))
    return refused(`${component.name} has not begun, so nothing is lost`);
  const placed = must(lookup(state.setup.workload).placed, first.id);
  return acted(toComponent(state, placed, { type: 'LOST', at: event.time }, event.time));
}

/** Probes that no step asks for are shown too, but not without end. */
const OTHER_PROBES = 20;

function read(state: BenchState, event: Extract<BenchEvent, { kind: 'reading' }>): Acted {
  const wanted = new Set(
    [...lookup(state.setup.workload).placed.values()].flatMap(({ step }) =>
      probeGoals(step.until).map((goal) => goal.probe),
    ),
  );
  const others = state.probes.filter(({ probe }) => !wanted.has(probe));
  const isNew = !wanted.has(event.probe) && !others.some(({ probe }) => probe === event.probe);
  if (isNew && others.length >= OTHER_PROBES)
    return refused(`there are ${OTHER_PROBES} probes already that no step asks for`);
  return acted(takeReadingOf(state, event));
}

function takeReadingOf(state: BenchState, event: Extract<BenchEvent, { kind: 'reading' }>): BenchState {
  const reading = { probe: event.probe, temperature: event.temperature, at: event.time };
  let next: BenchState = {
    ...state,
    probes: [...state.probes.filter((old) => old.probe !== event.probe), reading],
  };
  if (event.source === 'cook') {
    next = note(next, {
      at: event.time,
      kind: 'note',
      text: `${event.probe} reads ${formatTemperature(event.temperature)}`,
    });
  }
  for (const component of state.setup.workload.components) {
    const first = component.steps[0];
    if (!first) continue;
    const { probe, temperature } = event;
    const given = {
      type: 'READING',
      probe,
      celsius: temperature.celsius,
      at: event.time,
      deliberate: event.source === 'cook',
    } as const;
    next = toComponent(next, must(lookup(state.setup.workload).placed, first.id), given, event.time);
  }
  return next;
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

function hear(state: BenchState, key: string): Acted {
  const calls = state.calls.map((call) => (call.key === key ? { ...call, heard: true } : call));
  const alarms = state.alarms.flatMap((alarm) => {
    if (alarm.key !== key) return [alarm];
    return alarm.state === 'returned' ? [] : [{ ...alarm, state: 'heard' as const }];
  });
  if (!state.calls.some((call) => call.key === key) && !state.alarms.some((alarm) => alarm.key === key)) {
    return refused('that no longer stands');
  }
  return acted({ ...state, calls, alarms });
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
