import type { Step, Workload } from '../../../src/plan/index.ts';
import type { GivingRules } from './giving.ts';

/** So much is taken from one point to another. */
export interface Claim {
  readonly from: number;
  readonly to: number;
  readonly amount: number;
}

/** All that is wanted of one thing, and how much of it there is. */
export interface Claims {
  readonly capacity: number;
  readonly claims: readonly Claim[];
}

/** Hands, near steps and every item. */
export function claimsOn(workload: Workload, steps: readonly Step[], out: GivingRules): Claims[] {
  const { kitchen } = workload;
  const whole = (place: number, amount: number): Claim => ({ from: 2 * place, to: 2 * place + 1, amount });
  const hands = (kind: Step['hands']): Claim[] =>
    steps.flatMap((step, place) =>
      step.hands === kind && !out.has(`${kind} ${step.id}`) ? [whole(place, 1)] : [],
    );
  const items = new Set(steps.flatMap((step) => [...step.uses, ...step.holds].map(({ item }) => item)));
  return [
    { capacity: kitchen.cooks, claims: hands('busy') },
    { capacity: kitchen.near, claims: hands('near') },
    ...[...items].map((item): Claims => {
      const claims: Claim[] = [];
      steps.forEach((step, place) => {
        const beyond = wantedOf(step, item) - readyFor(workload, steps, step, item);
        if (wantedOf(step, item) > 0 && beyond > 0 && !out.has(`uses ${step.id} ${item}`))
          claims.push(whole(place, beyond));
        for (const hold of step.holds) {
          const until = steps.findIndex(({ id }) => id === hold.until);
          if (hold.item === item && !out.has(`holds ${step.id} ${item} until ${hold.until}`))
            claims.push({ from: 2 * place, to: 2 * until + 1, amount: hold.count });
        }
      });
      return { capacity: kitchen.items.find(({ name }) => name === item)?.count ?? 0, claims };
    }),
  ];
}

const wantedOf = (step: Step, item: string): number =>
  step.uses.reduce((sum, claim) => sum + (claim.item === item ? claim.count : 0), 0);

/** Pieces that stand ready for a step because they are held over it. */
function readyFor(workload: Workload, steps: readonly Step[], user: Step, item: string): number {
  let ready = 0;
  for (const holder of steps)
    for (const hold of holder.holds)
      if (hold.item === item && isFor(workload, steps, user, holder, hold.until)) ready += hold.count;
  return ready;
}

function isFor(
  workload: Workload,
  steps: readonly Step[],
  user: Step,
  holder: Step,
  until: Step['id'],
): boolean {
  if (user.id === until) return true;
  if (user.component !== holder.component) return false;
  const own = workload.components.find(({ id }) => id === user.component)?.steps ?? [];
  if (own.indexOf(user) < own.indexOf(holder)) return false;
  const last = own.findIndex(({ id }) => id === until);
  return last >= 0 ? own.indexOf(user) <= last : mustPrecede(workload, steps, until).has(user.id);
}

/** All steps that have to be over before the given one begins. */
function mustPrecede(workload: Workload, steps: readonly Step[], step: Step['id']): ReadonlySet<Step['id']> {
  const found = new Set<Step['id']>();
  const visit = (id: Step['id']): void => {
    const component = workload.components.find((each) => each.steps.some((own) => own.id === id));
    const place = component?.steps.findIndex((own) => own.id === id) ?? 0;
    const previous = component?.steps[place - 1];
    const needs = steps.find((each) => each.id === id)?.needs ?? [];
    for (const earlier of previous ? [...needs, previous.id] : needs) {
      if (found.has(earlier)) continue;
      found.add(earlier);
      visit(earlier);
    }
  };
  visit(step);
  return found;
}
