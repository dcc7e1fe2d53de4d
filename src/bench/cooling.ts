import {
  coolingReading,
  coolingSince,
  rulesNamed,
  type CoolingLimit,
  type CoolingRules,
  type CoolingRun,
  type Sample,
} from '../heat/index.ts';
import type { Component, Kitchen, Step, StepId } from '../plan/index.ts';
import { later, plus, type EpochMs } from '../units/index.ts';
import { componentRun, lookup, must, nameIn, runsOf } from './lookup.ts';
import { isServed } from './service.ts';
import type { BenchState, ComponentRun, CoolingWatch } from './state.ts';
import { probesIn, readGoals } from './triggers.ts';

type Run = Pick<BenchState, 'setup' | 'components' | 'cooling' | 'probes'>;

/** A component whose cooling is watched, and how far it has come by what was read. */
export interface Watched {
  readonly component: Component;
  /** What it is called; see `componentNames`. */
  readonly name: string;
  /** The probe it is read by. */
  readonly probe: string;
  /** The set that the kitchen has chosen, and its limits for this kind of food; nothing and none where it has chosen none. */
  readonly rules: CoolingRules | undefined;
  readonly limits: readonly CoolingLimit[];
  readonly attempt: number;
  readonly run: CoolingRun;
  /** The step with whose end it began (food that was never hot: the step it is made in); nothing where a reading began it. */
  readonly begunBy?: StepId;
}

/** Attempts that were lost are kept for the record, the latest of them. */
const KEPT_WATCHES = 40;

/** The probe that stands in a component: the one the plan says, else the first its triggers name, else one of its own name. */
function coolingProbe({ probe, steps, name }: Component): string {
  return probe ?? steps.flatMap((step) => readGoals(step.until).flatMap(probesIn))[0] ?? name;
}

/** Every component whose cooling is watched and has begun, in the order of the workload. */
export function watchedIn(state: Run): readonly Watched[] {
  return state.setup.workload.components.flatMap((component) => {
    const { attempt } = componentRun(state, component.id);
    const begun = begunAt(state, component);
    const stored = state.cooling.find(
      (watch) => watch.component === component.id && watch.attempt === attempt,
    );
    if (begun === 'not yet') return [];
    if (begun === 'by a reading') return stored ? [watchedBy(state, component, stored.run)] : [];
    const { since, by } = begun;
    const run = stored?.run.since === since ? stored.run : freshRun(state, component, since);
    return [{ ...watchedBy(state, component, run), begunBy: by }];
  });
}

/**
 * The cooling clocks after a reading that was believed. One of a body that is on the heat tells nothing of its cooling; one
 * of a component that is used up is of something else.
 */
export function coolingAfter(state: BenchState, probe: string, sample: Sample): readonly CoolingWatch[] {
  let watches = state.cooling;
  for (const component of state.setup.workload.components) {
    if (component.cooling === undefined || coolingProbe(component) !== probe) continue;
    const begun = begunAt(state, component);
    if (begun === 'not yet' || isUsedUp(state, component)) continue;
    const { attempt } = componentRun(state, component.id);
    const isHere = (watch: CoolingWatch): boolean =>
      watch.component === component.id && watch.attempt === attempt;
    const old = watches.find(isHere);
    const since = begun === 'by a reading' ? (old?.run.since ?? sample.at) : begun.since;
    // A press that was dated back may have begun it earlier than its first readings came.
    const before = old?.run.since === since ? old.run : freshRun(state, component, since, sample.at);
    const run = taken(state, component, before, sample);
    const next: CoolingWatch = { component: component.id, attempt, run };
    watches = old ? watches.map((watch) => (watch === old ? next : watch)) : [...watches, next];
  }
  return watches.slice(-KEPT_WATCHES);
}

type Ends = Pick<BenchState, 'setup' | 'timetable' | 'components' | 'servings'>;

/** When nothing was left of a component that could be kept cold: everything that needs it was done, or it was served. */
export function usedUpAt(state: Ends, component: Component): EpochMs | undefined {
  const users = lookup(state.setup.workload).users.get(component.id) ?? [];
  const runs = runsOf(state);
  const ends = users.flatMap((user) => {
    const run = must(runs, user.id);
    return 'endedAt' in run ? [run.endedAt] : [];
  });
  if (users.length > 0 && ends.length === users.length) return ends.reduce(later);
  return isServed(state, component.plan) ? state.servings.at(-1) : undefined;
}

