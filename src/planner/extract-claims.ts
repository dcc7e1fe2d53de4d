import type { Step, StepId } from '../plan/index.ts';
import { lengthBounds, type Drafting } from './drafting.ts';
import type { Block, Resource } from './problem.ts';

/** The cooks, the near limit and every counted item, with what is taken of each and when. */
export function blocks(drafting: Drafting): Resource[] {
  const { kitchen } = drafting.workload;
  const ofHands = (kind: 'busy' | 'near'): Block[] =>
    drafting.steps
      .filter((step) => step.hands === kind)
      .map((step) => ofStep(drafting, step, 1, drafting.rule({ kind, step })));
  return [
    { name: 'hands', capacity: kitchen.cooks, blocks: ofHands('busy') },
    { name: 'near', capacity: kitchen.near, blocks: ofHands('near') },
    ...kitchen.items.map((item) => ({
      name: item.name,
      capacity: item.count,
      blocks: [...claims(drafting, item.name), ...holds(drafting, item.name)],
    })),
  ];
}

function ofStep({ startOf, endOf }: Drafting, step: Step, amount: number, rule: number): Block {
  return {
    from: startOf(step.id),
    to: endOf(step.id),
    amount,
    mayVanish: lengthBounds(step).least === 0,
    rule,
  };
}

/** What each step takes of the item beyond what is held for it already. */
function claims(drafting: Drafting, item: string): Block[] {
  return drafting.steps.flatMap((step) => {
    const wanted = total(step.uses.filter((claim) => claim.item === item));
    const count = wanted - heldFor(drafting, step, item);
    if (count <= 0) return [];
    return [ofStep(drafting, step, count, drafting.rule({ kind: 'uses', step, item, count: wanted }))];
  });
}

function holds(drafting: Drafting, item: string): Block[] {
  return drafting.steps.flatMap((step) =>
    step.holds
      .filter((claim) => claim.item === item)
      .map((claim) => ({
        from: drafting.startOf(step.id),
        to: drafting.endOf(claim.until),
        amount: claim.count,
        mayVanish: true,
        rule: drafting.rule({ kind: 'holds', step, claim }),
      })),
  );
}

const total = (wanted: readonly { readonly count: number }[]): number =>
  wanted.reduce((sum, claim) => sum + claim.count, 0);

/**
 * How many of the item stand ready for the step because they are held: by its own component over a stretch it lies in, or
 * until this very step. A stretch that ends with another component's step holds the component's own steps that step waits for.
 */
function heldFor(drafting: Drafting, step: Step, item: string): number {
  let held = 0;
  for (const holder of drafting.steps) {
    for (const claim of holder.holds) {
      if (claim.item !== item) continue;
      const covered =
        claim.until === step.id ||
        (holder.component === step.component && liesBetween(drafting, holder, step, claim.until));
      if (covered) held += claim.count;
    }
  }
  return held;
}

function liesBetween(drafting: Drafting, holder: Step, step: Step, until: StepId): boolean {
  const own = drafting.steps.filter((other) => other.component === holder.component).map((other) => other.id);
  const here = own.indexOf(step.id);
  if (here < own.indexOf(holder.id)) return false;
  const last = own.indexOf(until);
  return last >= 0 ? here <= last : waitsFor(drafting, until).has(step.id);
}

/** Every step that must have ended before the given one starts. */
function waitsFor(drafting: Drafting, step: StepId): ReadonlySet<StepId> {
  const found = new Set<StepId>();
  const open = [step];
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    for (const earlier of directlyBefore(drafting, id)) {
      if (found.has(earlier)) continue;
      found.add(earlier);
      open.push(earlier);
    }
  }
  return found;
}

function directlyBefore(drafting: Drafting, id: StepId): StepId[] {
  const place = drafting.steps.findIndex((step) => step.id === id);
  const step = drafting.steps[place];
  const previous = drafting.steps[place - 1];
  return [
    ...(step?.needs ?? []),
    ...(step && previous && previous.component === step.component ? [previous.id] : []),
  ];
}
