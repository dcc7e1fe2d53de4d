import type { ProbeGoal, Step, Trigger } from '../plan/index.ts';
import { plus, secondsBetween, type Celsius, type EpochMs, type Seconds } from '../units/index.ts';
import type { StepRun } from './state.ts';

type Running = Extract<StepRun, { state: 'running' }>;
type ProbeTrigger = Extract<Trigger, { kind: 'probe' }>;

/** How far a trigger is: met, waiting only for the cook's word, or waiting for something that is measured. */
export type TriggerState = 'met' | 'wants the cook' | 'not yet';

/** Tells the probe goals of one step apart. */
function goalKey(trigger: ProbeTrigger): string {
  const { probe, goal } = trigger;
  return goal.kind === 'between'
    ? `${probe} between ${goal.low.celsius} ${goal.high.celsius}`
    : `${probe} ${goal.kind} ${goal.to.celsius}`;
}

export function isWithin(goal: ProbeGoal, reading: Celsius): boolean {
  switch (goal.kind) {
    case 'reaches':
      return reading >= goal.to.celsius;
    case 'falls to':
      return reading <= goal.to.celsius;
    case 'between':
      return reading >= goal.low.celsius && reading <= goal.high.celsius;
  }
}

/** Every probe goal in a trigger, wherever it is nested. */
export function probeGoals(trigger: Trigger | undefined): readonly ProbeTrigger[] {
  if (!trigger) return [];
  switch (trigger.kind) {
    case 'cue':
      return [];
    case 'probe':
      return [trigger];
    case 'any':
    case 'all':
      return trigger.of.flatMap(probeGoals);
  }
}

export function triggerState(trigger: Trigger, met: readonly string[]): TriggerState {
  switch (trigger.kind) {
    case 'cue':
      return 'wants the cook';
    case 'probe':
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

export interface Reading {
  readonly probe: string;
  readonly celsius: Celsius;
  readonly at: EpochMs;
  /** Taken by the cook on purpose: it counts at once. A probe's own readings have to last. */
  readonly deliberate: boolean;
}

/**
 * Takes a reading into account. A goal is met when readings have been within it for its whole time: the first and
 * a later one at least that long after it, with none outside in between. Once met it stays met.
 */
export function takeReading(running: Running, trigger: Trigger, reading: Reading): Running {
  const within: Record<string, EpochMs> = { ...running.within };
  const met = new Set(running.met);
  for (const part of probeGoals(trigger)) {
    if (part.probe !== reading.probe) continue;
    const key = goalKey(part);
    if (!isWithin(part.goal, reading.celsius)) {
      delete within[key];
      continue;
    }
    const since = within[key] ?? reading.at;
    within[key] = since;
    if (reading.deliberate || secondsBetween(since, reading.at) >= part.lasting) met.add(key);
  }
  return { ...running, within, met: [...met] };
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
