import { boilingPoint } from '../heat/index.ts';
import type { ProbeGoal, Step, Trigger } from '../plan/index.ts';
import { plus, secondsBetween, type Celsius, type EpochMs, type Seconds } from '../units/index.ts';
import type { StepRun } from './state.ts';

type Running = Extract<StepRun, { state: 'running' }>;
type ProbeTrigger = Extract<Trigger, { kind: 'probe' }>;
type JoinTrigger = Extract<Trigger, { kind: 'join' }>;
/** A part of a trigger that readings can meet. */
export type ReadTrigger = ProbeTrigger | JoinTrigger;

/** How far a trigger is: met, waiting only for the cook's word, or waiting for something that is measured. */
export type TriggerState = 'met' | 'wants the cook' | 'not yet';

/** Tells the goals of one step apart. */
function goalKey(trigger: ReadTrigger): string {
  const probes = trigger.kind === 'join' ? trigger.probes.join(' + ') : trigger.probe;
  const { goal } = trigger;
  return goal.kind === 'between'
    ? `${probes} between ${goal.low.celsius} ${goal.high.celsius}`
    : `${probes} ${goal.kind} ${goal.to.celsius}`;
}

export const probesIn = (trigger: ReadTrigger): readonly string[] =>
  trigger.kind === 'join' ? trigger.probes : [trigger.probe];

/** By how many degrees a goal lies lower than the plan has it, which is written for sea level, so many metres up. */
export function loweredBy(trigger: ReadTrigger, altitude: number | undefined): number {
  return trigger.kind === 'probe' && trigger.fromBoiling ? boilingPoint(0) - boilingPoint(altitude) : 0;
}

/**
 * How far a reading may stray out of a goal that was reached without ending its dwell, C: half a degree, or 1 % of the
 * goal's figure (the first value for temperatures that EEMUA 191 gives for dead bands, as a share of the range).
 */
export const deadBand = (edge: Celsius): number => Math.max(0.5, Math.abs(edge) / 100);

/** Whether a reading lies within a goal; `slack` degrees outside count too. */
function isWithin(goal: ProbeGoal, reading: number, slack: (edge: Celsius) => number = () => 0): boolean {
  switch (goal.kind) {
    case 'reaches':
      return reading >= goal.to.celsius - slack(goal.to.celsius);
    case 'falls to':
      return reading <= goal.to.celsius + slack(goal.to.celsius);
    case 'between':
      return (
        reading >= goal.low.celsius - slack(goal.low.celsius) &&
        reading <= goal.high.celsius + slack(goal.high.celsius)
      );
  }
}

/** Every part of a trigger that readings can meet, wherever it is nested. */
export function readGoals(trigger: Trigger | undefined): readonly ReadTrigger[] {
  if (!trigger) return [];
  switch (trigger.kind) {
    case 'cue':
      return [];
    case 'probe':
    case 'join':
      return [trigger];
    case 'any':
    case 'all':
      return trigger.of.flatMap(readGoals);
  }
}

export function triggerState(trigger: Trigger, met: readonly string[]): TriggerState {
  switch (trigger.kind) {
    case 'cue':
      return 'wants the cook';
    case 'probe':
    case 'join':
      return met.includes(goalKey(trigger)) ? 'met' : 'not yet';
    case 'any': {
      const states = trigger.of.map((part) => triggerState(part, met));
      return states.includes('met')
        ? 'met'
        : states.includes('wants the cook')
          ? 'wants the cook'
          : 'not yet';
    }
    case 'all': {
      const states = trigger.of.map((part) => triggerState(part, met));
      return states.includes('not yet')
        ? 'not yet'
        : states.includes('wants the cook')
          ? 'wants the cook'
          : 'met';
    }
  }
}

/** What a probe last read that was believed, corrected for its own error. */
export interface LastReading {
  readonly probe: string;
  readonly celsius: Celsius;
  readonly at: EpochMs;
  /** After so long without a reading what it read is no evidence any more, s. */
  readonly stale: Seconds;
}

