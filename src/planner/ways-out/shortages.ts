import type { OvenDemand, Step, Workload } from '../../plan/index.ts';
import { lengthBounds } from '../drafting.ts';
import type { Easing } from './easing.ts';

/**
 * What the kitchen must have more of, whatever else is changed, because a single step asks for it. Nothing is said of ovens
 * where there is none to be like.
 */
export function shortages(workload: Workload): Easing[] {
  const { kitchen } = workload;
  const steps = workload.components
    .flatMap((component) => component.steps)
    .filter((step) => lengthBounds(step).least > 0);
  const wanted = (hands: Step['hands']): number => (steps.some((step) => step.hands === hands) ? 1 : 0);
  return [
    ...(wanted('busy') > kitchen.cooks ? [{ kind: 'more cooks', by: 1 } as const] : []),
    ...(wanted('near') > kitchen.near ? [{ kind: 'more near steps', by: 1 } as const] : []),
    ...items(workload, steps),
    ...ovens(
      workload,
      steps.flatMap(({ oven }) => oven ?? []),
    ),
  ];
}

function items({ kitchen }: Workload, steps: readonly Step[]): Easing[] {
  const most = new Map<string, number>();
  for (const { item, count } of steps.flatMap((step) => [...step.uses, ...step.holds]))
    most.set(item, Math.max(count, most.get(item) ?? 0));
  return [...most].flatMap(([item, count]): Easing[] => {
    const by = count - (kitchen.items.find(({ name }) => name === item)?.count ?? 0);
    return by > 0 ? [{ kind: 'more of an item', item, by }] : [];
  });
}

function ovens({ kitchen }: Workload, demands: readonly OvenDemand[]): Easing[] {
  const [first] = kitchen.ovens;
  if (!first) return [];
  const unknown = demands.flatMap(({ oven }) =>
    oven !== undefined && !kitchen.ovens.some(({ name }) => name === oven) ? [oven] : [],
  );
  const another = [...new Set(unknown)].map((oven): Easing => ({
    kind: 'another oven',
    oven,
    like: first.name,
  }));
  const most = (of: readonly OvenDemand[]): number => Math.max(0, ...of.map(({ shelves }) => shelves));
  const there = new Map(kitchen.ovens.map(({ name, shelves }) => [name, shelves]));
  for (const { name } of kitchen.ovens)
    there.set(name, Math.max(there.get(name) ?? 0, most(demands.filter(({ oven }) => oven === name))));
  const anywhere = most(demands.filter(({ oven }) => oven === undefined));
  if (anywhere > Math.max(...there.values())) there.set(first.name, anywhere);
  const shelves = kitchen.ovens.flatMap((oven): Easing[] => {
    const by = (there.get(oven.name) ?? 0) - oven.shelves;
    return by > 0 ? [{ kind: 'more shelves', oven: oven.name, by }] : [];
  });
  return [...another, ...shelves];
}
