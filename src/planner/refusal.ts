import type { StepId, Workload } from '../plan/index.ts';
import type { Refusal } from './plan.ts';
import { stepsOf, type Rule } from './rules.ts';
import { clause, placeOf } from './words.ts';

/**
 * Tells a clash. Rules that go round in a circle are told as limits and what does not fit into them; a clash over the kitchen
 * as what is wanted of it, how much there is, and the limits that keep the wishes from being moved apart.
 */
export function refusalOf(workload: Workload, rules: readonly Rule[], circle: boolean): Refusal {
  return {
    message: circle ? circleWords(workload, rules) : clashWords(workload, rules),
    steps: unique(rules.flatMap((rule): StepId[] => stepsOf(rule).map((step) => step.id))),
    places: unique(rules.map(placeOf)),
  };
}

const unique = <T>(all: readonly T[]): T[] => [...new Set(all)];

function circleWords(workload: Workload, rules: readonly Rule[]): string {
  const limits = rules.filter((rule) => isLimit(rule));
  const rest = rules.filter((rule) => !isLimit(rule) && !goesWithoutSaying(rule));
  const words = (some: readonly Rule[]): string => listed(some.map((rule) => clause(workload, rule)));
  if (rest.length === 0 || limits.length === 0) return `these cannot all hold: ${words(rules)}`;
  return `${words(limits)}, but ${words(rest)}`;
}

const isLimit = ({ kind }: Rule): boolean =>
  kind === 'within' || kind === 'keeps' || kind === 'rests at most' || kind === 'service';

const goesWithoutSaying = (rule: Rule): boolean =>
  rule.kind === 'begin' || (rule.kind === 'follows' && rule.step.after === 0);

function clashWords(workload: Workload, rules: readonly Rule[]): string {
  const ovens = rules.filter((rule) => rule.kind === 'oven');
  const busy = rules.filter((rule) => rule.kind === 'busy');
  const near = rules.filter((rule) => rule.kind === 'near');
  const items = rules.filter((rule) => rule.kind === 'uses' || rule.kind === 'holds');
  const limits = rules.filter(isLimit).map((rule) => clause(workload, rule));
  const parts = [
    ...told(workload, ovens, number(workload.kitchen.ovens.length, 'oven')),
    ...told(workload, busy, number(workload.kitchen.cooks, 'cook')),
    ...told(workload, near, `at most ${number(workload.kitchen.near, 'near step')} at once`),
    ...told(workload, items, stock(workload, items)),
  ];
  const kept = limits.length === 0 ? '' : `; they cannot be moved apart, because ${listed(limits)}`;
  return `${parts.join('; ')}${kept}`;
}

function told(workload: Workload, rules: readonly Rule[], have: string): string[] {
  return rules.length === 0 ? [] : [`${listed(rules.map((rule) => clause(workload, rule)))}: ${have}`];
}

function stock({ kitchen }: Workload, rules: readonly Rule[]): string {
  const names = unique(
    rules.flatMap((rule) =>
      rule.kind === 'uses' ? [rule.item] : rule.kind === 'holds' ? [rule.claim.item] : [],
    ),
  );
  return listed(
    names.map((name) => `${kitchen.items.find((item) => item.name === name)?.count ?? 0} x ${name}`),
  );
}

const number = (count: number, what: string): string =>
  `${count === 1 ? 'one' : count} ${what}${count === 1 ? '' : 's'}`;

function listed(parts: readonly string[]): string {
  if (parts.length <= 2) return parts.join(' and ');
  return `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}
