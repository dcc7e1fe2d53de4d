import type { Parts } from './assemble.ts';
import type { Draws } from './draws.ts';
import { ask, availableOf, dueStart, knobMoment, latestStart, type Outlook } from './expected.ts';
import type { Look } from './look.ts';
import type { NextAct } from './next-act.ts';
import { isKnobAt } from './oven.ts';
import {
  ENDED,
  RUNNING,
  WAITING,
  type OvenPart,
  type SettingPart,
  type StepPart,
  type Use,
} from './parts.ts';

/*
 * The calls that the bench would raise (bench/calls.ts), and when the cook answers them (rehearsal/cook.ts and hands.ts). A call
 * opens before it is due, and the cook answers no sooner than it is due: so it makes no difference when it opens, and no call
 * is looked at that could only be answered after something else has happened.
 */

/** A call that has to be answered within this comes before others. */
const PRESSING_MS = 120_000;

/** A rehearsal under way. */
export interface Playing {
  readonly parts: Parts;
  readonly draws: Draws;
  readonly look: Look;
  readonly next: NextAct;
  readonly outlook: Outlook;
  /** Whether the whole course is kept right, or reckoned only as far as calls hang on it. */
  isWatched: boolean;
  /** Whether a call hangs on what is expected. */
  hangsOnCourse: boolean;
  /** When the clock next ends a step. */
  clockAt: number;
  /** How many steps have busy hands, and how many want to be looked after. */
  busy: number;
  near: number;
  /** When hands last became free, whether or not they had to. */
  handsFreedAt: number;
  /** How many services went out. */
  served: number;
}

/** Finds what happens next by nature or by the cook, and notes when the clock has to be asked again. */
export function findNext(playing: Playing): void {
  const { parts, next } = playing;
  next.clear();
  playing.clockAt = Infinity;
  playing.hangsOnCourse = false;
  for (const { current } of parts.components) {
    if (current?.state !== RUNNING) continue;
    if (current.byProbe) next.end(current.doneAt, 'read', current);
    if (current.byClock) {
      const over = current.startedAt + current.low;
      if (over < playing.clockAt) playing.clockAt = over;
    }
  }
  for (const { current } of parts.components)
    if (current?.state === RUNNING && current.byCook) next.end(current.pressAt, 'end', current);
  for (const { current } of parts.components) {
    if (!current) continue;
    if (current.state === WAITING) callStart(playing, current);
    else callRunning(playing, current);
  }
  for (const setting of parts.settings) callKnob(playing, setting);
  callService(playing);
}

function callRunning(playing: Playing, step: StepPart): void {
  if (step.turn < Infinity && !step.isTurned) callTurn(playing, step);
  if (!step.isRest) return;
  if (!step.endsItself) callDone(playing, step);
  else if (step.next) callStart(playing, step.next);
}

/** When a step may be taken as ended by one that follows it; NaN where it may not. */
function availableFrom(step: StepPart): number {
  if (step.state === ENDED) return step.endedAt;
  if (step.state !== RUNNING || !step.endsItself) return NaN;
  return Math.max(step.startedAt + step.low, step.toldEnd);
}

function callStart(playing: Playing, step: StepPart): void {
  const { next, draws, parts } = playing;
  const { before, needs, oven } = step;
  let endBefore = NaN;
  let earliest = 0;
  if (before) {
    endBefore = availableFrom(before);
    if (Number.isNaN(endBefore)) return;
    if (endBefore + step.after > 0) earliest = endBefore + step.after;
  }
  for (const need of needs) {
    const end = availableFrom(need);
    if (Number.isNaN(end)) return;
    if (end > earliest) earliest = end;
  }
  if (step.hands === 'busy' && playing.busy >= parts.cooks) return;
  if (earliest > next.at) return;
  let due = dueOf(playing, step, earliest, endBefore);
  if (Number.isNaN(due)) return;
  if (oven) {
    const ready = rightFor(oven, step);
    if (ready > due && !justOpened(oven, step, playing.look)) due = ready;
  }
  if (due > next.at) return;
  if (oven && isTaken(oven, step, playing.look)) return;
  const free = freeSince(playing, step);
  if (Number.isNaN(free)) return;
  if (step.startDelay < 0) step.startDelay = draws.delay(step.draws.start);
  const latest = latestStart(step, endBefore);
  const at = (due > free ? due : free) + step.startDelay;
  if (!next.answer(at, due, latest, latest - due <= PRESSING_MS)) return;
  next.kind = 'start';
  next.step = step;
}

/**
 * When a step that can start is due. Where it may be held back for something else that is not there yet, this hangs on what is
 * expected; NaN while it is not yet of any account.
 */
