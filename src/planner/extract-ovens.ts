import { ovenModel, type OvenModel } from '../heat/index.ts';
import type { Component, Oven, Step, StepId } from '../plan/index.ts';
import type { DemandGroup, Point, StateDemand, StateResource } from './core/index.ts';
import { lengthBounds, type Drafting } from './drafting.ts';
import { agree, change, lead, rises } from './oven-times.ts';

export interface OvenPart {
  readonly ovens: readonly StateResource[];
  readonly demands: readonly StateDemand[];
  readonly groups: readonly DemandGroup[];
  readonly groupOf: ReadonlyMap<StepId, number>;
  /** Temperatures that are asked for, by state; undefined: off. */
  readonly states: readonly (number | undefined)[];
}

/**
 * Every oven step with a length, in groups that stay in one oven, and the ovens with what they take from one temperature to
 * another. `on` and `off` are the points between which each oven is hot.
 */
export function ovenPart(drafting: Drafting, on: readonly Point[], off: readonly Point[]): OvenPart {
  const { kitchen, components } = drafting.workload;
  const asked = drafting.steps.flatMap((step) => (step.oven ? [degreesOf(step)] : []));
  const states = [...new Set(asked)];
  const demands: StateDemand[] = [];
  const groups: DemandGroup[] = [];
  const groupOf = new Map<StepId, number>();
  for (const run of components.flatMap(runs)) {
    const asking = run.filter((step) => lengthBounds(step).most > 0);
    const first = demands.length;
    for (const step of run) groupOf.set(step.id, groups.length);
    const open = candidates(drafting, run);
    // A fall that one oven's tolerance lets pass could be a rise in another: then it is held to be a rise.
    const models = open.flatMap((index) => kitchen.ovens[index] ?? []);
    asking.forEach((step, place) => {
      const { oven: demand } = step;
      if (!demand) return;
      demands.push({
        start: drafting.startOf(step.id),
        end: drafting.endOf(step.id),
        state: states.indexOf(degreesOf(step)),
        amount: demand.shelves,
        shut: demand.door === 'shut',
        alone: demand.heat.kind === 'off' || demand.door === 'ajar',
        group: groups.length,
        takesOver: models.every((oven) => takesOver(ovenModel(oven, kitchen.ambient), asking, place)),
        rule: drafting.rule({ kind: 'oven', step, demand }),
      });
    });
    groups.push({ demands: asking.map((_, place) => first + place), candidates: open });
  }
  const ovens = kitchen.ovens.map((oven, index) =>
    stateResource(oven, ovenModel(oven, kitchen.ambient), states, on[index], off[index]),
  );
  return { ovens, demands, groups, groupOf, states };
}

/** What a step wants the oven at, in Celsius; undefined: off. */
export function degreesOf(step: Step): number | undefined {
  return step.oven?.heat.kind === 'at' ? step.oven.heat.temperature.celsius : undefined;
}

function stateResource(
  oven: Oven,
  model: OvenModel,
  states: readonly (number | undefined)[],
  begin: Point | undefined,
  finish: Point | undefined,
): StateResource {
  return {
    capacity: oven.shelves,
    change: states.map((from) => states.map((to) => change(model, from, to))),
    together: states.map((a) => states.map((b) => a !== undefined && b !== undefined && agree(model, a, b))),
    warmUp: states.map((state) => (state === undefined ? undefined : lead(model, state))),
    ...(begin !== undefined && { begin }),
    ...(finish !== undefined && { finish }),
  };
}

/** Whether a demand takes over from the one directly before it without a rise. One that may vanish is not relied on alone. */
function takesOver(oven: OvenModel, asking: readonly Step[], place: number): boolean {
  const step = asking[place];
  if (!step || place === 0) return false;
  for (let earlier = place - 1; earlier >= 0; earlier -= 1) {
    const before = asking[earlier];
    if (!before || rises(oven.tolerance, degreesOf(before), degreesOf(step))) return false;
    if (lengthBounds(before).least > 0) return true;
  }
  return true;
}

/**
 * Oven steps of a component that directly follow each other and share an oven. Steps that name no oven go with the named
 * one before them, else with the first one named after them.
 */
export function runs(component: Component): Step[][] {
  const found: Step[][] = [];
  let run: Step[] = [];
  let named: string | undefined;
  for (const step of [...component.steps, undefined]) {
    const name = step?.oven?.oven;
    const elsewhere = name !== undefined && named !== undefined && name !== named;
    if (run.length > 0 && (!step?.oven || elsewhere)) {
      found.push(run);
      run = [];
      named = undefined;
    }
    if (!step?.oven) continue;
    run.push(step);
    named = name ?? named;
  }
  return found;
}

/** The ovens that a run may go to: the one it names, or all that will do; with shelves enough for every step that is sure to last. */
function candidates(drafting: Drafting, run: readonly Step[]): number[] {
  const named = run.find((step) => step.oven?.oven !== undefined)?.oven?.oven;
  const shelves = Math.max(
    ...run.map((step) => (lengthBounds(step).least > 0 ? (step.oven?.shelves ?? 0) : 0)),
  );
  return drafting.workload.kitchen.ovens.flatMap((oven, index) =>
    (named === undefined ? run.every((step) => willDo(step, oven)) : oven.name === named) &&
    oven.shelves >= shelves
      ? [index]
      : [],
  );
}

/** Whether an oven is one that a step which names none may go to. */
export const willDo = ({ oven }: Step, { name }: Oven): boolean => oven?.among?.includes(name) !== false;
