import type { Component, ComponentId, Oven, Place, Step, StepId, Workload } from '../../plan/index.ts';
import type { ChainLink } from '../limits-chain.ts';
import type { Refusal } from '../plan.ts';

/** What may be in the way, and for things that are counted how many more at the most. */
export interface Suspects {
  /** Steps that may wait too short a time, and rests that may end too soon. */
  readonly waits: readonly StepId[];
  readonly rests: readonly StepId[];
  readonly keeps: readonly ComponentId[];
  readonly cooks: number;
  readonly near: number;
  readonly items: ReadonlyMap<string, number>;
  readonly shelves: ReadonlyMap<string, number>;
  /** Ovens of which one more may help. */
  readonly ovens: readonly string[];
  /** The plans concerned, by their place in the workload. */
  readonly plans: readonly number[];
}

/** So many more of a thing are asked for at the most; of cooks fewer. */
const MORE = 3;

/** What the refusals speak of: their steps, the limits that stand on their lines, and what the steps want together. */
export function suspectsOfRefusals(workload: Workload, reasons: readonly Refusal[]): Suspects {
  const named = new Set(reasons.flatMap((reason) => reason.steps));
  const lines = new Set(reasons.flatMap((reason) => reason.places.map(placeName)));
  const steps = workload.components.flatMap((component) => component.steps).filter(({ id }) => named.has(id));
  const told = ({ place }: Step | Component): boolean => lines.has(placeName(place));
  const wanted = (hands: Step['hands']): number => steps.filter((step) => step.hands === hands).length;
  const { kitchen } = workload;
  return {
    waits: workload.components.flatMap((component) =>
      component.steps
        .filter(
          (step, place) =>
            step.within !== undefined && told(step) && named.has(component.steps[place - 1]?.id ?? step.id),
        )
        .map(({ id }) => id),
    ),
    rests: steps.filter(hasEnd).map(({ id }) => id),
    keeps: workload.components
      .filter((component) => component.keeps !== undefined && told(component))
      .map(({ id }) => id),
    cooks: wanted('busy') > kitchen.cooks ? MORE - 1 : 0,
    near: wanted('near') > kitchen.near ? MORE : 0,
    items: missing(workload, steps),
    shelves: shelvesMissing(workload, steps),
    ovens: twins(workload, steps),
    plans: plansOf(workload, named),
  };
}

const placeName = ({ file, line }: Place): string => `${line} ${file}`;
const hasEnd = ({ length }: Step): boolean => length.kind === 'rest' && length.atMost !== undefined;

const plansOf = (workload: Workload, steps: ReadonlySet<StepId>): number[] => [
  ...new Set(
    workload.components
      .filter((component) => component.steps.some(({ id }) => steps.has(id)))
      .map(({ plan }) => plan),
  ),
];

/** How many pieces a step wants of an item, used or held. */
const wish = (step: Step, item: string): number => {
  const sum = (claims: readonly { readonly item: string; readonly count: number }[]): number =>
    claims.reduce((total, claim) => total + (claim.item === item ? claim.count : 0), 0);
  return Math.max(sum(step.uses), sum(step.holds));
};

function missing({ kitchen }: Workload, steps: readonly Step[]): Map<string, number> {
  const names = new Set(steps.flatMap((step) => [...step.uses, ...step.holds].map(({ item }) => item)));
  const found = new Map<string, number>();
  for (const name of names) {
    const there = kitchen.items.find((item) => item.name === name)?.count ?? 0;
    if (steps.reduce((sum, step) => sum + wish(step, name), 0) > there) found.set(name, MORE);
  }
  return found;
}

function shelvesMissing({ kitchen }: Workload, steps: readonly Step[]): Map<string, number> {
  const wanted = ({ name }: Oven): number =>
    steps.reduce((sum, { oven }) => sum + (oven && (oven.oven ?? name) === name ? oven.shelves : 0), 0);
  return new Map(
    kitchen.ovens.filter((oven) => wanted(oven) > oven.shelves).map((oven) => [oven.name, MORE]),
  );
}

function twins({ kitchen }: Workload, steps: readonly Step[]): Suspects['ovens'] {
  const [first] = kitchen.ovens;
  const demands = steps.flatMap((step) => step.oven ?? []);
  const mayMove = demands.some(({ oven }) => oven === undefined);
  return first && demands.length > 1 && mayMove ? [first.name] : [];
}

/** What holds the work back, link by link. */
export function suspectsOfChain(workload: Workload, chain: readonly ChainLink[]): Suspects {
  const ruled = chain.flatMap(({ mover, why }) =>
    why.kind === 'rule' && why.next ? [{ rule: why.rule, from: mover.step, to: why.next.step }] : [],
  );
  const along = (...rules: string[]): typeof ruled => ruled.filter(({ rule }) => rules.includes(rule));
  const componentOf = (step: StepId): Component | undefined =>
    workload.components.find((component) => component.steps.some(({ id }) => id === step));
  const stepOf = (id: StepId): Step | undefined => componentOf(id)?.steps.find((step) => step.id === id);
  const steps = new Set(chain.map(({ mover }) => mover.step));
  const [oven] = workload.kitchen.ovens;
  const items = along('items').flatMap(({ to }) => {
    const step = stepOf(to);
    return step ? [...step.uses, ...step.holds].map(({ item }) => item) : [];
  });
  return {
    waits: along('within').map(({ from }) => from),
    rests: along('length')
      .map(({ from }) => from)
      .filter((id) => {
        const step = stepOf(id);
        return step !== undefined && hasEnd(step);
      }),
    keeps: along('keeps').flatMap(({ to }) => componentOf(to)?.id ?? []),
    cooks: along('hands').length > 0 ? 1 : 0,
    near: along('near').length > 0 ? 1 : 0,
    items: new Map(items.map((item) => [item, 1])),
    shelves: new Map(oven && along('shelves').length > 0 ? [[oven.name, 1]] : []),
    ovens: oven && along('shelves', 'temperature', 'door', 'oven change').length > 0 ? [oven.name] : [],
    plans: plansOf(workload, steps),
  };
}

/** What either points to. */
export function both(a: Suspects, b: Suspects): Suspects {
  const union = <T>(one: readonly T[], other: readonly T[]): T[] => [...new Set([...one, ...other])];
  const larger = (one: Suspects['items'], other: Suspects['items']): Map<string, number> =>
    new Map([...one, ...other].map(([name]) => [name, Math.max(one.get(name) ?? 0, other.get(name) ?? 0)]));
  return {
    waits: union(a.waits, b.waits),
    rests: union(a.rests, b.rests),
    keeps: union(a.keeps, b.keeps),
    cooks: Math.max(a.cooks, b.cooks),
    near: Math.max(a.near, b.near),
    items: larger(a.items, b.items),
    shelves: larger(a.shelves, b.shelves),
    ovens: union(a.ovens, b.ovens),
    plans: union(a.plans, b.plans),
  };
}