function dueOf(playing: Playing, step: StepPart, earliest: number, endBefore: number): number {
  const { look, next } = playing;
  for (const { needs } of step.ahead) {
    for (const need of needs) {
      if (need.state === ENDED) continue;
      const least = leastDue(step, earliest, endBefore);
      if (least > next.at || !look.reached(least)) return NaN;
      hangOn(playing, need);
    }
  }
  return dueStart(step, earliest, endBefore);
}

/** A call hangs on what is expected of a step. */
function hangOn(playing: Playing, step: StepPart): void {
  if (step.state === ENDED) return;
  playing.hangsOnCourse = true;
  if (!playing.isWatched) ask(playing.outlook, step, playing.look);
}

/** It is due no earlier than if nothing held it back. */
function leastDue({ isAtOnce, toldStart, within }: StepPart, earliest: number, endBefore: number): number {
  if (isAtOnce) return earliest;
  const wanted = endBefore + within < toldStart ? endBefore + within : toldStart;
  return wanted > earliest ? wanted : earliest;
}

/** Whether what is in an oven keeps a load out: another temperature, a door that must stay shut, no shelf. */
function isTaken(oven: OvenPart, step: StepPart, look: Look): boolean {
  let { shelves } = step;
  for (const other of oven.loads) {
    if (other.state !== RUNNING || other.component === step.component) continue;
    // What it takes out to begin makes room for it.
    if (step.needs.includes(other)) continue;
    shelves += other.shelves;
    if (!other.isHot || !step.isHot) return true;
    if (Math.abs(other.celsius - step.celsius) > oven.model.tolerance) return true;
    if (shelves > oven.shelves) return true;
    if (other.door === 'shut' && !look.reached(other.startedAt + other.low))
      if (!goInTogether(step, other, look)) return true;
  }
  return false;
}

/** What the timetable puts in at one moment goes in by one opening of the door. */
const ONE_OPENING_MS = 60_000;

/** Whether an oven is open for a load, since another that is told to go in with it has just gone in. */
function justOpened(oven: OvenPart, step: StepPart, look: Look): boolean {
  return oven.loads.some((other) => other.state === RUNNING && goInTogether(step, other, look));
}

function goInTogether(step: StepPart, other: StepPart, look: Look): boolean {
  return step.toldStart === other.toldStart && !look.reached(other.startedAt + ONE_OPENING_MS);
}

/** When an oven is right for a step that must find it hot; never while its knob is not set. */
function rightFor(oven: OvenPart, step: StepPart): number {
  if (!step.isHot || step.followsInOven) return 0;
  return isSetTo(oven, step.celsius) || isAsTheRoom(oven, step) ? oven.readyAt : Infinity;
}

/** Whether an oven that is off is warm enough, and its knob is set when the load is in. */
const isAsTheRoom = (oven: OvenPart, { celsius, settings }: StepPart): boolean =>
  isOffButWarm(oven, celsius) && settings.every(({ isHot, at, hotBy }) => !isHot || at === hotBy);

const isOffButWarm = ({ isOn, model }: OvenPart, celsius: number): boolean =>
  !isOn && Math.abs(model.ambient - celsius) <= model.tolerance;

const isSetTo = ({ isOn, goal, model }: OvenPart, celsius: number): boolean =>
  isOn && Math.abs(goal - celsius) <= model.tolerance;

/** Since when the cook has had hands and tools for a step; NaN while something has to end first. */
function freeSince({ busy, near, parts, handsFreedAt }: Playing, step: StepPart): number {
  if (step.hands === 'busy' && busy >= parts.cooks) return NaN;
  if (step.hands === 'near' && near >= parts.near) return NaN;
  const own = step.component.index;
  for (const claim of step.uses) if (!isFree(claim, step, own)) return NaN;
  for (const claim of step.holds) if (!isFree(claim, step, own)) return NaN;
  let since = handsFreedAt;
  for (const { item } of step.uses) if (item.freedAt > since) since = item.freedAt;
  return since;
}

/** Whether enough of something is left. A component uses what it holds itself before it takes more. */
function isFree({ item }: Use, step: StepPart, own: number): boolean {
  if (item.stock === Infinity) return true;
  let wanted = 0;
  for (let component = 0; component < item.used.length; component += 1) {
    let used = item.used[component] ?? 0;
    let held = item.held[component] ?? 0;
    // A rest that is over with this start gives back what it used, and what was held until it.
    for (const rest of step.resting) {
      if (rest.state !== RUNNING) continue;
      if (rest.component.index === component)
        for (const claim of rest.uses) if (claim.item === item) used -= claim.count;
      for (const { item: kept, count, by } of rest.frees)
        if (kept === item && by.component.index === component && by.state !== WAITING) held -= count;
    }
    if (component === own) {
      for (const claim of step.uses) if (claim.item === item) used += claim.count;
      for (const claim of step.holds) if (claim.item === item) held += claim.count;
    }
    wanted += used > held ? used : held;
  }
  return wanted <= item.stock;
}

