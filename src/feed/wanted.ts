import type { Trigger, Workload } from '../plan/index.ts';

/** The probes that plans and kitchen name, and the components whose cooling is watched, which have a probe of their own name. */
export function probesWanted({ components, kitchen }: Workload): ReadonlySet<string> {
  return new Set([
    ...(kitchen.probes ?? []).map(({ name }) => name),
    ...components.flatMap(({ name, probe, steps }) => [
      name,
      ...(probe === undefined ? [] : [probe]),
      ...steps.flatMap(({ until }) => probesOf(until)),
    ]),
  ]);
}

function probesOf(trigger: Trigger | undefined): readonly string[] {
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
      return trigger.of.flatMap(probesOf);
  }
}
