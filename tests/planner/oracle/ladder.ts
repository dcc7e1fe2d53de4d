import { heatingTime } from './newton.ts';
import type { Oven, Preference, Step, StepId, Workload } from '../../../src/plan/index.ts';
import type { PlannedStep, Timetable } from '../../../src/planner/index.ts';
import { nights, touches } from './clock.ts';

export type LevelName = 'fresh' | 'night' | 'late' | 'close' | 'oven';

/** What a timetable comes to on one level; the smaller the better. */
export interface Level {
  readonly name: LevelName;
  readonly value: number;
}

/** The levels in their order: those preferred first, the others after them as usual. */
export function levelNames(workload: Workload, prefer?: readonly Preference[]): LevelName[] {
  const wish = prefer ?? workload.plans.find((plan) => plan.prefer)?.prefer ?? [];
  const groups = new Set<Preference>([...wish, 'fresh', 'day', 'oven']);
  return [...groups].flatMap((group): LevelName[] =>
    group === 'day' ? ['night', 'late', 'close'] : [group],
  );
}

/**
 * Reckons the ladder of a timetable from its steps alone. Times count back from the latest service, so that a later start is a
 * smaller figure.
 */
export function ladderOf(workload: Workload, timetable: Timetable, prefer?: readonly Preference[]): Level[] {
  const planned = new Map<StepId, PlannedStep>(timetable.steps.map((entry) => [entry.step, entry]));
  const base = Math.floor(Math.max(...timetable.service) / 1000);
  const reckoning: Reckoning = {
    workload,
    services: timetable.service.map((moment) => Math.floor(moment / 1000) - base),
    base,
    startOf: (step) => (planned.get(step)?.start ?? NaN) / 1000 - base,
    endOf: (step) => (planned.get(step)?.end ?? NaN) / 1000 - base,
    ovenOf: (step) => planned.get(step)?.oven,
  };
  const values: Readonly<Record<LevelName, () => number>> = {
    fresh: () => fresh(reckoning),
    night: () => night(reckoning),
    late: () => late(reckoning),
    close: () => close(reckoning),
    oven: () => hot(reckoning),
  };
  return levelNames(workload, prefer).map((name) => ({ name, value: values[name]() }));
}

interface Reckoning {
  readonly workload: Workload;
  readonly base: number;
  readonly services: readonly number[];
  readonly startOf: (step: StepId) => number;
  readonly endOf: (step: StepId) => number;
  readonly ovenOf: (step: StepId) => string | undefined;
}

/** How much a second of waiting counts in a wait of at most so many seconds; nothing where it is not dying. */
export function weightOf(limit: number): number {
  return limit > 0 && limit <= 12 * 3600 ? Math.max(1, Math.round(36_000 / limit)) : 0;
}

function fresh({ workload, services, startOf, endOf }: Reckoning): number {
  const everyStep = workload.components.flatMap((component) => component.steps);
  let total = 0;
  for (const component of workload.components) {
    component.steps.forEach((step, place) => {
      const before = component.steps[place - 1];
      if (before && step.within !== undefined)
        total += weightOf(step.within) * (startOf(step.id) - endOf(before.id));
    });
    const last = component.steps.at(-1);
    if (!last || component.keeps === undefined) continue;
    const uses = everyStep.filter((step) => step.needs.includes(last.id)).map((step) => endOf(step.id));
    const until = uses.length > 0 ? uses : [services[component.plan] ?? NaN];
    for (const moment of until) total += weightOf(component.keeps) * (moment - endOf(last.id));
  }
  return total;
}

function night({ workload, base, startOf, endOf }: Reckoning): number {
  const steps = workload.components.flatMap((component) => component.steps);
  const earliest = Math.min(...steps.map((step) => startOf(step.id)));
  const all = nights(workload, { from: base + earliest - 1, to: base + 1 });
  let total = 0;
  for (const step of steps) {
    if (step.hands === 'free') continue;
    const [start, end] = [startOf(step.id), endOf(step.id)];
    // A rest counts with the least that it may be: a longer one is no more work.
    const length = step.length.kind === 'rest' ? Math.ceil(step.length.atLeast) : end - start;
    for (const stretch of all) if (touches(stretch, base + start, base + end)) total += length;
  }
  return total;
}

/** Seconds that an oven takes from the room's temperature until it is truly hot. */
export function fromCold(oven: Oven, ambient: number, celsius: number): number {
  return celsius > ambient ? Math.ceil(heatingTime(oven, ambient, ambient, celsius) + oven.soak) : 0;
}

/** Hot demands with a length, by oven: when the knob would be turned for each from cold, and when it ends. */
function hotDemands(reckoning: Reckoning, oven: Oven): { readonly set: number; readonly end: number }[] {
  const { workload, startOf, endOf, ovenOf } = reckoning;
  const isHot = (step: Step): boolean =>
    step.oven?.heat.kind === 'at' && ovenOf(step.id) === oven.name && endOf(step.id) > startOf(step.id);
  return workload.components
    .flatMap((component) => component.steps)
    .filter(isHot)
    .map((step) => {
      const celsius = step.oven?.heat.kind === 'at' ? step.oven.heat.temperature.celsius : NaN;
      return {
        set: startOf(step.id) - fromCold(oven, workload.kitchen.ambient, celsius),
        end: endOf(step.id),
      };
    });
}

function late(reckoning: Reckoning): number {
  const { workload, startOf } = reckoning;
  const starts = workload.components.flatMap((component) => component.steps.map((step) => startOf(step.id)));
  const settings = workload.kitchen.ovens.flatMap((oven) =>
    hotDemands(reckoning, oven).map(({ set }) => set),
  );
  return -Math.min(...starts, ...settings);
}

/** Of a rest that may wait for ever counts not when it begins, but when it could at the latest, with all else where it is. */
function close({ workload, startOf, endOf }: Reckoning): number {
  let total = 0;
  for (const { steps } of workload.components)
    for (const [place, { id, length, within, hands, oven }] of steps.entries()) {
      const mayWait = place > 0 && within === undefined && hands === 'free' && !oven;
      total -= mayWait && length.kind === 'rest' ? endOf(id) - Math.ceil(length.atLeast) : startOf(id);
    }
  return total;
}

function hot(reckoning: Reckoning): number {
  let total = 0;
  for (const oven of reckoning.workload.kitchen.ovens) {
    const demands = hotDemands(reckoning, oven);
    if (demands.length === 0) continue;
    total += Math.max(...demands.map(({ end }) => end)) - Math.min(...demands.map(({ set }) => set));
  }
  return total;
}