export interface Reading extends LastReading {
  /** Taken by the cook on purpose: it counts at once. A probe's own readings have to last. */
  readonly deliberate: boolean;
  /** What every probe last read, this one included: two of them may be asked for together. */
  readonly all: readonly LastReading[];
  /** Metres above the sea. */
  readonly altitude?: number;
}

/**
 * Takes a believed reading into account. A goal is met by a reading within it once readings have been so for its whole
 * dwell: none outside in between (a dead band is allowed for), and no silence so long that nobody knows. Once met it stays
 * met. Several probes are within their goal only together.
 */
export function takeReading(running: Running, trigger: Trigger, reading: Reading): Running {
  const within: Record<string, EpochMs> = { ...running.within };
  const heard: Record<string, EpochMs> = { ...running.heard };
  const met = new Set(running.met);
  for (const part of readGoals(trigger)) {
    if (!probesIn(part).includes(reading.probe)) continue;
    const key = goalKey(part);
    const before = heard[key];
    const goesOn = before !== undefined && secondsBetween(before, reading.at) <= reading.stale;
    const stands = standsWithin(part, reading, goesOn);
    if (stands === 'outside') {
      delete within[key];
      delete heard[key];
      continue;
    }
    const since = goesOn ? (within[key] ?? reading.at) : reading.at;
    within[key] = since;
    heard[key] = reading.at;
    if (stands !== 'within') continue;
    if (reading.deliberate || secondsBetween(since, reading.at) >= part.lasting) met.add(key);
  }
  return { ...running, within, heard, met: [...met] };
}

/** Whether all probes of a goal are within it; `nearly`: within its dead band, going on from readings within it. */
function standsWithin(part: ReadTrigger, reading: Reading, goesOn: boolean): 'within' | 'nearly' | 'outside' {
  const figures = probesIn(part).map((probe) => {
    if (probe === reading.probe) return reading.celsius;
    const last = reading.all.find((each) => each.probe === probe);
    return last && secondsBetween(last.at, reading.at) <= last.stale ? last.celsius : undefined;
  });
  const lowered = loweredBy(part, reading.altitude);
  const known = figures.flatMap((figure) => (figure === undefined ? [] : [figure + lowered]));
  if (known.length < figures.length) return 'outside';
  const apart = part.kind === 'join' && part.apart !== undefined ? part.apart : Infinity;
  const spread = Math.max(...known) - Math.min(...known);
  if (spread <= apart && known.every((figure) => isWithin(part.goal, figure))) return 'within';
  const nearly = spread <= apart + 0.5 && known.every((figure) => isWithin(part.goal, figure, deadBand));
  return goesOn && nearly ? 'nearly' : 'outside';
}

/** Whether what was last read since a step began says that one of its goals is not met. */
export function saysOtherwise(
  trigger: Trigger | undefined,
  since: EpochMs,
  last: readonly LastReading[],
  altitude: number | undefined,
): boolean {
  return readGoals(trigger).some((part) =>
    probesIn(part).some((probe) => {
      const reading = last.find((each) => each.probe === probe);
      return (
        reading !== undefined &&
        reading.at >= since &&
        !isWithin(part.goal, reading.celsius + loweredBy(part, altitude))
      );
    }),
  );
}

/** How long a step is expected to take, in seconds; a rest at its least. A rest without a limit has an infinite `high`. */
export function expectedLength(step: Step): {
  readonly low: Seconds;
  readonly usual: Seconds;
  readonly high: Seconds;
} {
  if (step.length.kind !== 'rest') return step.length.range;
  const { atLeast, atMost } = step.length;
  return { low: atLeast, usual: atLeast, high: atMost ?? (Infinity as Seconds) };
}

/** Whether the clock alone ends the step: one figure, made by nature and not by the cook's pace, and no trigger. */
export function endsByClock(step: Step): boolean {
  return step.length.kind === 'takes' && step.length.range.low === step.length.range.high && !step.until;
}

/** When the clock ends a running step, or makes a rest long enough. */
export function clockMoment(step: Step, running: Running): EpochMs {
  return plus(running.startedAt, expectedLength(step).low + running.extra);
}
