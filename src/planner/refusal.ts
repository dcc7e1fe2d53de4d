import type { StepId, Workload } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';
import type { Refusal } from './plan.ts';
import { stepsOf, type Rule } from './rules.ts';
import { clause, placeOf, weekWords, whenFrom } from './words.ts';

/**
 * Tells a clash. Rules that go round in a circle are told as limits and what does not fit into them; a clash over the kitchen
 * as what is wanted of it, how much there is, and the limits that keep the wishes from being moved apart.
 * @param circle whether the rules are times that go round in a circle, in their order.
 * @param service when each plan is served, where that is known, so that it can be named.
 */
export function refusalOf(
  workload: Workload,
  rules: readonly Rule[],
  circle: boolean,
  service?: readonly EpochMs[],
): Refusal {
  const say = teller(workload, service);
  return {
    message: circle ? circleWords(rules, say) : clashWords(workload, rules, say),
    steps: unique(rules.flatMap((rule): StepId[] => stepsOf(rule).map((step) => step.id))),
    places: unique(rules.map(placeOf)),
  };
}

/** A rule as a clause. */
type Say = (rule: Rule) => string;

function teller(workload: Workload, service: readonly EpochMs[] = []): Say {
  const [first] = service;
  if (first === undefined) return (rule) => clause(workload, rule);
  const when = whenFrom(workload.kitchen.timeZone, first);
  return (rule) => clause(workload, rule, (plan) => when(service[plan] ?? first));
}

const unique = <T>(all: readonly T[]): T[] => [...new Set(all)];

function circleWords(rules: readonly Rule[], say: Say): string {
  const told = rules.filter((rule) => !goesWithoutSaying(rule));
  const onlyLimits = told.every(isLimit);
  // Where all are limits, service is what the others do not agree with.
  const limits = told.filter((rule) => isLimit(rule) && !(onlyLimits && rule.kind === 'service'));
  const rest = told.filter((rule) => !limits.includes(rule));
  if (rest.length === 0 || limits.length === 0) return `these cannot all hold: ${listed(rules.map(say))}`;
  return `${listed(limits.map(say))}, but ${listed(rest.map(say))}`;
}

const isLimit = ({ kind }: Rule): boolean =>
  kind === 'within' || kind === 'keeps' || kind === 'rests at most' || kind === 'service';

const goesWithoutSaying = (rule: Rule): boolean =>
  rule.kind === 'begin' || (rule.kind === 'follows' && rule.step.after === 0);

type OvenRule = Rule & { readonly kind: 'oven' };

function clashWords(workload: Workload, rules: readonly Rule[], say: Say): string {
  const { kitchen } = workload;
  const ovens = rules.filter((rule) => rule.kind === 'oven');
  const items = rules.filter((rule) => rule.kind === 'uses' || rule.kind === 'holds');
  const of = (kind: Rule['kind']): readonly Rule[] => rules.filter((rule) => rule.kind === kind);
  const limits = rules.filter(isLimit).map(say);
  const parts = [
    ...told(ovens, say, ovensThere(workload, ovens)),
    ...told(of('busy'), say, number(kitchen.cooks, 'cook')),
    ...told(of('near'), say, `at most ${number(kitchen.near, 'near step')} at once`),
    ...told(items, say, stock(workload, items)),
    ...told(of('hours'), say, `work only ${kitchen.hours ? weekWords(kitchen.hours) : 'in working hours'}`),
  ];
  if (parts.length === 0) return `these cannot all hold: ${listed(rules.map(say))}`;
  // A single demand clashes with the hours alone.
  const fixed = rules.length - limits.length > 1 ? 'they cannot be moved apart' : 'it cannot be moved';
  const kept = limits.length === 0 ? '' : `; ${fixed}, because ${listed(limits)}`;
  return `${parts.join('; ')}${kept}`;
}

const told = (rules: readonly Rule[], say: Say, have: string): string[] =>
  rules.length === 0 ? [] : [`${listed(rules.map(say))}: ${have}`];

/** How many ovens there are, and where the demands do not differ in heat, what else keeps them from sharing one. */
function ovensThere({ kitchen }: Workload, rules: readonly OvenRule[]): string {
  const there = number(kitchen.ovens.length, 'oven');
  const [oven] = kitchen.ovens;
  if (!oven || rules.some(({ demand }) => demand.heat.kind === 'off' || demand.door === 'ajar')) return there;
  const degrees = rules.flatMap(({ demand }) =>
    demand.heat.kind === 'at' ? [demand.heat.temperature.celsius] : [],
  );
  if (Math.max(...degrees) - Math.min(...degrees) > oven.tolerance) return there;
  const shelves = Math.max(...kitchen.ovens.map((each) => each.shelves));
  const wanted = rules.reduce((sum, { demand }) => sum + demand.shelves, 0);
  const shut = rules.filter(({ demand }) => demand.door === 'shut').map(({ step }) => step.id);
  const full = wanted > shelves ? ` with ${shelves === 1 ? 'one shelf' : `${shelves} shelves`}` : '';
  const closed = shut.length > 0 ? `, the door shut for ${listed(shut)}` : '';
  return `${there}${full}${closed}`;
}

function stock({ kitchen }: Workload, rules: readonly Rule[]): string {
  const names = unique(
    rules.flatMap((rule) =>
      rule.kind === 'uses' ? [rule.item] : rule.kind === 'holds' ? [rule.claim.item] : [],
    ),
  );
  return listed(
    names.map((name) => {
      const count = kitchen.items.find((item) => item.name === name)?.count ?? 0;
      return count === 1 ? `one ${name}` : `${count} x ${name}`;
    }),
  );
}

const number = (count: number, what: string): string =>
  `${count === 1 ? 'one' : count === 0 ? 'no' : count} ${what}${count === 1 ? '' : 's'}`;

function listed(parts: readonly string[]): string {
  if (parts.length <= 2) return parts.join(' and ');
  return `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}
