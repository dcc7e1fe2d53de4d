import type { Component, ComponentId, Step, StepId, Trigger, Workload } from './model.ts';

/** Every step of the workload by its id, in the workload's order. */
export function stepsById(workload: Workload): ReadonlyMap<StepId, Step> {
  return new Map(workload.components.flatMap(({ steps }) => steps.map((step) => [step.id, step] as const)));
}

const names = new WeakMap<Workload, ReadonlyMap<ComponentId, string>>();

/**
 * What each component is called where plans are laid together: its short name; where another one has that too its title, or
 * its name and its plan's. No two are called the same.
 */
export function componentNames(workload: Workload): ReadonlyMap<ComponentId, string> {
  const known = names.get(workload);
  if (known) return known;
  const { components, plans } = workload;
  const count = new Map<string, number>();
  for (const { name, title } of components)
    for (const word of new Set([name, title].map((text) => text.toLowerCase())))
      count.set(word, (count.get(word) ?? 0) + 1);
  const hasNamesake = ({ id, name }: Component): boolean =>
    components.some((other) => other.id !== id && other.name === name);
  const made = new Map(
    components.map((component) => {
      const { id, name, title, plan } = component;
      if (!hasNamesake(component)) return [id, name];
      return [id, count.get(title.toLowerCase()) === 1 ? title : `${name} (${plans[plan]?.name ?? id})`];
    }),
  );
  names.set(workload, made);
  return made;
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
