import type { Component, Step, StepId, Workload } from '../plan/index.ts';

/** A step and the component it belongs to. */
export interface Known {
  readonly step: Step;
  readonly component: Component;
}

/** How a sheet calls components and steps. */
export interface Naming {
  readonly workload: Workload;
  readonly known: ReadonlyMap<StepId, Known>;
}

export function namingOf(workload: Workload): Naming {
  const known = new Map<StepId, Known>(
    workload.components.flatMap((component) =>
      component.steps.map((step) => [step.id, { step, component }] as const),
    ),
  );
  return { workload, known };
}

/** The letter by which a sheet of several plans calls one of them: A, B, ... Z, 27, ... */
export const planLetter = (index: number): string =>
  index < 26 ? String.fromCodePoint(65 + index) : String(index + 1);

/** A component's short name; with the letter of its plan before it where there are several plans. */
export const labelOf = ({ workload }: Naming, component: Component): string =>
  workload.plans.length > 1 ? `${planLetter(component.plan)} ${component.name}` : component.name;

/** `shells, bake high` */
export function nameOf(naming: Naming, id: StepId): string {
  const found = naming.known.get(id);
  return found ? `${labelOf(naming, found.component)}, ${found.step.name}` : id;
}

/** Whether an item of the kitchen is a shelf in the cold. */
export const isCold = ({ workload }: Naming, item: string): boolean =>
  workload.kitchen.items.some(({ name, kind }) => name === item && kind === 'cold shelf');

/** Whether an item of the kitchen is a hob. */
export const isHob = ({ workload }: Naming, item: string): boolean =>
  workload.kitchen.items.some(({ name, kind }) => name === item && kind === 'hob');
