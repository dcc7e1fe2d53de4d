import type { ComponentPart, ItemPart, OvenPart, StepPart, Use } from './parts.ts';

/*
 * What the steps of a run have to do with each other: what is reckoned from what, what goes into an oven before what, and what
 * there can be too little of.
 */

/** Lets each step and oven know what is reckoned from it. */
export function knowDependents(steps: readonly StepPart[], ovens: readonly OvenPart[]): void {
  for (const step of steps) step.sources = dependsOn(step);
  for (const step of steps) step.dependents = steps.filter(({ sources }) => sources.includes(step));
  for (const oven of ovens) {
    const waitsFor = ({ ahead }: StepPart): boolean => ahead.some(({ hot }) => hot?.oven === oven);
    oven.dependents = steps.filter((step) => step.oven === oven || waitsFor(step));
  }
}

/** Whether there can be too little of something: no component uses more of it at a time than one step does, or all it keeps. */
export function isScarce(item: ItemPart, components: readonly ComponentPart[]): boolean {
  const of = (claims: readonly Use[]): number =>
    claims.reduce((sum, claim) => (claim.item === item ? sum + claim.count : sum), 0);
  const most = components.map(({ steps }) =>
    Math.max(...steps.map(({ uses }) => of(uses)), of(steps.flatMap(({ holds }) => holds))),
  );
  return most.reduce((sum, count) => sum + count, 0) > item.stock;
}

/** What goes into a step's oven before it by the timetable. */
export const goneBefore = (step: StepPart, told: readonly StepPart[]): StepPart[] =>
  told.filter(
    (other) =>
      other.oven === step.oven &&
      other !== step &&
      other.toldStart <= step.toldStart &&
      other.toldEnd <= step.toldStart,
  );

/** What a step's expected times are reckoned from. */
const dependsOn = (step: StepPart): StepPart[] => [
  ...step.needs,
  ...(step.before ? [step.before] : []),
  ...step.ahead.flatMap(({ needs }) => needs),
  ...step.earlierIn,
];

/** Steps in their order, but each after what it hangs on. */
export function sorted(
  steps: readonly StepPart[],
  sources: (step: StepPart) => readonly StepPart[],
): StepPart[] {
  const list: StepPart[] = [];
  const seen = new Set<StepPart>();
  const add = (step: StepPart): void => {
    if (seen.has(step)) return;
    seen.add(step);
    for (const source of sources(step)) add(source);
    list.push(step);
  };
  for (const step of steps) add(step);
  return list;
}
