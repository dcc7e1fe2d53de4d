import {
  componentNames,
  type Component,
  type ComponentId,
  type Oven,
  type Step,
  type StepId,
  type Workload,
} from '../plan/index.ts';
import type { OvenSetting, PlannedStep, Timetable } from '../planner/index.ts';
import type { BenchState, ComponentRun, OvenRun, StepRun } from './state.ts';

/** A step with its surroundings in the plan. */
export interface Placed {
  readonly step: Step;
  readonly component: Component;
  /** What the component is called; see `componentNames`. */
  readonly name: string;
  readonly index: number;
  readonly before?: Step;
  readonly next?: Step;
}

/** A workload arranged for looking things up. */
export interface Lookup {
  readonly placed: ReadonlyMap<StepId, Placed>;
  readonly components: ReadonlyMap<ComponentId, Component>;
  /** For each component: the steps of others that need its last step. */
  readonly users: ReadonlyMap<ComponentId, readonly Step[]>;
  readonly ovens: ReadonlyMap<string, Oven>;
}

const lookups = new WeakMap<Workload, Lookup>();

export function lookup(workload: Workload): Lookup {
  const known = lookups.get(workload);
  if (known) return known;
  const placed = new Map<StepId, Placed>();
  const users = new Map<ComponentId, Step[]>();
  for (const component of workload.components) {
    for (const [index, step] of component.steps.entries()) {
      const [before, next] = [component.steps[index - 1], component.steps[index + 1]];
      placed.set(step.id, {
        step,
        component,
        name: nameIn(workload, component.id),
        index,
        ...(before ? { before } : {}),
        ...(next ? { next } : {}),
      });
    }
  }
  for (const { step } of placed.values()) {
    for (const needed of step.needs) {
      const source = placed.get(needed);
      if (source && !source.next)
        users.set(source.component.id, [...(users.get(source.component.id) ?? []), step]);
    }
  }
  const made: Lookup = {
    placed,
    users,
    components: new Map(workload.components.map((component) => [component.id, component])),
    ovens: new Map(workload.kitchen.ovens.map((oven) => [oven.name, oven])),
  };
  lookups.set(workload, made);
  return made;
}

/** A timetable arranged for looking things up. */
export interface Planned {
  readonly steps: ReadonlyMap<StepId, PlannedStep>;
  readonly settings: ReadonlyMap<StepId, readonly OvenSetting[]>;
}

const timetables = new WeakMap<Timetable, Planned>();

export function planned(timetable: Timetable): Planned {
  const known = timetables.get(timetable);
  if (known) return known;
  const settings = new Map<StepId, OvenSetting[]>();
  for (const setting of timetable.settings)
    settings.set(setting.step, [...(settings.get(setting.step) ?? []), setting]);
  const made: Planned = { steps: new Map(timetable.steps.map((step) => [step.step, step])), settings };
  timetables.set(timetable, made);
  return made;
}

/** A step as people call it: `shells: bake high`. */
export const called = ({ name, step }: Placed): string => `${name}: ${step.name}`;

/** A component as people call it, told apart from its namesakes in other plans. */
export const nameIn = (workload: Workload, id: ComponentId): string => must(componentNames(workload), id);

/** A quick timer as people call it: `timer tea`, and `timer 1` for one that was given no name. */
export const timerCalled = (name: string): string => (/^timer\b/.test(name) ? name : `timer ${name}`);

/** Looks up what must be there: its absence is our own mistake. */
export function must<K, V>(map: ReadonlyMap<K, V>, key: K): V {
  const value = map.get(key);
  if (value === undefined) throw new Error(`nothing is known of ${String(key)}`);
  return value;
}

const stepRuns = new WeakMap<readonly ComponentRun[], ReadonlyMap<StepId, StepRun>>();

/** What has become of every step. */
export function runsOf(state: Pick<BenchState, 'components'>): ReadonlyMap<StepId, StepRun> {
  const known = stepRuns.get(state.components);
  if (known) return known;
  const made = new Map(
    state.components.flatMap((component) => component.steps.map((run) => [run.step, run] as const)),
  );
  stepRuns.set(state.components, made);
  return made;
}

export function componentRun(state: Pick<BenchState, 'components'>, id: ComponentId): ComponentRun {
  const found = state.components.find((run) => run.component === id);
  if (!found) throw new Error(`no component ${id} in this run`);
  return found;
}

export function ovenRun(state: Pick<BenchState, 'ovens'>, name: string): OvenRun | undefined {
  return state.ovens.find((run) => run.oven === name);
}

/** The oven a step goes into: the planned one, else the one it names, else the kitchen's first. */
export function ovenOf(state: Pick<BenchState, 'timetable' | 'setup'>, step: Step): string | undefined {
  if (!step.oven) return undefined;
  return (
    planned(state.timetable).steps.get(step.id)?.oven ??
    step.oven.oven ??
    state.setup.workload.kitchen.ovens[0]?.name
  );
}

/** Whether a step changes its oven while its load stays in, so that its clock starts when the knob is turned. */
export function followsInOven(placed: Placed): boolean {
  const [mine, before] = [placed.step.oven, placed.before?.oven];
  if (!mine || !before) return false;
  if (mine.oven !== undefined && before.oven !== undefined && mine.oven !== before.oven) return false;
  if (mine.heat.kind === 'off') return true;
  return before.heat.kind === 'at' && mine.heat.temperature.celsius <= before.heat.temperature.celsius;
}
