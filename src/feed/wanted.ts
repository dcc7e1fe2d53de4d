import { probesAsked, type Workload } from '../plan/index.ts';

/** The probes that plans and kitchen name, and the components whose cooling is watched, which have a probe of their own name. */
export function probesWanted({ components, kitchen }: Workload): ReadonlySet<string> {
  return new Set([
    ...(kitchen.probes ?? []).map(({ name }) => name),
    ...components.flatMap(({ name, probe, steps }) => [
      name,
      ...(probe === undefined ? [] : [probe]),
      ...steps.flatMap(({ until }) => probesAsked(until)),
    ]),
  ]);
}
