import type { Step, StepId, Workload } from '../plan/index.ts';
import { endOf, startOf, type Point } from './core/index.ts';
import type { Rule } from './rules.ts';

/** What the parts of the extraction share: points by step, and where new rules are written down. */
export interface Drafting {
  readonly workload: Workload;
  readonly steps: readonly Step[];
  /** Where a step stands among the steps: it is the number of its activity. */
  readonly placeOf: (step: StepId) => number;
  readonly startOf: (step: StepId) => Point;
  readonly endOf: (step: StepId) => Point;
  /** When each plan is served. */
  readonly served: readonly Point[];
  /** Writes down a rule and gives its number. */
  readonly rule: (rule: Rule) => number;
}

/** Activities that are no steps, after all that are. */
export interface Extras {
  /** When work begins: before every step, and before every first setting of an oven for heat. */
  readonly first: number;
  /** When each plan is served. */
  readonly service: (plan: number) => number;
  /** From its first setting for heat to the end of its last hot demand, by oven. */
  readonly on: (oven: number) => number;
  readonly off: (oven: number) => number;
  readonly count: number;
}

export function extrasAfter(steps: number, { plans, kitchen }: Workload): Extras {
  const ovens = steps + 1 + plans.length;
  return {
    first: steps,
    service: (plan) => steps + 1 + plan,
    on: (oven) => ovens + 2 * oven,
    off: (oven) => ovens + 2 * oven + 1,
    count: 1 + plans.length + 2 * kitchen.ovens.length,
  };
}

export function draftingOf(workload: Workload, extras: Extras, rules: Rule[]): Drafting {
  const steps = workload.components.flatMap((component) => component.steps);
  const places = new Map(steps.map((step, index) => [step.id, index]));
  const placeOf = (step: StepId): number => {
    const place = places.get(step);
    if (place === undefined) throw new Error(`the workload has no step "${step}"`);
    return place;
  };
  return {
    workload,
    steps,
    placeOf,
    startOf: (step) => startOf(placeOf(step)),
    endOf: (step) => endOf(placeOf(step)),
    served: workload.plans.map((_, plan) => startOf(extras.service(plan))),
    rule: (rule) => rules.push(rule) - 1,
  };
}

/** Bounds of a step's length in whole seconds. */
export function lengthBounds(step: Step): { readonly least: number; readonly most: number } {
  const { length } = step;
  if (length.kind !== 'rest') {
    const usual = Math.ceil(length.range.usual);
    return { least: usual, most: usual };
  }
  const least = Math.ceil(length.atLeast);
  return { least, most: length.atMost === undefined ? Infinity : Math.max(least, Math.floor(length.atMost)) };
}
