import type { Parts } from './assemble.ts';
import type { Reckoned } from './expected.ts';
import type { Look } from './look.ts';
import { ENDED, WAITING, type OvenPart, type StepPart } from './parts.ts';
import { marginOf } from './soonest.ts';

/*
 * Whether the course that is expected wants a new timetable, as the bench has it for the first time in a run
 * (bench/situations.ts, clashes.ts and alarms.ts).
 */

/** So much later than told, where components meet or a plan is to be ready, is a slip. */
const SLIP_MS = 600_000;
/** A margin below this is lateness. */
const LATE_MS = -60_000;
/** Demands on an oven, or on the hands, that overlap for no longer than this do not clash. */
const OVEN_GRACE_MS = 30_000;
const HANDS_GRACE_MS = 120_000;
/** A wait for hands is pressing where it is longer than this; it is told so long before it comes. */
const LONG_WAIT_MS = 300_000;
const HANDS_HORIZON_MS = 900_000;

/** What is known of a run that is watched for whether it wants a new timetable. */
export interface Watching {
  readonly sorted: StepPart[];
  readonly hands: Float64Array;
  /** Until when what was found out about the margin and the hands holds, if nothing changes. */
  marginUntil: number;
  handsUntil: number;
}

export const watchingOf = ({ cooks }: Parts): Watching => ({
  sorted: [],
  hands: new Float64Array(cooks),
  marginUntil: -Infinity,
  handsUntil: -Infinity,
});

/**
 * Whether a new timetable is wanted for the course as it was reckoned, where none was wanted before. Only what has changed is
 * gone through. `until` of the margin and the hands tells when to ask again.
 */
export function wantsNew(parts: Parts, watching: Watching, reckoned: Reckoned, look: Look): boolean {
  if (reckoned.isLate) return true;
  const { sorted, hands } = watching;
  const { now } = look;
  if (reckoned.isChanged) {
    if (slips(parts)) return true;
    for (const oven of parts.ovens) if (clashes(oven, sorted)) return true;
  }
  if (reckoned.isChanged || watching.handsUntil <= now) {
    look.at(now);
    if (pressing(parts, sorted, look)) return true;
    watching.handsUntil = look.next;
  }
  if (reckoned.isEndChanged || watching.marginUntil <= now) {
    look.at(now);
    watching.marginUntil = Infinity;
    if (parts.plans.every(({ open }) => open === 0)) return false;
    if (marginOf(parts, hands, look) < LATE_MS) return true;
    watching.marginUntil = look.next;
  }
  return false;
}

function slips({ told, plans }: Parts): boolean {
  for (const step of told)
    if (step.meets && step.state === WAITING && step.expectedStart - step.toldStart >= SLIP_MS) return true;
  for (const plan of plans) {
    if (plan.isServed || plan.open === 0) continue;
    const latest = plan.toldReady + SLIP_MS;
    for (const { steps } of plan.components)
      for (const step of steps) if (step.expectedEnd >= latest) return true;
  }
  return false;
}

/** Puts open steps in the order in which they are expected to start; at one moment they keep theirs. */
function arrange(steps: readonly StepPart[], sorted: StepPart[], isAsked: (step: StepPart) => boolean): void {
  sorted.length = 0;
  for (const step of steps) {
    if (step.state === ENDED || !isAsked(step)) continue;
    let at = sorted.length;
    sorted.push(step);
    for (
      let before = sorted[at - 1];
      before && before.expectedStart > step.expectedStart;
      before = sorted[at - 1]
    ) {
      sorted[at] = before;
      at -= 1;
    }
    sorted[at] = step;
  }
}

const overlap = (a: StepPart, b: StepPart): number =>
  Math.min(a.expectedEnd, b.expectedEnd) - Math.max(a.expectedStart, b.expectedStart);

const any = (): boolean => true;

function clashes(oven: OvenPart, sorted: StepPart[]): boolean {
  arrange(oven.loads, sorted, any);
  let end = -Infinity;
  for (const [index, second] of sorted.entries()) {
    if (end - second.expectedStart > OVEN_GRACE_MS && clashesBefore(oven, sorted, index, second)) return true;
    if (second.expectedEnd > end) end = second.expectedEnd;
  }
  return false;
}

/** Whether a load clashes with one that goes in before it, or finds no shelf. */
function clashesBefore(
  oven: OvenPart,
  sorted: readonly StepPart[],
  index: number,
  second: StepPart,
): boolean {
  let { shelves } = second;
  let isAmongOthers = false;
  for (let at = 0; at < index; at += 1) {
    const first = sorted[at];
    if (!first || overlap(first, second) <= OVEN_GRACE_MS) continue;
    shelves += first.shelves;
    if (first.component === second.component) continue;
    isAmongOthers = true;
    if (!fitTogether(first, second, oven.model.tolerance)) return true;
  }
  return isAmongOthers && shelves > oven.shelves;
}

function fitTogether(a: StepPart, b: StepPart, tolerance: number): boolean {
  if (!a.isHot || !b.isHot || a.door === 'ajar' || b.door === 'ajar') return false;
  if (Math.abs(a.celsius - b.celsius) > tolerance) return false;
  if (a.door === 'shut' && b.expectedStart - a.expectedStart > OVEN_GRACE_MS) return false;
  if (b.door === 'shut' && b.expectedEnd - a.expectedEnd > OVEN_GRACE_MS) return false;
  return a.door !== 'shut' || a.expectedEnd - b.expectedEnd <= OVEN_GRACE_MS;
}

const isBusy = ({ hands }: StepPart): boolean => hands === 'busy';

/** Whether hands that are wanted twice are pressing, and soon. Only the first such clash counts. */
function pressing({ told, cooks }: Parts, sorted: StepPart[], look: Look): boolean {
  arrange(told, sorted, isBusy);
  let end = -Infinity;
  for (const [index, second] of sorted.entries()) {
    if (end - second.expectedStart > HANDS_GRACE_MS) {
      const first = holdsHands(sorted, index, second, cooks);
      if (first && isPressing(first, second)) return look.reached(second.expectedStart - HANDS_HORIZON_MS);
    }
    if (second.expectedEnd > end) end = second.expectedEnd;
  }
  return false;
}

/** The last of the steps that have all hands when a step wants them; nothing where there are hands. */
function holdsHands(
  sorted: readonly StepPart[],
  index: number,
  second: StepPart,
  cooks: number,
): StepPart | undefined {
  let count = 0;
  let last: StepPart | undefined;
  for (let at = 0; at < index; at += 1) {
    const first = sorted[at];
    if (!first || overlap(first, second) <= HANDS_GRACE_MS) continue;
    count += 1;
    last = first;
  }
  return count >= cooks ? last : undefined;
}

function isPressing(first: StepPart, { before, within, expectedStart }: StepPart): boolean {
  const free = first.expectedEnd;
  if (before && free > before.expectedEnd + within) return true;
  return free - expectedStart > LONG_WAIT_MS;
}
