import type { ComponentId, Step, StepId, Trigger, Workload } from './model.ts';

/** Every step of the workload by its id, in the workload's order. */
export function stepsById(workload: Workload): ReadonlyMap<StepId, Step> {
  return new Map(workload.components.flatMap(({ steps }) => steps.map((step) => [step.id, step] as const)));
}

/** The steps that use a component as finished: those that need its last step. None for one that is served itself. */
export function usersOf(workload: Workload, component: ComponentId): StepId[] {
  const last = workload.components.find(({ id }) => id === component)?.steps.at(-1);
  if (!last) return [];
  return workload.components.flatMap(({ steps }) =>
    steps.filter((step) => step.needs.includes(last.id)).map((step) => step.id),
  );
}

/** The probes that a trigger asks for, in its order; one may come more than once. */
export function probesAsked(trigger: Trigger | undefined): readonly string[] {
  switch (trigger?.kind) {
    case undefined:
    case 'cue':
      return [];
    case 'probe':
      return [trigger.probe];
    case 'join':
      return trigger.probes;
    case 'any':
    case 'all':
      return trigger.of.flatMap(probesAsked);
  }
}
