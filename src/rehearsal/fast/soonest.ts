import type { Parts } from './assemble.ts';
import { expectedEnd } from './expected.ts';
import type { Look } from './look.ts';
import { isKnobAt, rightBy, standsAt } from './oven.ts';
import { ENDED, RUNNING, WAITING, type OvenPart, type StepPart } from './parts.ts';

/*
 * How soon each plan can be ready, as the bench has it (bench/soonest.ts): a serial schedule of what is left, in the
 * timetable's order of hands and ovens.
 */

/** The least that any plan that is not yet served has in hand before its service; Infinity where all are. */
export function marginOf(
  { told, serial, plans, ovens, cooks }: Parts,
  hands: Float64Array,
  look: Look,
): number {
  for (const oven of ovens) oven.hasLast = false;
  for (let cook = 0; cook < cooks; cook += 1) hands[cook] = -Infinity;
  for (const step of told) {
    if (step.state !== RUNNING) continue;
    step.soonestEnd = step.isRest ? step.startedAt + step.usual : expectedEnd(step, look);
    take(step, hands);
  }
  for (const step of serial) step.isListed = step.state !== WAITING;
  for (const step of serial) {
    if (step.state !== WAITING) continue;
    const start = soonestStart(step, look);
    const free = step.hands === 'busy' ? firstFree(hands) : start;
    let from = start > free ? start : free;
    if (step.oven) {
      const hot = ovenFrom(step, step.oven, from, look);
      if (hot > from) from = hot;
    }
    step.soonestEnd = from + step.usual;
    step.isListed = true;
    take(step, hands);
  }
  let margin = Infinity;
  for (const plan of plans) {
    if (plan.isServed) continue;
    let ready = -Infinity;
    for (const { steps } of plan.components)
      for (const step of steps) {
        const end = step.state === ENDED ? step.endedAt : step.soonestEnd;
        if (end > ready) ready = end;
      }
    if (plan.service.at - ready < margin) margin = plan.service.at - ready;
  }
  return margin;
}

function take({ hands: kind, oven, soonestEnd, isHot, celsius }: StepPart, hands: Float64Array): void {
  if (kind === 'busy') {
    const first = indexOfFirst(hands);
    if (soonestEnd > (hands[first] ?? 0)) hands[first] = soonestEnd;
  }
  if (!oven) return;
  oven.hasLast = true;
  oven.lastEnd = soonestEnd;
  oven.lastHot = isHot ? celsius : oven.model.ambient;
}

function indexOfFirst(hands: Float64Array): number {
  let first = 0;
  for (let cook = 1; cook < hands.length; cook += 1)
    if ((hands[cook] ?? 0) < (hands[first] ?? 0)) first = cook;
  return first;
}

const firstFree = (hands: Float64Array): number => hands[indexOfFirst(hands)] ?? 0;

function soonestStart(step: StepPart, look: Look): number {
  const { before } = step;
  let earliest = 0;
  let isPossible = true;
  let endBefore = NaN;
  if (before) {
    endBefore = before.state === ENDED ? before.endedAt : before.soonestEnd;
    isPossible = before.state === ENDED;
    if (endBefore + step.after > earliest) earliest = endBefore + step.after;
  }
  for (const need of step.needs) {
    const end = need.state === ENDED ? need.endedAt : need.soonestEnd;
    if (need.state !== ENDED) isPossible = false;
    if (end > earliest) earliest = end;
  }
  if (!isPossible) return earliest;
  const due = dueSoonest(step, earliest, endBefore);
  if (!look.reached(due)) return earliest;
  const anew = look.anew(due);
  return anew > earliest ? anew : earliest;
}

/** When a step that is possible is due, as far as the schedule has come. */
function dueSoonest(step: StepPart, earliest: number, endBefore: number): number {
  let wanted = step.isAtOnce ? earliest : step.toldStart;
  for (const { needs, hot, shift } of step.ahead) {
    for (const need of needs) {
      const there = need.state === ENDED ? need.endedAt : need.isListed ? need.soonestEnd : earliest;
      if (there + shift > wanted) wanted = there + shift;
    }
    if (hot?.oven && isKnobAt(hot.oven, true, hot.celsius) && hot.oven.readyAt + shift > wanted)
      wanted = hot.oven.readyAt + shift;
  }
  if (step.before && endBefore + step.within < wanted) wanted = endBefore + step.within;
  return wanted > earliest ? wanted : earliest;
}

/** When the oven can take a step that may start at `from`, after the load before it. */
export function ovenFrom(step: StepPart, oven: OvenPart, from: number, look: Look): number {
  if (!step.isHot || step.followsInOven) return from;
  if (oven.hasLast) {
    if (step.settings.length === 0) return from;
    return Math.max(from, rightBy(oven, oven.lastHot, step.celsius, oven.lastEnd));
  }
  if (isKnobAt(oven, true, step.celsius)) return Math.max(from, oven.readyAt);
  const [asked] = step.settings;
  const overdue = asked && look.reached(asked.at) ? look.anew(asked.at) : -Infinity;
  const set = Math.max(0, oven.setAt, overdue);
  return Math.max(from, rightBy(oven, standsAt(oven, set), step.celsius, set));
}
