import type { Step, StepId } from '../../plan/index.ts';
import type { Course } from '../fast/index.ts';

/** What a step may have to wait for, by places of steps in the workload. */
export interface Ties {
  /** The step before it in its component, and what it needs; how long after the end of that it may begin at the soonest, ms. */
  readonly before: readonly { readonly from: number; readonly after: number }[];
  /** Those that ask for the same hands. */
  readonly hands: readonly number[];
  /** With the end of which a tool becomes free that it needs. */
  readonly tools: readonly { readonly item: string; readonly from: number }[];
  /** Those that are to be in the same oven before it. */
  readonly oven: readonly number[];
}

/** A plan's service, and the places of its steps. */
export interface PlanFrame {
  /** Milliseconds since the run's beginning. */
  readonly service: number;
  readonly steps: readonly number[];
}

/** What of a course a report is made from: everything by a step's place in the workload, times since the run's beginning. */
export interface Frame {
  readonly steps: readonly Step[];
  /** When each step was told to start and end, ms. */
  readonly starts: Float64Array;
  readonly ends: Float64Array;
  readonly ties: readonly Ties[];
  readonly plans: readonly PlanFrame[];
}

/** Puts a frame together. */
export function frameOf({ setup, steps, planned: starts, plannedEnds: ends }: Course): Frame {
  const { workload, timetable, begunAt } = setup;
  const placeOf = new Map<StepId, number>(steps.map((step, place) => [step.id, place]));
  const told = new Map(timetable.steps.map((planned) => [planned.step, planned]));
  const since = (moment: number | undefined): number => (moment === undefined ? NaN : moment - begunAt);
  const previous = new Map(
    workload.components.flatMap((component) =>
      component.steps.flatMap((step, index) => {
        const one = component.steps[index - 1];
        return one ? [[step.id, one.id] as const] : [];
      }),
    ),
  );
  const places = (ids: readonly (StepId | undefined)[]): number[] =>
    ids.flatMap((id) => (id === undefined ? [] : (placeOf.get(id) ?? [])));
  const before = (step: Step): Ties['before'] => [
    ...places([previous.get(step.id)]).map((from) => ({ from, after: step.after * 1000 })),
    ...places(step.needs).map((from) => ({ from, after: 0 })),
  ];
  const others = (step: Step, are: (other: Step) => boolean): number[] =>
    steps.flatMap((other, place) => (other !== step && are(other) ? [place] : []));
  const ties = steps.map((step, place): Ties => {
    const oven = told.get(step.id)?.oven;
    return {
      before: before(step),
      hands: step.hands === 'free' ? [] : others(step, ({ hands }) => hands === step.hands),
      tools: toolsOf(step, steps, placeOf),
      oven:
        oven === undefined
          ? []
          : others(step, (other) => {
              const at = placeOf.get(other.id) ?? 0;
              return told.get(other.id)?.oven === oven && (starts[at] ?? 0) < (starts[place] ?? 0);
            }),
    };
  });
  const plans = workload.plans.map((plan, index): PlanFrame => ({
    service: since(timetable.service[index]),
    steps: workload.components
      .filter((component) => plan.components.includes(component.id))
      .flatMap((component) => places(component.steps.map(({ id }) => id))),
  }));
  return { steps, starts, ends, ties, plans };
}

function toolsOf(step: Step, steps: readonly Step[], placeOf: ReadonlyMap<StepId, number>): Ties['tools'] {
  const wanted = new Set([...step.uses, ...step.holds].map(({ item }) => item));
  return steps.flatMap((other, place) => {
    if (other === step) return [];
    const used = other.uses.flatMap(({ item }) => (wanted.has(item) ? [{ item, from: place }] : []));
    const held = other.holds.flatMap(({ item, until }) => {
      const from = placeOf.get(until);
      return wanted.has(item) && from !== undefined ? [{ item, from }] : [];
    });
    return [...used, ...held].filter(({ from }) => steps[from] !== step);
  });
}
