import type { Component, Step, StepId } from '../plan/index.ts';
import { lengthBounds, type Drafting } from './drafting.ts';
import type { Demand, Group } from './problem.ts';

export interface OvenPart {
  readonly demands: readonly Demand[];
  readonly groups: readonly Group[];
  readonly groupOf: ReadonlyMap<StepId, number>;
}

/** Every oven step with a length, in groups that stay in one oven. */
export function ovenDemands(drafting: Drafting): OvenPart {
  const demands: Demand[] = [];
  const groups: Group[] = [];
  const groupOf = new Map<StepId, number>();
  for (const run of drafting.workload.components.flatMap(runs)) {
    const asking = run.filter((step) => lengthBounds(step).most > 0);
    const first = demands.length;
    for (const step of run) groupOf.set(step.id, groups.length);
    asking.forEach((step, place) => {
      const { oven: demand } = step;
      if (!demand) return;
      demands.push({
        start: drafting.startOf(step.id),
        end: drafting.endOf(step.id),
        temperature: demand.heat.kind === 'at' ? demand.heat.temperature.celsius : undefined,
        shut: demand.door === 'shut',
        alone: demand.heat.kind === 'off' || demand.door === 'ajar',
        shelves: demand.shelves,
        mayVanish: lengthBounds(step).least === 0,
        group: groups.length,
        before: place > 0 ? first + place - 1 : undefined,
        after: place < asking.length - 1 ? first + place + 1 : undefined,
        rule: drafting.rule({ kind: 'oven', step, demand }),
      });
    });
    groups.push({ demands: asking.map((_, place) => first + place), candidates: candidates(drafting, run) });
  }
  return { demands, groups, groupOf };
}

/**
 * Oven steps of a component that directly follow each other and share an oven. Steps that name no oven go with the named
 * one before them, else with the first one named after them.
 */
function runs(component: Component): Step[][] {
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

/** The ovens that a run may go to: the one it names, or all; with shelves enough. */
function candidates(drafting: Drafting, run: readonly Step[]): number[] {
  const named = run.find((step) => step.oven?.oven !== undefined)?.oven?.oven;
  const shelves = Math.max(
    ...run.map((step) => (lengthBounds(step).most > 0 ? (step.oven?.shelves ?? 0) : 0)),
  );
  return drafting.workload.kitchen.ovens.flatMap((oven, index) =>
    (named === undefined || oven.name === named) && oven.shelves >= shelves ? [index] : [],
  );
}
