import { assign, setup, transition, type AnyStateMachine } from 'xstate';
import type { Component, Step, StepId } from '../plan/index.ts';
import { epochMs, later, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import type { ComponentRun, StepRun } from './state.ts';
import {
  clockMoment,
  endsByClock,
  probesIn,
  readGoals,
  saysOtherwise,
  takeReading,
  triggerState,
  type LastReading,
  type Reading,
} from './triggers.ts';

type Running = Extract<StepRun, { state: 'running' }>;
type Run = Omit<ComponentRun, 'at'>;

/** What a component's machine understands. Moments are handed in; the machine never reads a clock. */
export type ComponentEvent =
  | { readonly type: 'START'; readonly at: EpochMs }
  | {
      readonly type: 'DONE';
      readonly at: EpochMs;
      readonly lastReadings: readonly LastReading[];
      readonly altitude?: number;
    }
  | { readonly type: 'SKIP'; readonly at: EpochMs }
  | { readonly type: 'LOST'; readonly at: EpochMs }
  | { readonly type: 'MORE'; readonly length: Seconds; readonly now: EpochMs }
  /** That step, going or to come, is to last so much longer than it usually does (less than nothing: so much shorter). */
  | { readonly type: 'LENGTH'; readonly step: StepId; readonly extra: Seconds; readonly now: EpochMs }
  | { readonly type: 'CLOCK'; readonly now: EpochMs }
  | ({ readonly type: 'READING' } & Reading);

const replaceStep = (run: Run, index: number, step: StepRun): Run => ({
  ...run,
  steps: run.steps.map((old, at) => (at === index ? step : old)),
});

function running(run: Run, index: number): Running {
  const step = run.steps[index];
  if (step?.state !== 'running') throw new Error(`step ${index} of ${run.component} is not running`);
  return step;
}

/**
 * The moment before which nothing in this component can be dated back: its latest end, or when it was lost. A first
 * attempt may have begun before the run did: the milk was on already when somebody thought of starting.
 */
function latestEnd(run: Run): EpochMs {
  return run.steps.reduce<EpochMs>(
    (latest, step) =>
      step.state === 'ended' || step.state === 'skipped' ? later(latest, step.endedAt) : latest,
    run.attempt === 1 ? epochMs(0) : run.since,
  );
}

function end(run: Run, index: number, at: EpochMs, by: 'clock' | 'cook' | 'probe', overruled = false): Run {
  const { step, startedAt } = running(run, index);
  const ended: StepRun = {
    step,
    state: 'ended',
    startedAt,
    endedAt: later(at, startedAt),
    by,
    ...(overruled ? { overruled } : {}),
  };
  const next = replaceStep(run, index, ended);
  return index === run.steps.length - 1 ? { ...next, finishedAt: ended.endedAt } : next;
}

/** Whether all that time and probes have to do for a rest, or for a step that also wants a cue, is done at `now`. */
function isReady(step: Step, run: Running, now: EpochMs): boolean {
  if (step.length.kind === 'rest' && clockMoment(step, run) > now) return false;
  if (!step.until) return step.length.kind === 'rest';
  // Where a cue alone would do, no temperature makes the step any readier than it is from its start.
  const waitsForProbe = triggerState(step.until, []) === 'not yet';
  return (waitsForProbe || step.length.kind === 'rest') && triggerState(step.until, run.met) !== 'not yet';
}

/** The moment an event speaks of. */
const nowOf = (event: ComponentEvent): EpochMs =>
  event.type === 'CLOCK' || event.type === 'MORE' || event.type === 'LENGTH' ? event.now : event.at;

/** A running step as it is once the event's reading, if it is one, has been taken into account. */
function read(step: Step, run: Running, event: ComponentEvent): Running {
  return event.type === 'READING' && step.until ? takeReading(run, step.until, event) : run;
}

/** What an event makes of a component, as an action of its machine. */
const change = (make: (run: Run, event: ComponentEvent) => Run) =>
  assign<{ run: Run }, ComponentEvent, undefined, ComponentEvent, never>(({ context, event }) => ({
    run: make(context.run, event),
  }));

/** What can be done with one step. */
function stepActions(step: Step, index: number) {
  return {
    start: change((run, event) => {
      const old = run.steps[index];
      return replaceStep(run, index, {
        step: step.id,
        state: 'running',
        startedAt: later(nowOf(event), latestEnd(run)),
        extra: (old?.state === 'waiting' ? old.extra : undefined) ?? seconds(0),
        within: {},
        heard: {},
        met: [],
      });
    }),
    skip: change((run, event) => {
      const at = later(nowOf(event), latestEnd(run));
      const next = replaceStep(run, index, { step: step.id, state: 'skipped', endedAt: at });
      return index === run.steps.length - 1 ? { ...next, finishedAt: at } : next;
    }),
    extend: change((run, event) => {
      const { readyAt: _, ...old } = running(run, index);
      if (event.type !== 'MORE') return run;
      return replaceStep(run, index, { ...old, extra: seconds(old.extra + event.length) });
    }),
    resize: change((run, event) => {
      if (event.type !== 'LENGTH') return run;
      const { readyAt: _, ...old } = running(run, index);
      return replaceStep(run, index, { ...old, extra: event.extra });
    }),
    note: change((run, event) => replaceStep(run, index, read(step, running(run, index), event))),
    ready: change((run, event) => {
      const old = read(step, running(run, index), event);
      const readyAt = event.type === 'CLOCK' ? clockMoment(step, old) : nowOf(event);
      return replaceStep(run, index, { ...old, readyAt });
    }),
    endByClock: change((run) => end(run, index, clockMoment(step, running(run, index)), 'clock')),
    endByProbe: change((run, event) => end(run, index, nowOf(event), 'probe')),
    endByCook: change((run, event) =>
      end(
        run,
        index,
        nowOf(event),
        'cook',
        event.type === 'DONE' &&
          saysOtherwise(step.until, running(run, index).startedAt, event.lastReadings, event.altitude),
      ),
    ),
  };
}

interface Asked {
  readonly context: { readonly run: Run };
  readonly event: ComponentEvent;
}

/** What is asked of one step before it changes. */
function stepGuards(step: Step, index: number) {
  const now = ({ context, event }: Asked): Running => read(step, running(context.run, index), event);
  return {
    isOver: (asked: Asked): boolean =>
      endsByClock(step) && clockMoment(step, now(asked)) <= nowOf(asked.event),
    isMet: (asked: Asked): boolean =>
      step.length.kind !== 'rest' &&
      step.until !== undefined &&
      triggerState(step.until, now(asked).met) === 'met',
    becomesReady: (asked: Asked): boolean => isReady(step, now(asked), nowOf(asked.event)),
    isMeant: ({ event }: Asked): boolean => event.type === 'LENGTH' && event.step === step.id,
    concernsIt: ({ event }: Asked): boolean =>
      event.type === 'READING' && readGoals(step.until).some((part) => probesIn(part).includes(event.probe)),
  };
}

/** The states of one step, and how it is left for the next. */
function stepStates(step: Step, index: number, next: string) {
  const { start, skip, extend, resize, note, ready, endByClock, endByProbe, endByCook } = stepActions(
    step,
    index,
  );
  const { isOver, isMet, becomesReady, isMeant, concernsIt } = stepGuards(step, index);
  const leave = { DONE: { target: next, actions: endByCook }, SKIP: { target: next, actions: skip } };
  return {
    initial: 'waiting',
    states: {
      waiting: { on: { START: { target: 'running', actions: start }, SKIP: leave.SKIP } },
      running: {
        on: {
          ...leave,
          MORE: { actions: extend },
          LENGTH: { guard: isMeant, actions: resize },
          CLOCK: [
            { guard: isOver, target: next, actions: endByClock },
            { guard: becomesReady, target: 'ready', actions: ready },
          ],
          READING: [
            { guard: isMet, target: next, actions: endByProbe },
            { guard: becomesReady, target: 'ready', actions: ready },
            { guard: concernsIt, actions: note },
          ],
        },
      },
      ready: {
        on: {
          ...leave,
          MORE: { target: 'running', actions: extend },
          LENGTH: { guard: isMeant, target: 'running', actions: resize },
          READING: { guard: concernsIt, actions: note },
        },
      },
    },
  };
}

/** No step can have this name: brackets are not allowed in one. */
const FINISHED = '(finished)';

const machines = new WeakMap<Component, AnyStateMachine>();

/**
 * The statechart of a component, built from the plan: one compound state for each step, in order, each waiting, then
 * running, then (for a rest, or a step that wants both a temperature and the cook) ready, and `(finished)` after the last.
 * It sets no timers: time enters as CLOCK events, and deadlines are computed from its context.
 */
export function componentMachine(component: Component): AnyStateMachine {
  const known = machines.get(component);
  if (known) return known;
  const idOf = (index: number): string => {
    const step = component.steps[index];
    return `#${component.id}.${step ? step.name : FINISHED}`;
  };
  const states = Object.fromEntries(
    component.steps.map((step, index) => [step.name, stepStates(step, index, idOf(index + 1))]),
  );
  const first = component.steps[0];
  const machine = setup({
    types: { context: {} as { run: Run }, events: {} as ComponentEvent },
  }).createMachine({
    id: component.id,
    initial: first?.name ?? FINISHED,
    context: { run: newRun(component, 1, 0 as EpochMs) },
    states: { ...states, [FINISHED]: {} },
    on: {
      // Of a step that is still to come.
      LENGTH: { actions: change(resizeWaiting) },
      LOST: {
        target: idOf(0),
        actions: assign(({ context, event }) => ({
          run: newRun(
            component,
            context.run.attempt + 1,
            event.type === 'LOST' ? event.at : context.run.since,
          ),
        })),
      },
    },
  });
  machines.set(component, machine);
  return machine;
}

function resizeWaiting(run: Run, event: ComponentEvent): Run {
  if (event.type !== 'LENGTH') return run;
  const { step, extra } = event;
  const index = run.steps.findIndex((each) => each.step === step && each.state === 'waiting');
  return index < 0 ? run : replaceStep(run, index, { step, state: 'waiting', extra });
}

function newRun(component: Component, attempt: number, since: EpochMs): Run {
  return {
    component: component.id,
    attempt,
    since,
    steps: component.steps.map(({ id }) => ({ step: id, state: 'waiting' })),
  };
}

/** A component before its first step. */
export function beginComponent(component: Component, since: EpochMs): ComponentRun {
  return { ...newRun(component, 1, since), at: `${component.steps[0]?.name}.waiting` };
}

/** Gives an event to a component's machine; the same object comes back if it changes nothing. */
export function stepComponent(component: Component, run: ComponentRun, event: ComponentEvent): ComponentRun {
  const machine = componentMachine(component);
  const { at, ...context } = run;
  const dot = at.lastIndexOf('.');
  const value = dot < 0 ? at : { [at.slice(0, dot)]: at.slice(dot + 1) };
  const [next] = transition(machine, machine.resolveState({ value, context: { run: context } }), event);
  const after = next.context as { run: Run };
  const nextAt =
    typeof next.value === 'string'
      ? next.value
      : Object.entries(next.value).map(([step, inner]) => `${step}.${String(inner)}`)[0];
  if (after.run === context && nextAt === at) return run;
  return { ...after.run, at: nextAt ?? at };
}

/** The next moment at which time alone moves a component on. */
export function componentDeadline(component: Component, run: ComponentRun): EpochMs | undefined {
  for (const [index, stepRun] of run.steps.entries()) {
    const step = component.steps[index];
    if (!step || stepRun.state !== 'running' || stepRun.readyAt !== undefined) continue;
    const moment = clockMoment(step, stepRun);
    if (endsByClock(step)) return moment;
    if (step.length.kind === 'rest' && (!step.until || triggerState(step.until, stepRun.met) !== 'not yet'))
      return moment;
  }
  return undefined;
}
