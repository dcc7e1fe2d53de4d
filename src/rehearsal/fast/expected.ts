import { fallenFrom, isKnobAt, rightBy, standsAt } from './oven.ts';
import { ENDED, RUNNING, type OvenPart, type SettingPart, type StepPart } from './parts.ts';
import { Look } from './look.ts';

/*
 * How a run is expected to go on, as the bench has it (bench/course.ts), where no temperature is read on the way.
 */

/** A lateness of an oven that is worth a word, in any case and where its knob was forgotten (as the bench has them). */
const LATE_OVEN_MS = 300_000;
const PUNCTUAL_MS = 60_000;
const FORGOTTEN_MS = 120_000;

/** What is expected of the steps of a run, each after those that it is reckoned from. */
export interface Outlook {
  readonly steps: readonly StepPart[];
  /** By place: until when what is expected of a step holds, if nothing that it is reckoned from changes. -Infinity: nothing is known. */
  readonly until: Float64Array;
  /** By place: the last time it was asked for. */
  readonly asked: Float64Array;
  /** How many times something was asked for, and was found to be expected at another time than before. */
  times: number;
  changes: number;
  readonly look: Look;
}

export const outlookOf = (steps: readonly StepPart[]): Outlook => ({
  steps,
  until: new Float64Array(steps.length),
  asked: new Float64Array(steps.length),
  times: 0,
  changes: 0,
  look: new Look(),
});

/** What is reckoned from something that has changed is to be reckoned anew. */
export function stale({ until }: Outlook, steps: readonly StepPart[]): void {
  for (const { place } of steps) until[place] = -Infinity;
}

/** Reckons when a step is expected to start and end; whether that is another time than before. */
export function reckon(outlook: Outlook, step: StepPart, now: number): boolean {
  const { until, look } = outlook;
  const { place, expectedStart, expectedEnd: end } = step;
  if (step.state === ENDED) {
    until[place] = Infinity;
    return false;
  }
  look.at(now);
  if (step.state === RUNNING) step.expectedEnd = expectedEnd(step, look);
  else expectStart(step, look);
  until[place] = look.next;
  if (step.expectedStart === expectedStart && step.expectedEnd === end) return false;
  stale(outlook, step.dependents);
  outlook.changes += 1;
  return true;
}

/** Sees to it that what is expected of a step is right now, where not everything is kept right; notes in `look` until when it is. */
export function ask(outlook: Outlook, step: StepPart, look: Look): void {
  outlook.times += 1;
  refresh(outlook, step, look);
}

function refresh(outlook: Outlook, step: StepPart, look: Look): void {
  const { until, asked, times } = outlook;
  const { place } = step;
  if (step.state === ENDED || asked[place] === times) return;
  asked[place] = times;
  for (const source of step.sources) refresh(outlook, source, look);
  if (!((until[place] ?? 0) > look.now)) reckon(outlook, step, look.now);
  look.reached(until[place] ?? 0);
}

function expectStart(step: StepPart, look: Look): void {
  const due = dueInCourse(step);
  let start = look.reached(due) ? look.anew(due) : due;
  const { oven } = step;
  if (oven && step.isHot && !step.followsInOven) {
    const rightAt = ovenOutlook(step, oven, look);
    step.isLate = rightAt - start > PUNCTUAL_MS && lateOven(step, start, rightAt, look);
    if (rightAt > start) start = rightAt;
  }
  step.expectedStart = start;
  const end = start + step.usual;
  step.expectedEnd = step.isRest && step.toldEnd > end ? step.toldEnd : end;
}

/** When a running step is expected to end: after its usual length; once that has passed, a little later each time. */
export function expectedEnd(step: StepPart, look: Look): number {
  const usual = step.startedAt + step.usual;
  if (step.isRest) {
    const told = step.toldEnd > usual ? step.toldEnd : usual;
    return look.reached(told) ? look.anew(told) : told;
  }
  if (!look.reached(usual)) return usual;
  const high = step.startedAt + step.high;
  if (look.reached(high)) return look.anew(high);
  const anew = look.anew(usual);
  return anew < high ? anew : high;
}

/** When what a step makes can be had by the course. */
export const availableOf = (step: StepPart): number =>
  step.isRest && step.state !== ENDED ? step.expectedStart + step.usual : step.expectedEnd;

