import type { Parts } from './assemble.ts';
import type { Look } from './look.ts';
import { rightBy } from './oven.ts';
import { ENDED, RUNNING, WAITING, type OvenPart, type StepPart } from './parts.ts';
import { ovenFrom } from './soonest.ts';

/*
 * Whether there is surely time enough before every service, found out without the soonest schedule of everything that is left.
 *
 * In that schedule each thing begins when the last of some others is over: what it follows and needs, the busy step and the load
 * that come before it. So how long after the end of a step its service can be ready is the longest way from the one to the
 * other, and it is known before the run begins: each step has a latest end. While everything that goes on or can begin keeps
 * its own, the margin is not below what counts as late. Hands that are in fact more than two, and things done out of turn, make
 * these ends earlier than they need be. Where one is not kept, the schedule itself is asked.
 */

/** Less in hand than this is lateness (as the bench has it), ms. */
export const LATE_MS = -60_000;
/** The least growing step in which something overdue is expected anew; later ones are no longer than it is overdue (see `Look.anew`). */
const STEP_MS = 60_000;

/** How far the steps of a run have been gone through, in the order of the soonest schedule. */
export interface Turns {
  /** Steps that want both hands, and the first of them that waits. */
  readonly busy: readonly StepPart[];
  nextBusy: number;
  /** Whether a run that is prompt has time enough at all. */
  readonly isAmple: boolean;
  /** A step ended after its latest end: from then on the schedule is asked. */
  isTight: boolean;
}

/** Gives each step its latest end. */
export function turnsOf({ serial }: Parts): Turns {
  const busy = serial.filter(({ hands }) => hands === 'busy');
  for (const step of serial) step.latestEnd = step.component.plan.service.at - LATE_MS;
  let isAmple = true;
  for (const step of serial.toReversed()) {
    const after = busy[busy.indexOf(step) + 1];
    if (step.hands === 'busy' && after) atMost(step, after.latestEnd - after.usual);
    if (step.oven) {
      const load = step.oven.inTurn[step.oven.inTurn.indexOf(step) + 1];
      if (load && waitsForHeat(load)) atMost(step, load.latestEnd - load.usual - wayTo(load, step));
    }
    const start = step.latestEnd - step.usual;
    if (step.before) atMost(step.before, start - step.after);
    for (const need of step.needs) atMost(need, start);
    if (start < 0) isAmple = false;
  }
  return { busy, nextBusy: 0, isAmple, isTight: !isAmple };
}

function atMost(step: StepPart, latest: number): void {
  if (latest < step.latestEnd) step.latestEnd = latest;
}

const waitsForHeat = ({ isHot, followsInOven, settings }: StepPart): boolean =>
  isHot && !followsInOven && settings.length > 0;

/** How long an oven takes from what one load wants to what another does, ms. */
const wayTo = (load: StepPart, from: StepPart): number =>
  from.oven ? rightBy(from.oven, from.isHot ? from.celsius : from.oven.model.ambient, load.celsius, 0) : 0;

/** Until when there is surely time enough, if nothing else happens; -Infinity where only the schedule can tell. */
export function ampleUntil({ components, ovens }: Parts, turns: Turns, look: Look): number {
  if (turns.isTight) return -Infinity;
  const { now } = look;
  let until = Infinity;
  let handsFree = -Infinity;
  for (const { current } of components) {
    if (!current) continue;
    if (current.state === RUNNING) {
      const end = current.isRest ? current.startedAt + current.usual : current.expectedEnd;
      if (end > current.latestEnd) return -Infinity;
      if (current.hands === 'busy' && end > handsFree) handsFree = end;
    } else if (isPossible(current)) {
      const holds = startsInTime(current);
      if (holds <= now) return -Infinity;
      if (holds < until) until = holds;
    }
  }
  const { busy } = turns;
  while (busy[turns.nextBusy] && busy[turns.nextBusy]?.state !== WAITING) turns.nextBusy += 1;
  const next = busy[turns.nextBusy];
  if (next && handsFree + next.usual > next.latestEnd) return -Infinity;
  look.at(now);
  for (const oven of ovens) if (!isHotInTime(oven, look)) return -Infinity;
  return look.next < until ? look.next : until;
}

function isPossible({ needs }: StepPart): boolean {
  for (const need of needs) if (need.state !== ENDED) return false;
  return true;
}

/**
 * Until when a step that can begin begins in time, however long it is overdue. It is due no earlier than `least`; from then on
 * it is expected anew in steps that are no longer than a minute or than it is overdue.
 */
function startsInTime(step: StepPart): number {
  const { before, latestEnd, usual } = step;
  let earliest = 0;
  for (const need of step.needs) if (need.endedAt > earliest) earliest = need.endedAt;
  let least = step.toldStart;
  if (before) {
    if (before.endedAt + step.after > earliest) earliest = before.endedAt + step.after;
    if (before.endedAt + step.within < least) least = before.endedAt + step.within;
  }
  if (step.isAtOnce || earliest > least) least = earliest;
  const latest = latestEnd - usual;
  return Math.max(least, Math.min(latest - STEP_MS, Math.floor((latest + least) / 2)));
}

/** Whether the next load finds its oven hot in time. Loads that went in out of turn are left to the schedule. */
function isHotInTime(oven: OvenPart, look: Look): boolean {
  const { inTurn, started } = oven;
  const next = inTurn[started];
  for (let at = 0; at < started; at += 1) if (inTurn[at]?.state === WAITING) return false;
  if (!next || !next.isHot || next.followsInOven) return true;
  const latest = next.latestEnd - next.usual;
  oven.hasLast = false;
  for (let at = 0; at < started; at += 1) {
    const load = inTurn[at];
    if (load?.state !== RUNNING) continue;
    oven.hasLast = true;
    const end = load.isRest ? load.startedAt + load.usual : load.expectedEnd;
    if (next.settings.length > 0 && end + wayTo(next, load) > latest) return false;
  }
  return oven.hasLast || ovenFrom(next, oven, 0, look) <= latest;
}
