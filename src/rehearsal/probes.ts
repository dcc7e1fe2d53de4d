import { boilingPoint, usualProbe } from '../heat/index.ts';
import type { Kitchen, ProbeGoal, Step, Trigger } from '../plan/index.ts';
import {
  celsius,
  seconds,
  temperatureOf,
  type Celsius,
  type Seconds,
  type Temperature,
} from '../units/index.ts';

type ProbeTrigger = Extract<Trigger, { kind: 'probe' }>;

/** A probe reads this often; in a long step more seldom, but never so seldom that it could be taken for silent. */
const EVERY = seconds(30);
const READINGS = 60;
const MOST_SELDOM = seconds(100);

/** How clear of a goal's edge a reading is on either side, in degrees, so that a rounded figure is so too. */
const CLEAR = 0.15;

/** The first goal of each probe that a step's trigger asks for. Of probes that are asked for together each has the same one. */
export function probesOf(step: Step): readonly ProbeTrigger[] {
  const found: ProbeTrigger[] = [];
  const add = (trigger: ProbeTrigger): void => {
    if (!found.some(({ probe }) => probe === trigger.probe)) found.push(trigger);
  };
  const walk = (trigger: Trigger): void => {
    switch (trigger.kind) {
      case 'cue':
        break;
      case 'probe':
        add(trigger);
        break;
      case 'join':
        for (const probe of trigger.probes)
          add({ kind: 'probe', probe, goal: trigger.goal, lasting: trigger.lasting });
        break;
      case 'any':
      case 'all':
        for (const part of trigger.of) walk(part);
        break;
    }
  };
  if (step.until) walk(step.until);
  return found;
}

/** Moments of a probe in a step, counted in seconds from the step's start. */
interface Course {
  /** When it first reads inside its goal. */
  readonly crosses: Seconds;
  /** When it has held the goal long enough: the drawn end of the step. */
  readonly holds: Seconds;
  readonly every: Seconds;
}

function courseOf(duration: Seconds, lasting: Seconds): Course {
  const crosses = seconds(Math.max(duration - lasting, Math.ceil(duration / 2)));
  return {
    crosses,
    holds: seconds(crosses + lasting),
    every: seconds(Math.min(MOST_SELDOM, Math.max(EVERY, Math.ceil(duration / READINGS)))),
  };
}

/** When the next reading after the one at `last` is taken: every so often, and at the two moments that count. */
function nextMoment({ crosses, holds, every }: Course, last: Seconds): Seconds {
  const regular = seconds(last + every);
  if (last < crosses) return seconds(Math.min(regular, crosses));
  if (last < holds) return seconds(Math.min(regular, holds));
  return regular;
}

/** The goal's edge on the side a probe comes from, and the temperature it is on its way to. */
function headingOf(goal: ProbeGoal, from: Celsius): { readonly edge: number; readonly towards: number } {
  switch (goal.kind) {
    case 'reaches':
      return { edge: goal.to.celsius, towards: goal.to.celsius + Math.max(2, goal.to.celsius * 0.1) };
    case 'falls to':
      return { edge: goal.to.celsius, towards: colderThan(goal.to.celsius) };
    case 'between':
      return from < goal.low.celsius
        ? { edge: goal.low.celsius, towards: goal.high.celsius }
        : { edge: goal.high.celsius, towards: goal.low.celsius };
  }
}

/** Where something is on its way to that is to fall to `goal`, C. */
const colderThan = (goal: number): number => goal - Math.max(2, Math.abs(goal) * 0.2);

/**
 * After what share of the time in which it falls from one temperature to its goal something has passed a third one in between,
 * C: by the same law as its readings.
 */
export function shareOfFall(from: number, goal: number, passes: number): number {
  if (passes <= goal) return 1;
  if (passes >= from) return 0;
  const end = colderThan(goal);
  return Math.log((from - end) / (passes - end)) / Math.log((from - end) / (goal - end));
}

