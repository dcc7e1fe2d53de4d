import type { Workload } from '../../../src/plan/index.ts';
import type { Rule } from '../../../src/planner/rules.ts';

/** Rules that could be left out to make room, by name: a kind, the step, and what else it is about. */
export type GivingRules = ReadonlySet<string>;

export const NOTHING: GivingRules = new Set();

/** The name of a rule; undefined for one that only says how long things are and what follows what. */
export function nameOf(rule: Rule): string | undefined {
  switch (rule.kind) {
    case 'begin':
    case 'length':
    case 'follows':
    case 'needs':
    case 'service':
      return undefined;
    case 'keeps':
      return `keeps ${rule.last.id} until ${rule.user?.id ?? 'service'}`;
    case 'uses':
      return `uses ${rule.step.id} ${rule.item}`;
    case 'holds':
      return `holds ${rule.step.id} ${rule.claim.item} until ${rule.claim.until}`;
    case 'within':
    case 'rests at most':
    case 'busy':
    case 'near':
    case 'oven':
    case 'hours':
      return `${rule.kind} ${rule.step.id}`;
  }
}

/** All of them in a workload, also those that say nothing new. */
export function givingRules({ components, kitchen }: Workload): string[] {
  const steps = components.flatMap((component) => component.steps);
  return [
    ...steps.flatMap((step) => [
      ...(step.within === undefined ? [] : [`within ${step.id}`]),
      ...(step.length.kind === 'rest' ? [`rests at most ${step.id}`] : []),
      ...(step.hands === 'free' ? [] : [`${step.hands} ${step.id}`]),
      ...(step.hands === 'free' || !kitchen.hours ? [] : [`hours ${step.id}`]),
      ...step.uses.map(({ item }) => `uses ${step.id} ${item}`),
      ...step.holds.map(({ item, until }) => `holds ${step.id} ${item} until ${until}`),
      ...(step.oven ? [`oven ${step.id}`] : []),
    ]),
    ...components.flatMap(({ keeps, steps: own }) => {
      const last = own.at(-1);
      if (keeps === undefined || !last) return [];
      const users = steps.filter((step) => step.needs.includes(last.id)).map(({ id }) => id);
      return (users.length > 0 ? users : ['service']).map((user) => `keeps ${last.id} until ${user}`);
    }),
  ];
}