function callTurn({ next, draws }: Playing, step: StepPart): void {
  const due = step.startedAt + step.turn;
  if (due > next.at) return;
  if (step.turnDelay < 0) step.turnDelay = draws.delay(step.draws.turn);
  // Of medium priority, whenever it is.
  if (!next.answer(due + step.turnDelay, due, Infinity, true)) return;
  next.kind = 'turn';
  next.step = step;
}

/** A rest that somebody has to end: when it is wanted, and nature has had enough. */
function callDone(playing: Playing, step: StepPart): void {
  const { look, next, draws } = playing;
  const enough = step.startedAt + step.low;
  const least = Math.max(enough, step.toldEnd);
  if (Math.max(least, step.doneAt) > next.at) return;
  if (step.users.length > 0 && !step.isTakenOut && !look.reached(least)) return;
  const due = Math.max(enough, wantedAt(playing, step));
  if (step.doneDelay < 0) step.doneDelay = draws.delay(step.draws.done);
  const at = Math.max(due, step.doneAt) + step.doneDelay;
  if (!next.answer(at, due, step.startedAt + step.atMost, false)) return;
  next.kind = 'done';
  next.step = step;
}

/** When what rests is wanted: as told, or later where all that need it are late. */
function wantedAt(playing: Playing, rest: StepPart): number {
  const { next, users, toldEnd } = rest;
  if (next || users.length === 0 || rest.isTakenOut) return toldEnd;
  let wanted = Infinity;
  for (const user of users) {
    let at = toldEnd;
    for (const need of user.needs) {
      if (need === rest) continue;
      hangOn(playing, need);
      const there = availableOf(need);
      if (there > at) at = there;
    }
    if (user.before) {
      hangOn(playing, user.before);
      at = Math.max(at, availableOf(user.before) + user.after);
    }
    if (at < wanted) wanted = at;
  }
  return wanted;
}

function callKnob({ next, draws }: Playing, setting: SettingPart): void {
  const { oven, step, isHot, celsius } = setting;
  const isAfterLoad = !isHot && step.isHot;
  if (isAfterLoad ? step.state !== ENDED : step.state === ENDED) return;
  // Ahead of a load it is never due before it was told to be.
  if ((!isAfterLoad && setting.at > next.at) || isKnobAt(oven, isHot, celsius)) return;
  const due = knobDue(setting);
  if (Number.isNaN(due)) return;
  if (setting.delay < 0) setting.delay = draws.delay(setting.letters);
  const at = Math.max(due, oven.emptiedAt) + setting.delay;
  if (!next.answer(at, due, Infinity, false)) return;
  next.kind = 'knob';
  next.step = step;
  next.setting = setting;
}

/** When a knob is to be turned by a call of its own; NaN while it is not. */
function knobDue({ oven, step, isHot, celsius, at, hotBy, unless }: SettingPart): number {
  if (!isHot && step.isHot) {
    // Off after the last load that is told by then, unless the knob was turned since for a later one.
    let out = step.endedAt;
    for (const other of oven.loads) {
      if (other !== step && other.toldStart >= at) continue;
      if (other.state !== ENDED) return NaN;
      if (other.endedAt > out) out = other.endedAt;
    }
    return oven.setAt < out ? out : NaN;
  }
  if (step.state === RUNNING) return at > step.startedAt ? at : NaN;
  if (step.state !== WAITING) return NaN;
  if (at === hotBy && (!isHot || step.followsInOven || isSetTo(oven, celsius) || isOffButWarm(oven, celsius)))
    return NaN;
  for (const other of unless) if (other.step.state === WAITING) return NaN;
  for (const other of step.earlierIn) if (other.state !== ENDED) return NaN;
  for (const other of oven.loads) {
    if (other.state !== RUNNING || other === step) continue;
    if (other.isHot !== isHot || Math.abs(other.celsius - celsius) > oven.model.tolerance) return NaN;
  }
  return knobMoment(step, at);
}

function callService({ parts, next, served }: Playing): void {
  const service = parts.services[served];
  if (!service) return;
  for (const plan of service.plans) if (plan.open > 0) return;
  if (next.answer(service.at, service.at, Infinity, false)) next.kind = 'serve';
}
