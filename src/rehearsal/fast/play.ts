import { USUAL_MANNER } from '../cook.ts';
import { assemble, type Parts } from './assemble.ts';
import { findNext, type Playing } from './calls.ts';
import type { Course, PlayedRun } from './course.ts';
import { Draws } from './draws.ts';
import { outlookOf, stale } from './expected.ts';
import { Look } from './look.ts';
import { NextAct } from './next-act.ts';
import { putIn, turnKnob, turnRound } from './oven.ts';
import { ENDED, NEVER, RUNNING, WAITING, type StepPart } from './parts.ts';
import { readingsAreSimple } from './probes-alone.ts';
import { playReal } from './real.ts';
import { changed, wantsNew, watchAnew, watchCourse, watchingOf, type Watching } from './wanting.ts';
import { judge } from './windows.ts';

/** Looks after which a rehearsal is taken to come to no end. */
const MOST_LOOKS = 6000;

/** The moving parts of a course, made when it is first played. Nothing where only the real bench can play it. */
interface Stage extends Playing {
  readonly watching: Watching;
  /** Something was done since the last look; until when what was found of calls holds otherwise. */
  isMoved: boolean;
  callsUntil: number;
}
const stages = new WeakMap<Course, Stage | 'bench only'>();

function stageOf(course: Course): Stage | 'bench only' {
  const known = stages.get(course);
  if (known) return known;
  const { workload, rundown, keeps } = course.played;
  // A presenter cuts and stretches what is shown, and calls that keep a promise wait and hurry: the bench alone reckons that.
  const isKnown = rundown === undefined && keeps === undefined && readingsAreSimple(workload);
  const made = isKnown ? newStage(course) : 'bench only';
  stages.set(course, made);
  return made;
}

function newStage({ played, life }: Course): Stage {
  const parts = assemble(played, life);
  return {
    parts,
    draws: new Draws(life, USUAL_MANNER),
    look: new Look(),
    next: new NextAct(),
    outlook: outlookOf(parts.inCourse),
    watching: watchingOf(parts),
    isWatched: true,
    hangsOnCourse: false,
    clockAt: Infinity,
    isMoved: true,
    callsUntil: -Infinity,
    busy: 0,
    near: 0,
    handsFreedAt: NEVER,
    served: 0,
  };
}

/**
 * Plays one rehearsal without new timetables, and writes its outcome. It takes the very course that {@link playReal} takes, to
 * the millisecond, some hundred times as fast. The same course and seed give the same outcome.
 */
export function play(course: Course, seed: number, out: PlayedRun): void {
  const stage = stageOf(course);
  if (stage === 'bench only') {
    playReal(course, seed, out);
    return;
  }
  const { parts, next } = stage;
  begin(stage, seed);
  out.seed = seed;
  out.leftAt = NaN;
  out.servedAt.fill(NaN);
  let now = 0;
  for (let looks = 0; looks < MOST_LOOKS && stage.served < parts.services.length; looks += 1) {
    if (stage.clockAt <= now) runClocks(parts, stage, now);
    const until = lookAt(stage, now, out);
    // A deadline comes before an act at the same moment, as it does in the keeper.
    if (until <= next.at) {
      if (until === Infinity) break;
      now = Math.max(now, until);
    } else {
      now = Math.max(now, next.at);
      perform(stage, now, out);
    }
  }
  write(course, parts, out);
}

/** Looks at the whole bench: whether a new timetable is wanted, as far as that may have changed, and what happens next. Returns when to look again. */
function lookAt(stage: Stage, now: number, out: PlayedRun): number {
  const { parts, look, watching, outlook } = stage;
  let until = Infinity;
  let isReckonedAnew = stage.isMoved;
  if (stage.isWatched) {
    const before = outlook.changes;
    until = watchCourse(outlook, watching, now);
    isReckonedAnew ||= outlook.changes !== before;
    if (wantsNew(parts, watching, now)) {
      out.leftAt = now;
      stage.isWatched = false;
    }
    until = Math.min(until, watching.handsUntil, watching.marginUntil);
  }
  if (stage.isMoved || stage.callsUntil <= now || (isReckonedAnew && stage.hangsOnCourse)) {
    look.at(now);
    findNext(stage);
    stage.callsUntil = Math.min(look.next, stage.clockAt);
  }
  stage.isMoved = false;
  return Math.min(until, stage.callsUntil);
}

function begin(stage: Stage, seed: number): void {
  const { parts, draws } = stage;
  stage.busy = 0;
  stage.near = 0;
  stage.handsFreedAt = NEVER;
  stage.served = 0;
  stage.isMoved = true;
  stage.callsUntil = -Infinity;
  stage.isWatched = true;
  stage.hangsOnCourse = false;
  stage.clockAt = Infinity;
  stage.outlook.until.fill(-Infinity);
  watchAnew(parts, stage.watching);
  for (const step of parts.steps) {
    step.state = WAITING;
    step.startedAt = NEVER;
    step.endedAt = NEVER;
    step.startDelay = -1;
    step.doneDelay = -1;
    step.turnDelay = -1;
    step.isTurned = false;
    step.expectedStart = NEVER;
    step.isLate = false;
  }
  for (const component of parts.components) {
    component.current = component.steps[0];
    component.finishedAt = NEVER;
  }
  for (const plan of parts.plans) {
    plan.isServed = false;
    plan.open = 0;
    plan.lastEnd = NEVER;
    for (const { steps } of plan.components) plan.open += steps.length;
  }
  for (const item of parts.items) {
    item.used.fill(0);
    item.held.fill(0);
    item.freedAt = NEVER;
  }
  for (const setting of parts.settings) setting.delay = -1;
  for (const oven of parts.ovens) {
    oven.isOn = false;
    oven.setAt = 0;
    oven.phase = 'off';
    oven.readyAt = 0;
    oven.door = 'shut';
    oven.baseAt = 0;
    oven.base = oven.model.ambient;
    oven.soaks = true;
    oven.emptiedAt = NEVER;
    oven.started = 0;
  }
  draws.begin(seed, parts.steps, parts.lucks);
}

