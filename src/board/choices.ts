import type { BenchState, Call } from '../bench/index.ts';
import type { Step, StepId, Trigger } from '../plan/index.ts';
import { clean } from '../view/index.ts';

/*
 * What a key is about where the cook has not said: the chosen component's step or the topmost running one, the probes and
 * ovens there are, and which way a door goes.
 */

const stepsOf = (state: BenchState): readonly Step[] =>
  state.setup.workload.components.flatMap((component) => component.steps);

/** `shells: bake high`, for people. */
export function stepCalled(state: BenchState, id: StepId): string {
  const component = state.setup.workload.components.find((each) => each.steps.some((step) => step.id === id));
  const step = component?.steps.find((each) => each.id === id);
  return clean(`${component?.name ?? ''}: ${step?.name ?? id}`);
}

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

/** Every probe the plan's steps speak of, in order. */
export function probesOf(state: BenchState): readonly string[] {
  const names = (trigger: Trigger): string[] => {
    switch (trigger.kind) {
      case 'cue':
        return [];
      case 'probe':
        return [trigger.probe];
      case 'any':
      case 'all':
        return trigger.of.flatMap(names);
    }
  };
  return [...new Set(stepsOf(state).flatMap((step) => (step.until ? names(step.until) : [])))];
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