/** Where a step's probe begins when nothing has been read that says so: ingredients from the room, a mass from the fire. */
const ROOM = celsius(20);
const COLD_FROM_ROOM = 10;

function beginsAt(goal: ProbeGoal, lastRead: Celsius | undefined): Celsius {
  switch (goal.kind) {
    case 'reaches':
      return lastRead !== undefined && lastRead < goal.to.celsius
        ? lastRead
        : celsius(Math.min(ROOM, goal.to.celsius - 15));
    case 'falls to':
      if (lastRead !== undefined && lastRead > goal.to.celsius) return lastRead;
      return goal.to.celsius < COLD_FROM_ROOM ? ROOM : celsius(goal.to.celsius + 60);
    case 'between':
      if (lastRead !== undefined && (lastRead < goal.low.celsius || lastRead > goal.high.celsius))
        return lastRead;
      return goal.high.celsius > 60 ? ROOM : celsius(goal.high.celsius + 50);
  }
}

/** A reading to come, counted in seconds from the step's start. */
export interface ComingReading {
  readonly after: Seconds;
  readonly temperature: Temperature;
}

/** The last reading of a probe; `after` is negative where it was taken before the step began. */
export interface LastReading {
  readonly after: Seconds;
  readonly celsius: Celsius;
}

/**
 * The next reading of a probe in a step that lasts `duration`. The temperature approaches its end as
 * T = towards + (T0 - towards) e^(-t/tau), Newton's law of cooling, with tau such that the goal is held for as long as the
 * trigger asks exactly when the drawn duration is over. The law has no memory: the last reading is all it needs.
 */
export function nextReading(
  trigger: ProbeTrigger,
  duration: Seconds,
  last: LastReading | undefined,
): ComingReading {
  const course = courseOf(duration, trigger.lasting);
  const read =
    last && last.after >= 0 ? last : { after: seconds(0), celsius: beginsAt(trigger.goal, last?.celsius) };
  const after = nextMoment(course, read.after);
  const { edge, towards } = headingOf(trigger.goal, read.celsius);
  const clear = Math.sign(towards - edge) * CLEAR;
  if (after >= course.crosses) return { after, temperature: inScaleOf(trigger.goal, edge + clear) };
  // What is beyond its goal already, by nonsense that was believed, stays there.
  const way = (read.celsius - towards) / (edge - clear - towards);
  const whole = way > 1 ? Math.log(way) : 0;
  const share = (after - read.after) / (course.crosses - read.after);
  const value = towards + (read.celsius - towards) * Math.exp(-whole * share);
  return { after, temperature: inScaleOf(trigger.goal, value) };
}

/** What a probe shows in a body that is clearly within its goal, C: its own error and the kitchen's height allowed for. */
export function heldAt({ probe, goal, fromBoiling }: ProbeTrigger, { altitude, probes }: Kitchen): number {
  const lowered = fromBoiling ? boilingPoint(0) - boilingPoint(altitude) : 0;
  const truth = within(goal) - lowered;
  const { iceWater, boilingWater } = probes?.find(({ name }) => name === probe) ?? usualProbe(probe);
  if (boilingWater === undefined) return truth + iceWater;
  return iceWater + (truth * (boilingWater - iceWater)) / boilingPoint(altitude);
}

function within(goal: ProbeGoal): number {
  switch (goal.kind) {
    case 'reaches':
      return goal.to.celsius + CLEAR;
    case 'falls to':
      return goal.to.celsius - CLEAR;
    case 'between':
      return (goal.low.celsius + goal.high.celsius) / 2;
  }
}

/** To a tenth of a degree, in the scale in which the plan names the goal. */
export function inScaleOf(goal: ProbeGoal, value: number): Temperature {
  const scale = goal.kind === 'between' ? goal.low.scale : goal.to.scale;
  const figure = scale === 'C' ? value : (value * 9) / 5 + 32;
  return temperatureOf(Math.round(figure * 10) / 10, scale);
}