/** What the clock ends by itself at a moment. */
function runClocks(parts: Parts, stage: Stage, now: number): void {
  for (const { current } of parts.components) {
    if (current?.state !== RUNNING || !current.byClock) continue;
    const over = current.startedAt + current.low;
    if (over > now) continue;
    end(stage, current, over);
    moved(stage);
  }
}

function moved(stage: Stage): void {
  stage.isMoved = true;
  stage.watching.marginUntil = -Infinity;
}

function perform(stage: Stage, now: number, out: PlayedRun): void {
  const { next, parts, outlook } = stage;
  const { step, setting } = next;
  moved(stage);
  switch (next.kind) {
    case 'none':
      return;
    case 'read':
    case 'end':
    case 'done':
      if (step) end(stage, step, now);
      return;
    case 'start':
      if (step) start(stage, step, now);
      return;
    case 'turn':
      if (step) step.isTurned = true;
      if (!step?.oven) return;
      turnRound(step.oven, now);
      stale(outlook, step.oven.dependents);
      return;
    case 'knob':
      if (!setting) return;
      turnKnob(setting.oven, setting.isHot, setting.celsius, now);
      stale(outlook, setting.oven.dependents);
      return;
    case 'serve':
      for (const plan of parts.services[stage.served]?.plans ?? []) plan.isServed = true;
      out.servedAt[stage.served] = now;
      stage.served += 1;
  }
}

/** Starts a step; the rests that it follows or needs are over with that. */
function start(stage: Stage, step: StepPart, now: number): void {
  if (step.before?.state === RUNNING) end(stage, step.before, now);
  for (const need of step.needs) if (need.state === RUNNING) end(stage, need, now);
  step.state = RUNNING;
  step.startedAt = now;
  step.expectedStart = now;
  step.isLate = false;
  stage.outlook.until[step.place] = -Infinity;
  stale(stage.outlook, step.dependents);
  if (stage.isWatched) changed(stage.watching, step);
  step.doneAt = now + step.drawn * 1000;
  if (step.byClock) stage.clockAt = Math.min(stage.clockAt, now + step.low);
  if (step.byCook) step.pressAt = step.doneAt + stage.draws.delay(step.draws.end);
  if (step.hands === 'busy') stage.busy += 1;
  if (step.hands === 'near') stage.near += 1;
  const own = step.component.index;
  for (const { item, count } of step.uses) item.used[own] = (item.used[own] ?? 0) + count;
  for (const { item, count } of step.holds) item.held[own] = (item.held[own] ?? 0) + count;
  if (!step.oven) return;
  step.oven.started += 1;
  putIn(step.oven, step, now);
  stale(stage.outlook, step.oven.dependents);
}

function end(stage: Stage, step: StepPart, now: number): void {
  const { component, oven } = step;
  const at = Math.max(now, step.startedAt);
  step.state = ENDED;
  step.endedAt = at;
  step.expectedEnd = at;
  stale(stage.outlook, step.dependents);
  if (stage.isWatched) {
    changed(stage.watching, step);
    if (at > step.latestEnd) stage.watching.turns.isTight = true;
  }
  if (step.hands === 'busy') {
    stage.busy -= 1;
    stage.handsFreedAt = Math.max(stage.handsFreedAt, at);
  }
  if (step.hands === 'near') stage.near -= 1;
  for (const { item, count } of step.uses) {
    item.used[component.index] = (item.used[component.index] ?? 0) - count;
    item.freedAt = Math.max(item.freedAt, at);
  }
  for (const { item, count, by } of step.frees) {
    if (by.state !== WAITING) item.held[by.component.index] = (item.held[by.component.index] ?? 0) - count;
  }
  if (oven) oven.emptiedAt = Math.max(oven.emptiedAt, at);
  component.current = step.next;
  component.plan.open -= 1;
  if (at > component.plan.lastEnd) component.plan.lastEnd = at;
  if (!step.next) component.finishedAt = at;
}

function write({ windows }: Course, { steps, services }: Parts, out: PlayedRun): void {
  for (const step of steps) {
    out.starts[step.index] = step.startedAt === NEVER ? NaN : step.startedAt;
    out.ends[step.index] = step.endedAt === NEVER ? NaN : step.endedAt;
    out.drawn[step.index] = step.drawn;
  }
  let late = 0;
  for (const [index, { at }] of services.entries()) {
    const servedAt = out.servedAt[index] ?? NaN;
    late = Math.max(late, Number.isNaN(servedAt) ? Infinity : (servedAt - at) / 1000);
  }
  out.late = late;
  out.leaves = Number.isNaN(out.leftAt) ? 'played' : 'needs bench';
  judge(windows, out);
}
