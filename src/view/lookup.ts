import {
  componentNames,
  type Component,
  type ComponentId,
  type Step,
  type StepId,
  type Workload,
} from '../plan/index.ts';
import type { BenchState, ComponentRun, Projection, StepRun } from '../bench/index.ts';
import { later, type EpochMs } from '../units/index.ts';
import { clean } from './text.ts';

/** The workload by name. */
export interface Lookup {
  readonly step: (id: StepId) => Step | undefined;
  readonly component: (id: ComponentId) => Component | undefined;
  /**
   * The component's name on a screen: its short name; where another plan has one of that name its title, or its name and
   * its plan's. No two components have the same one.
   */
  readonly nameOf: (id: ComponentId) => string;
  /** `shells: bake high`, for people. */
  readonly called: (id: StepId) => string;
}

const known = new WeakMap<Workload, Lookup>();

/** Finds steps and components of a workload. Kept for each workload, since a board asks every second. */
export function lookupIn(workload: Workload): Lookup {
  const found = known.get(workload);
  if (found) return found;
  const components = new Map(workload.components.map((component) => [component.id, component]));
  const steps = new Map(
    workload.components.flatMap((component) => component.steps).map((step) => [step.id, step]),
  );
  const names = componentNames(workload);
  const nameOf = (id: ComponentId): string => clean(names.get(id) ?? id);
  const lookup: Lookup = {
    nameOf,
    step: (id) => steps.get(id),
    component: (id) => components.get(id),
    called: (id) => {
      const step = steps.get(id);
      if (!step) return clean(id);
      return `${nameOf(step.component)}: ${clean(step.name)}`;
    },
  };
  known.set(workload, lookup);
  return lookup;
}

/** When a step was or will be on the bench, from what happened and what is expected. */
export interface Stretch {
  readonly step: Step;
  readonly start: EpochMs;
  readonly end: EpochMs;
  readonly state: 'past' | 'running' | 'ahead';
  readonly oven?: string;
}

/** Every step's time: what happened where it happened, what is expected where it has not; skipped steps have none. */
export function stretches(
  state: BenchState,
  projection: Projection,
  now: EpochMs,
): ReadonlyMap<StepId, Stretch> {
  const lookup = lookupIn(state.setup.workload);
  const expected = new Map(projection.steps.map((step) => [step.step, step]));
  const planned = new Map(state.timetable.steps.map((step) => [step.step, step]));
  const all = new Map<StepId, Stretch>();
  for (const run of state.components.flatMap((component) => component.steps)) {
    const step = lookup.step(run.step);
    const ahead = expected.get(run.step) ?? planned.get(run.step);
    const oven = ahead?.oven ?? planned.get(run.step)?.oven;
    const base = oven === undefined ? {} : { oven };
    if (!step) continue;
    if (run.state === 'ended')
      all.set(run.step, { ...base, step, start: run.startedAt, end: run.endedAt, state: 'past' });
    else if (run.state === 'running')
      all.set(run.step, {
        ...base,
        step,
        start: run.startedAt,
        end: later(ahead?.end ?? now, now),
        state: 'running',
      });
    else if (run.state === 'waiting' && ahead)
      all.set(run.step, { ...base, step, start: ahead.start, end: ahead.end, state: 'ahead' });
  }
  return all;
}

/** The component's running step, where there is one. */
export const runningStep = (run: ComponentRun): Extract<StepRun, { state: 'running' }> | undefined =>
  run.steps.find((step) => step.state === 'running');

/** The component's first step that has not begun, where there is one. */
export const waitingStep = (run: ComponentRun): StepRun | undefined =>
  run.steps.find((step) => step.state === 'waiting');
