import type { Component } from '../plan/index.ts';
import type { PlannedStep, Timetable } from '../planner/index.ts';
import { plus, seconds, secondsBetween, type EpochMs, type Seconds } from '../units/index.ts';
import { labelOf, nameOf, type Naming } from './naming.ts';

/** Something that must not wait, as the latest time at which it is still right. Reckoned from the planned times. */
export type Limit =
  /** A step that must start within so long of the one before it. */
  | {
      readonly kind: 'start';
      readonly label: string;
      readonly component: string;
      readonly step: string;
      /** The step's name in the plan, and that of the one before it. */
      readonly name: string;
      readonly after: string;
      readonly within: Seconds;
      readonly planned: EpochMs;
      readonly latest: EpochMs;
    }
  /** A finished component that must be used up, or served, in time. */
  | {
      readonly kind: 'use';
      readonly label: string;
      readonly component: string;
      /** What uses it last, as the sheet calls it; service where nothing does. */
      readonly use: string;
      readonly keeps: Seconds;
      readonly planned: EpochMs;
      readonly latest: EpochMs;
    };

/** Every longest wait and every keeping time, in order of the latest time. */
export function limitsOf(naming: Naming, timetable: Timetable): Limit[] {
  const planned = new Map(timetable.steps.map((entry) => [entry.step, entry]));
  return naming.workload.components
    .flatMap((component) => [
      ...startLimits(naming, component, planned),
      ...useLimit(naming, component, timetable),
    ])
    .toSorted((a, b) => a.latest - b.latest);
}

function startLimits(
  naming: Naming,
  component: Component,
  planned: ReadonlyMap<string, PlannedStep>,
): Limit[] {
  return component.steps.flatMap((step, place): Limit[] => {
    const before = component.steps[place - 1];
    const [here, earlier] = [planned.get(step.id), before && planned.get(before.id)];
    if (!before || !here || !earlier || step.within === undefined) return [];
    return [
      {
        kind: 'start',
        label: labelOf(naming, component),
        component: component.id,
        step: step.id,
        name: step.name,
        after: before.name,
        within: step.within,
        planned: here.start,
        latest: plus(earlier.end, step.within),
      },
    ];
  });
}

function useLimit(naming: Naming, component: Component, timetable: Timetable): Limit[] {
  if (component.keeps === undefined) return [];
  const last = component.steps.at(-1)?.id;
  const made = timetable.steps.find((entry) => entry.step === last);
  const users = timetable.steps.filter(
    (entry) => last !== undefined && naming.known.get(entry.step)?.step.needs.includes(last),
  );
  const lastUse = users.toSorted((a, b) => a.end - b.end).at(-1);
  const planned = lastUse?.end ?? timetable.service[component.plan];
  if (!made || planned === undefined) return [];
  return [
    {
      kind: 'use',
      label: labelOf(naming, component),
      component: component.id,
      use: lastUse ? nameOf(naming, lastUse.step) : 'service',
      keeps: component.keeps,
      planned,
      latest: plus(made.end, component.keeps),
    },
  ];
}

/** How long it is left planned to wait: what a step waits, or a component from finished to used. */
export const plannedWait = (limit: Limit): Seconds =>
  seconds(
    (limit.kind === 'start' ? limit.within : limit.keeps) - secondsBetween(limit.planned, limit.latest),
  );
