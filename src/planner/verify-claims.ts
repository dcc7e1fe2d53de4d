import type { HeldClaim, StepId } from '../plan/index.ts';
import type { Checked, Entry, Violation } from './verify.ts';

/** At every moment at which a step starts: hands, near steps, and each counted item. Taking more can only begin there. */
export function handsAndItems(checked: Checked): Violation[] {
  const { kitchen } = checked.workload;
  const found: Violation[] = [];
  const moments = [...new Set(checked.entries.map((entry) => entry.start))].toSorted((a, b) => a - b);
  for (const moment of moments) {
    const running = checked.entries.filter((entry) => entry.start <= moment && moment < entry.end);
    const busy = running.filter((entry) => entry.step.hands === 'busy');
    const near = running.filter((entry) => entry.step.hands === 'near');
    if (busy.length > kitchen.cooks) found.push(tooMany('hands', busy, `${kitchen.cooks} cooks`));
    if (near.length > kitchen.near) found.push(tooMany('near', near, `${kitchen.near} near steps at once`));
    for (const name of itemsNamed(checked)) {
      const count = kitchen.items.find((item) => item.name === name)?.count ?? 0;
      const takers = takersOf(checked, name, moment);
      if (takers.reduce((sum, taker) => sum + taker.count, 0) > count)
        found.push(
          tooMany(
            'items',
            takers.map((taker) => taker.entry),
            `${count} x ${name}`,
          ),
        );
    }
  }
  return found;
}

function tooMany(rule: 'hands' | 'near' | 'items', entries: readonly Entry[], limit: string): Violation {
  const steps = entries.map((entry) => entry.step.id);
  return { rule, steps, message: `more than the kitchen's ${limit}: ${steps.join(', ')}` };
}

function itemsNamed(checked: Checked): Set<string> {
  return new Set(
    checked.entries.flatMap(({ step }) => [...step.uses, ...step.holds].map((claim) => claim.item)),
  );
}

interface Taker {
  readonly entry: Entry;
  readonly count: number;
}

function takersOf(checked: Checked, item: string, moment: number): Taker[] {
  const takers: Taker[] = [];
  for (const entry of checked.entries) {
    for (const claim of entry.step.holds) {
      if (claim.item !== item) continue;
      const end = checked.entryOf(claim.until)?.end ?? entry.end;
      if (entry.start <= moment && moment < end) takers.push({ entry, count: claim.count });
    }
    if (entry.start > moment || moment >= entry.end) continue;
    let wanted = 0;
    for (const claim of entry.step.uses) if (claim.item === item) wanted += claim.count;
    const excess = wanted - standingReady(checked, entry, item);
    if (excess > 0) takers.push({ entry, count: excess });
  }
  return takers;
}

/** How many are held for this step already: by its own component while the hold lasts, or for it by the step that holds until it. */
function standingReady(checked: Checked, user: Entry, item: string): number {
  let ready = 0;
  for (const holder of checked.entries)
    for (const claim of holder.step.holds)
      if (claim.item === item && drawsOn(checked, user, holder, claim)) ready += claim.count;
  return ready;
}

function drawsOn(checked: Checked, user: Entry, holder: Entry, claim: HeldClaim): boolean {
  if (claim.until === user.step.id) return true;
  if (user.component !== holder.component || user.place < holder.place) return false;
  const until = checked.entryOf(claim.until);
  if (!until) return false;
  return until.component === holder.component
    ? user.place <= until.place
    : bound(checked, user.step.id, until, new Set());
}

/** Whether `later` can only start once `earlier` has ended. */
function bound(checked: Checked, earlier: StepId, later: Entry, seen: Set<StepId>): boolean {
  if (seen.has(later.step.id)) return false;
  seen.add(later.step.id);
  const before = later.component.steps[later.place - 1];
  const direct = before ? [...later.step.needs, before.id] : later.step.needs;
  return direct.some((id) => {
    if (id === earlier) return true;
    const entry = checked.entryOf(id);
    return entry !== undefined && bound(checked, earlier, entry, seen);
  });
}