/** Whether nothing is left of a component that could be kept cold. */
export const isUsedUp = (state: Ends, component: Component): boolean =>
  usedUpAt(state, component) !== undefined;

/** Whether a component's food stands in the cold in a step. */
export const isInTheCold = ({ items }: Kitchen, { uses }: Step): boolean =>
  uses.some(({ item }) => items.some(({ name, kind }) => name === item && kind === 'cold shelf'));

/** Whether a step heats what is in it. */
export const isOnTheHeat = ({ items }: Kitchen, { uses, oven }: Step): boolean =>
  oven?.heat.kind === 'at' ||
  uses.some(({ item }) => items.some(({ name, kind }) => name === item && kind === 'hob'));

type Begun = { readonly since: EpochMs; readonly by: StepId };

/**
 * When a component began to cool: as its latest step on a hob or in a hot oven ended, unless it is on the heat again. Food
 * that is not cooked begins as work on it does. Cooked food that the plan puts on no heat begins with its first reading once
 * work on it has begun.
 */
function begunAt(
  state: Pick<BenchState, 'setup' | 'components'>,
  component: Component,
): Begun | 'not yet' | 'by a reading' {
  const { kitchen } = state.setup.workload;
  const { steps } = componentRun(state, component.id);
  if (component.cooling === undefined) return 'not yet';
  if (component.cooling === 'ambient') {
    const [first] = steps.filter((run) => run.state === 'running' || run.state === 'ended');
    return first ? { since: first.startedAt, by: first.step } : 'not yet';
  }
  const heating = component.steps.filter((step) => isOnTheHeat(kitchen, step));
  if (heating.length === 0)
    return steps.some((run) => run.state === 'running' || run.state === 'ended') ? 'by a reading' : 'not yet';
  const onHeat = steps.filter((run) => heating.some(({ id }) => id === run.step));
  if (onHeat.some(({ state: stands }) => stands === 'running')) return 'not yet';
  const last = onHeat.findLast((run) => run.state === 'ended');
  return last?.state === 'ended' ? { since: last.endedAt, by: last.step } : 'not yet';
}

function watchedBy(state: Run, component: Component, run: CoolingRun): Watched {
  const rules = rulesNamed(state.setup.workload.kitchen.rules);
  return {
    component,
    name: nameIn(state.setup.workload, component.id),
    probe: coolingProbe(component),
    rules,
    limits: limitsFor(rules, component),
    attempt: componentRun(state, component.id).attempt,
    run,
  };
}

/** What the chosen rules want of a component's kind of food. */
function limitsFor(rules: CoolingRules | undefined, { cooling }: Component): readonly CoolingLimit[] {
  return cooling === undefined ? [] : (rules?.[cooling] ?? []);
}

/** A reading taken on the heat says at what the body left it, if it was taken so shortly before. */
const LEAVING_S = 600;

/** A run from its beginning, with what the probe has read since, before `until`. */
function freshRun(state: Run, component: Component, since: EpochMs, until?: EpochMs): CoolingRun {
  const limits = limitsFor(rulesNamed(state.setup.workload.kitchen.rules), component);
  const samples = state.probes.find(({ probe }) => probe === coolingProbe(component))?.track.samples ?? [];
  const leaving = samples.findLast(({ at }) => at <= since && at >= plus(since, -LEAVING_S));
  const after = samples.filter(({ at }) => at > since && (until === undefined || at < until));
  return [...(component.cooling === 'cooked' && leaving ? [leaving] : []), ...after].reduce(
    (run, sample) => taken(state, component, run, sample),
    coolingSince(since, limits),
  );
}

function taken(state: Run, component: Component, run: CoolingRun, sample: Sample): CoolingRun {
  const rules = rulesNamed(state.setup.workload.kitchen.rules);
  return coolingReading(run, limitsFor(rules, component), sample);
}

/** How far attempts that were lost had come, for the record. */
export function lostIn(state: Run): readonly Watched[] {
  const isPresent = ({ component, attempt }: ComponentRun, watch: CoolingWatch): boolean =>
    component === watch.component && attempt === watch.attempt;
  const { components } = lookup(state.setup.workload);
  return state.cooling
    .filter((watch) => !state.components.some((run) => isPresent(run, watch)))
    .map(({ component, attempt, run }) => ({
      ...watchedBy(state, must(components, component), run),
      attempt,
    }));
}