/** When a step is due by the course: the ends that are expected. */
function dueInCourse(step: StepPart): number {
  const { before } = step;
  let earliest = before ? before.expectedEnd + step.after : 0;
  if (earliest < 0) earliest = 0;
  for (const need of step.needs) if (need.expectedEnd > earliest) earliest = need.expectedEnd;
  return dueStart(step, earliest, before ? before.expectedEnd : NaN);
}

/**
 * When a step is due that can start at `earliest`, the step before it ending at `endBefore`: at once where the timetable
 * plans no wait, else when it is planned, and held back where what follows it closely would have to wait too long.
 */
export function dueStart(step: StepPart, earliest: number, endBefore: number): number {
  let wanted = step.isAtOnce ? earliest : step.toldStart;
  for (const { needs, hot, shift } of step.ahead) {
    for (const need of needs) {
      const moment = availableOf(need) + shift;
      if (moment > wanted) wanted = moment;
    }
    if (hot?.oven && isKnobAt(hot.oven, true, hot.celsius)) {
      const moment = hot.oven.readyAt + shift;
      if (moment > wanted) wanted = moment;
    }
  }
  if (step.before) {
    const allowed = endBefore + step.within;
    if (allowed < wanted) wanted = allowed;
  }
  return wanted > earliest ? wanted : earliest;
}

let knobDue = NaN;
let behind: StepPart | undefined;

/**
 * When an oven will be right for a waiting step that wants it hot, if the knob is turned when it is due; nothing can be said:
 * -Infinity. Leaves in `knobDue` when the knob was to be turned (NaN where that does not matter), in `behind` the load that
 * has to come out first.
 */
function ovenOutlook(step: StepPart, oven: OvenPart, look: Look): number {
  knobDue = NaN;
  behind = undefined;
  for (const other of step.earlierIn) if (other.state !== ENDED) behind = other;
  if (!behind && isKnobAt(oven, true, step.celsius)) return oven.readyAt;
  const setting = settingFor(step);
  if (!setting && behind) return -Infinity;
  const due = knobMoment(step, setting ? setting.at : 0);
  const at = look.reached(due) ? look.anew(due) : due;
  if (!behind) {
    knobDue = due;
    return rightBy(oven, standsAt(oven, at), step.celsius, at);
  }
  const hot = behind.isHot ? behind.celsius : oven.model.ambient;
  const isOff = behind.settings.some(({ isHot }) => !isHot);
  const from = isOff ? fallenFrom(oven, hot, at - behind.expectedEnd) : hot;
  return rightBy(oven, from, step.celsius, at);
}

function settingFor({ settings, celsius }: StepPart): SettingPart | undefined {
  for (const setting of settings) if (setting.isHot && setting.celsius === celsius) return setting;
  return undefined;
}

/** When the knob is to be turned ahead of a step: when it is planned, and not before what bakes there is out. */
export function knobMoment(step: StepPart, planned: number): number {
  let at = planned;
  for (const other of step.earlierIn) if (other.expectedEnd > at) at = other.expectedEnd;
  return at;
}

/** Whether an oven that is right too late for a step is a reason for a new timetable. */
function lateOven(step: StepPart, wanted: number, rightAt: number, look: Look): boolean {
  const { before } = step;
  const breaksWindow = before !== undefined && rightAt > before.expectedEnd + step.within;
  const isForgotten = !Number.isNaN(knobDue) && look.reached(knobDue + FORGOTTEN_MS);
  if (!breaksWindow && !isForgotten && rightAt - wanted <= LATE_OVEN_MS) return false;
  // An oven that is late by itself sorts itself out, unless the step has a last moment.
  return behind !== undefined || hasLatest(step);
}

/** Whether there is a last moment at which a step can start without breaking a window. */
function hasLatest({ before, within, needs }: StepPart): boolean {
  if (before && before.state === ENDED && within < Infinity) return true;
  for (const need of needs)
    if (!need.next && need.component.keeps < Infinity && need.component.current === undefined) return true;
  return false;
}

/** The last moment at which a step can start without breaking a window; Infinity where there is none. */
export function latestStart(step: StepPart, endBefore: number): number {
  let latest = step.before ? endBefore + step.within : Infinity;
  for (const need of step.needs) {
    const { keeps, current, finishedAt } = need.component;
    if (need.next || keeps === Infinity || current !== undefined) continue;
    const at = finishedAt + keeps - step.usual;
    if (at < latest) latest = at;
  }
  return latest;
}
