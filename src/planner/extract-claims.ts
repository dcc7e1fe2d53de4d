import type { Step, StepId } from '../plan/index.ts';
import type { Drafting } from './drafting.ts';
import type { Claim, Resource } from './core/index.ts';

/** The cooks, the near limit and every counted item, with what is taken of each and when. */
export function resources(drafting: Drafting): Resource[] {
  const { kitchen } = drafting.workload;
  const ofHands = (kind: 'busy' | 'near'): Claim[] =>
    drafting.steps
      .filter((step) => step.hands === kind)
      .map((step) => ofStep(drafting, step, 1, drafting.rule({ kind, step })));
  return [
    { capacity: kitchen.cooks, claims: ofHands('busy') },
    { capacity: kitchen.near, claims: ofHands('near') },
    ...kitchen.items.map((item) => ({
      capacity: item.count,
      claims: [...claims(drafting, item.name), ...holds(drafting, item.name)],
    })),
  ];
}

function ofStep({ startOf, endOf }: Drafting, step: Step, amount: number, rule: number): Claim {
  return {
    from: startOf(step.id),
    to: endOf(step.id),
    amount,
    rule,
  };
}

/** What each step takes of the item beyond what is held for it already. */
function claims(drafting: Drafting, item: string): Claim[] {
  const holders = drafting.steps.filter((step) => step.holds.some((claim) => claim.item === item));
  return drafting.steps.flatMap((step) => {
    const wanted = total(step.uses.filter((claim) => claim.item === item));
    const count = wanted > 0 ? wanted - heldFor(drafting, holders, step, item) : 0;
    if (count <= 0) return [];
    return [ofStep(drafting, step, count, drafting.rule({ kind: 'uses', step, item, count: wanted }))];
  });
}

function holds(drafting: Drafting, item: string): Claim[] {
  return drafting.steps.flatMap((step) =>
    step.holds
      .filter((claim) => claim.item === item)
      .map((claim) => ({
        from: drafting.startOf(step.id),
        to: drafting.endOf(claim.until),
        amount: claim.count,
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
function heldFor(drafting: Drafting, holders: readonly Step[], step: Step, item: string): number {
  let held = 0;
  for (const holder of holders) {
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

/** Whether a step lies in what a step of its component holds something for, until the given step. */
function liesBetween(drafting: Drafting, holder: Step, step: Step, until: StepId): boolean {
  const { placeOf, steps } = drafting;
  if (placeOf(step.id) < placeOf(holder.id)) return false;
  return steps[placeOf(until)]?.component === holder.component
    ? placeOf(step.id) <= placeOf(until)
    : waitsFor(drafting, until, step.id);
}

/** Whether a step can only start when the other has ended. */
function waitsFor({ steps, placeOf }: Drafting, step: StepId, other: StepId): boolean {
  const seen = new Set<StepId>();
  const open = [step];
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    const place = placeOf(id);
    const [here, previous] = [steps[place], steps[place - 1]];
    const directly = previous && previous.component === here?.component ? [previous.id] : [];
    for (const earlier of [...(here?.needs ?? []), ...directly]) {
      if (earlier === other) return true;
      if (seen.has(earlier)) continue;
      seen.add(earlier);
      open.push(earlier);
    }
  }
  return false;
}
