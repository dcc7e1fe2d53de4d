import { ampleUntil, LATE_MS, turnsOf, type Turns } from './ample.ts';
import type { Parts } from './assemble.ts';
import { reckon, type Outlook } from './expected.ts';
import { Look } from './look.ts';
import { ENDED, RUNNING, WAITING, type OvenPart, type StepPart } from './parts.ts';
import { marginOf } from './soonest.ts';

/*
 * Whether the course that is expected wants a new timetable, as the bench has it for the first time in a run
 * (bench/situations.ts, clashes.ts and alarms.ts).
 */

/** So much later than told, where components meet or a plan is to be ready, is a slip. */
const SLIP_MS = 600_000;
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
  readonly turns: Turns;
  readonly look: Look;
  /** Until when what was found out about the margin and the hands holds, if nothing changes. */
  marginUntil: number;
  handsUntil: number;
  /** All steps that were reckoned before this place, and all that want both hands before this one in their list, are over. */
  firstOpen: number;
  firstBusy: number;
  /** A step was found to be so late, or its oven, that a new timetable is wanted. */
  isWanted: boolean;
}

export const watchingOf = (parts: Parts): Watching => ({
  sorted: [],
  hands: new Float64Array(parts.cooks),
  turns: turnsOf(parts),
  look: new Look(),
  marginUntil: -Infinity,
  handsUntil: -Infinity,
  firstOpen: 0,
  firstBusy: 0,
  isWanted: false,
});

/** Begins to watch a new run. */
export function watchAnew({ ovens }: Parts, watching: Watching): void {
  const { turns } = watching;
  turns.nextBusy = 0;
  turns.isTight = !turns.isAmple;
  watching.marginUntil = -Infinity;
  watching.handsUntil = -Infinity;
  watching.firstOpen = 0;
  watching.firstBusy = 0;
  watching.isWanted = false;
  for (const oven of ovens) oven.isChanged = true;
}

/** Reckons the course anew where its time has come; when it has to be looked at again. */
export function watchCourse(outlook: Outlook, watching: Watching, now: number): number {
  const { steps, until } = outlook;
  let soonest = Infinity;
  while (until[watching.firstOpen] === Infinity && steps[watching.firstOpen]?.state === ENDED)
    watching.firstOpen += 1;
  for (let place = watching.firstOpen; place < until.length; place += 1) {
    if (!((until[place] ?? 0) > now)) {
      const step = steps[place];
      if (step && reckon(outlook, step, now)) changed(watching, step);
      if (step?.isLate) watching.isWanted = true;
    }
    const holds = until[place] ?? 0;
    if (holds < soonest) soonest = holds;
  }
  return soonest;
}

/** A step is expected, or was started or ended, at another time than was expected before. */
export function changed(watching: Watching, step: StepPart): void {
  const { state, oven, component, next } = step;
  if (oven) oven.isChanged = true;
  if (step.hands === 'busy' || next?.hands === 'busy') watching.handsUntil = -Infinity;
  if (state === RUNNING) watching.marginUntil = -Infinity;
  if (state === ENDED) return;
  if (step.meets && state === WAITING && step.expectedStart - step.toldStart >= SLIP_MS)
    watching.isWanted = true;
  if (step.expectedEnd >= component.plan.toldReady + SLIP_MS) watching.isWanted = true;
}

/**
 * Whether a new timetable is wanted for the course as it was reckoned, where none was wanted before. Only what has changed is
 * gone through. `marginUntil` and `handsUntil` tell when to ask again.
 */
export function wantsNew(parts: Parts, watching: Watching, now: number): boolean {
  if (watching.isWanted) return true;
  const { sorted, hands, turns, look } = watching;
  for (const plan of parts.plans)
    if (plan.open > 0 && !plan.isServed && plan.lastEnd >= plan.toldReady + SLIP_MS) return true;
  for (const oven of parts.ovens) if (oven.isChanged && clashes(oven, sorted)) return true;
  if (watching.handsUntil <= now && pressing(parts, watching, now)) return true;
  if (watching.marginUntil > now) return false;
  watching.marginUntil = Infinity;
  if (parts.plans.every(({ open }) => open === 0)) return false;
  look.at(now);
  watching.marginUntil = ampleUntil(parts, turns, look);
  if (watching.marginUntil > now) return false;
  look.at(now);
  if (marginOf(parts, hands, look) < LATE_MS) return true;
  watching.marginUntil = look.next;
  return false;
}

/** Puts a step among others in the order in which they are expected to start; at one moment they keep theirs. */
function insert(sorted: StepPart[], step: StepPart): void {
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

const overlap = (a: StepPart, b: StepPart): number =>
  Math.min(a.expectedEnd, b.expectedEnd) - Math.max(a.expectedStart, b.expectedStart);

function clashes(oven: OvenPart, sorted: StepPart[]): boolean {
  oven.isChanged = false;
  sorted.length = 0;
  for (const load of oven.loads) if (load.state !== ENDED) insert(sorted, load);
  let end = -Infinity;
  for (let index = 0; index < sorted.length; index += 1) {
    const second = sorted[index];
    if (!second) break;
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

/** Whether hands that are wanted twice are pressing, and soon: what starts later than soon is left for then. */
function pressing({ busy, cooks }: Parts, watching: Watching, now: number): boolean {
  const { sorted } = watching;
  sorted.length = 0;
  watching.handsUntil = Infinity;
  while (busy[watching.firstBusy]?.state === ENDED) watching.firstBusy += 1;
  for (let place = watching.firstBusy; place < busy.length; place += 1) {
    const step = busy[place];
    if (!step || step.state === ENDED) continue;
    const told = step.expectedStart - HANDS_HORIZON_MS;
    if (told <= now) insert(sorted, step);
    else if (told < watching.handsUntil) watching.handsUntil = told;
  }
  let end = -Infinity;
  for (let index = 0; index < sorted.length; index += 1) {
    const second = sorted[index];
    if (!second) break;
    if (end - second.expectedStart > HANDS_GRACE_MS) {
      const first = holdsHands(sorted, index, second, cooks);
      if (first && isPressing(first, second)) return true;
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
