import type { BenchState, Call, Happening } from '../bench/index.ts';
import type { Step, StepId } from '../plan/index.ts';
import { secondsBetween, wallClock } from '../units/index.ts';
import { lookupIn, probeNames, probesIn } from '../view/index.ts';

/*
 * What a key is about where the cook has not said: the chosen component's step or the topmost running one, the probes and
 * ovens there are, and which way a door goes.
 */

const stepsOf = (state: BenchState): readonly Step[] =>
  state.setup.workload.components.flatMap((component) => component.steps);

/** `shells: bake high`, for people. */
export const stepCalled = (state: BenchState, id: StepId): string =>
  lookupIn(state.setup.workload).called(id);

/** The running step of the component chosen, or without a choice the one that its call puts topmost, else the first. */
export function runningIn(state: BenchState, selected: number | undefined): Step | undefined {
  const runs = selected === undefined ? state.components : state.components.slice(selected, selected + 1);
  const running = new Set(
    runs.flatMap((run) => run.steps.filter((step) => step.state === 'running').map((step) => step.step)),
  );
  const called = state.calls.flatMap((call) => (call.asks.kind === 'done' ? [call.asks.step] : []));
  const id = called.find((each) => running.has(each)) ?? [...running][0];
  return stepsOf(state).find((step) => step.id === id);
}

/** The standing call to start or end a step of the chosen component; without a choice the first such call. */
export function standsOpen(state: BenchState, selected: number | undefined): Call | undefined {
  const chosen = selected === undefined ? undefined : state.components[selected];
  const own = new Set(chosen?.steps.map((step) => step.step));
  return state.calls.find(
    (call) =>
      (call.asks.kind === 'done' || (chosen !== undefined && call.asks.kind === 'start')) &&
      (chosen === undefined || own.has(call.asks.step)),
  );
}

/** Every probe there is, in the order of the page of temperatures. */
export const probesOf = probeNames;

/** The probes a reading is most likely of: the chosen component's, or else those that running steps wait for; all where there are none. */
export function probesNear(state: BenchState, selected: number | undefined): readonly string[] {
  const chosen = selected === undefined ? undefined : state.components[selected]?.component;
  const running = new Set(
    state.components.flatMap((run) =>
      run.steps.filter((step) => step.state === 'running').map((step) => step.step),
    ),
  );
  const near = probesIn(
    stepsOf(state).filter((step) =>
      chosen === undefined ? running.has(step.id) : step.component === chosen,
    ),
  );
  return near.length > 0 ? near : probesOf(state);
}

/**
 * What to say before when a start or an end was taken, but not for the moment that was said: nothing is dated back further than
 * it can have been. Empty where it was taken as said.
 */
export function takenFor(state: BenchState, happening: Happening): string {
  if (happening.kind !== 'start' && happening.kind !== 'done') return '';
  const run = state.components
    .flatMap((component) => component.steps)
    .find((step) => step.step === happening.step);
  const at =
    run?.state === 'ended'
      ? happening.kind === 'done'
        ? run.endedAt
        : run.startedAt
      : run?.state === 'running' && happening.kind === 'start'
        ? run.startedAt
        : undefined;
  if (at === undefined || secondsBetween(happening.at, at) < 1) return '';
  return `from ${wallClock(at, state.setup.workload.kitchen.timeZone)}, it cannot have been earlier: `;
}

/** The scale in which the probe was last read, else the one in which the plan speaks of temperatures. */
export function probeScale(state: BenchState, probe: string): 'C' | 'F' {
  const last = state.probes.find((each) => each.probe === probe);
  if (last) return last.temperature.scale;
  const heats = stepsOf(state).flatMap((step) =>
    step.oven?.heat.kind === 'at' ? [step.oven.heat.temperature] : [],
  );
  return heats.length > 0 && heats.every((heat) => heat.scale === 'F') ? 'F' : 'C';
}

export const ovenNames = (state: BenchState): readonly string[] => state.ovens.map((oven) => oven.oven);

/** Which way the door goes with one press: open and shut in turn, or open and ajar where what is inside wants it ajar. */
export function doorAfter(state: BenchState, oven: string): 'shut' | 'open' | 'ajar' {
  const now = state.ovens.find((each) => each.oven === oven)?.door ?? 'shut';
  const running = new Set(
    state.components.flatMap((run) =>
      run.steps.filter((step) => step.state === 'running').map((step) => step.step),
    ),
  );
  const placed = new Map(state.timetable.steps.map((step) => [step.step, step.oven]));
  const wantsAjar = stepsOf(state).some(
    (step) =>
      running.has(step.id) &&
      step.oven?.door === 'ajar' &&
      (placed.get(step.id) ?? step.oven.oven ?? oven) === oven,
  );
  if (wantsAjar) return now === 'ajar' ? 'open' : 'ajar';
  return now === 'shut' ? 'open' : 'shut';
}
