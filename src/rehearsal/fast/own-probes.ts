import { usualProbe } from '../../heat/index.ts';
import { probesAsked, type Component, type Probe, type Trigger, type Workload } from '../../plan/index.ts';

/**
 * The same workload with a probe of its own for each component where several share one. A cook who has one probe reads one mass
 * after the other, and knows which it was: no batch is done because another one's temperature was read.
 */
export function withOwnProbes(workload: Workload): Workload {
  const { kitchen, components } = workload;
  const shared = sharedProbes(workload);
  if (shared.size === 0) return workload;
  const probes: Probe[] = [...(kitchen.probes ?? [])];
  const own = (component: Component, name: string): string => {
    if (!shared.has(name)) return name;
    const called = `${name} in ${component.id}`;
    const probe = probes.find((each) => each.name === name) ?? usualProbe(name);
    if (!probes.some((each) => each.name === called)) probes.push({ ...probe, name: called });
    return called;
  };
  const made = components.map((component): Component => ({
    ...component,
    ...(component.probe !== undefined && { probe: own(component, component.probe) }),
    steps: component.steps.map((step) =>
      step.until ? { ...step, until: renamed(step.until, (name) => own(component, name)) } : step,
    ),
  }));
  return { ...workload, components: made, kitchen: { ...kitchen, probes } };
}

/** Probes that several components ask for. What hangs in an oven reads the oven's air and nobody's mass. */
function sharedProbes({ kitchen, components }: Workload): ReadonlySet<string> {
  const seen = new Set<string>();
  const shared = new Set<string>();
  for (const { steps } of components) {
    const asked = new Set(steps.flatMap(({ until }) => probesAsked(until)));
    for (const name of asked) {
      if (seen.has(name)) shared.add(name);
      seen.add(name);
    }
  }
  for (const { name, oven } of kitchen.probes ?? []) if (oven !== undefined) shared.delete(name);
  return shared;
}

function renamed(trigger: Trigger, own: (name: string) => string): Trigger {
  switch (trigger.kind) {
    case 'cue':
      return trigger;
    case 'probe':
      return { ...trigger, probe: own(trigger.probe) };
    case 'join':
      return { ...trigger, probes: trigger.probes.map(own) };
    case 'any':
    case 'all':
      return { ...trigger, of: trigger.of.map((part) => renamed(part, own)) };
  }
}
