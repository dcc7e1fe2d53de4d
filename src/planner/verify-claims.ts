import type { HeldClaim, StepId } from '../plan/index.ts';
import type { Checked, Entry, Violation } from './verify.ts';

/** So much of something taken by a step over a stretch; stretches without length take nothing. */
interface Taking {
  readonly entry: Entry;
  readonly count: number;
  readonly from: number;
  readonly to: number;
}

/** Hands, near steps and each counted item: at no moment may more be taken than the kitchen has. */
export function handsAndItems(checked: Checked): Violation[] {
  const { kitchen } = checked.workload;
  const ofHands = (hands: 'busy' | 'near'): Taking[] =>
    checked.entries.filter(({ step }) => step.hands === hands).map((entry) => taking(entry, 1));
  return [
    ...excess('hands', ofHands('busy'), kitchen.cooks, `${kitchen.cooks} cooks`),
    ...excess('near', ofHands('near'), kitchen.near, `${kitchen.near} near steps at once`),
    ...itemsNamed(checked).flatMap((name) => {
      const count = kitchen.items.find((item) => item.name === name)?.count ?? 0;
      return excess('items', takingsOf(checked, name), count, `${count} x ${name}`);
    }),
  ];
}

const taking = (entry: Entry, count: number): Taking => ({ entry, count, from: entry.start, to: entry.end });

/** Looks at every moment at which something is taken: too much can only begin there. */
function excess(
  rule: 'hands' | 'near' | 'items',
  all: readonly Taking[],
  count: number,
  limit: string,
): Violation[] {
  return [...new Set(all.map(({ from }) => from))].flatMap((moment): Violation[] => {
    const running = all.filter(({ from, to }) => from <= moment && moment < to);
    if (running.reduce((sum, each) => sum + each.count, 0) <= count) return [];
    const steps = running.map(({ entry }) => entry.step.id);
    return [{ rule, steps, message: `more than the kitchen's ${limit}: ${steps.join(', ')}` }];
  });
}

function itemsNamed(checked: Checked): string[] {
  return [
    ...new Set(
      checked.entries.flatMap(({ step }) => [...step.uses, ...step.holds].map((claim) => claim.item)),
    ),
  ];
}

/** What is held, and what steps take beyond what is held for them. */
function takingsOf(checked: Checked, item: string): Taking[] {
  const holders = checked.entries.filter(({ step }) => step.holds.some((claim) => claim.item === item));
  return checked.entries.flatMap((entry) => {
    const held = entry.step.holds
      .filter((claim) => claim.item === item)
      .map((claim) => ({
        ...taking(entry, claim.count),
        to: checked.entryOf(claim.until)?.end ?? entry.end,
      }));
    let wanted = 0;
    for (const claim of entry.step.uses) if (claim.item === item) wanted += claim.count;
    const beyond = wanted > 0 ? wanted - standingReady(checked, holders, entry, item) : 0;
    return beyond > 0 ? [...held, taking(entry, beyond)] : held;
  });
}

/** How many are held for this step already: by its own component while the hold lasts, or for it by the step that holds until it. */
function standingReady(checked: Checked, holders: readonly Entry[], user: Entry, item: string): number {
  let ready = 0;
  for (const holder of holders)
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
