import type { BenchState } from '../bench/index.ts';
import type { ComponentId, Step, StepId, Trigger } from '../plan/index.ts';
import { plus, type EpochMs } from '../units/index.ts';
import { endsByHand, type Troupe } from './cook.ts';
import { isSpoilt } from './faults.ts';
import { sceneOf, type Going } from './hands.ts';
import { seenByEye } from './readings.ts';

/*
 * Rehearsing with one's own hands and no food: nature goes on as it would, and what a cook would see, smell or feel is
 * told in words. Nothing of it is known to the bench until the person says so.
 */

/** Something there is to be seen from a moment on. */
export interface Sight {
  readonly at: EpochMs;
  readonly component: ComponentId;
  /** The step that looks done; nothing where the component is spoilt. */
  readonly step?: StepId;
  /** In the plan's own words: `a spoon leaves a clean track`. */
  readonly what: string;
}

/** What there is to be seen, or will be if nobody does anything; the soonest first. */
export function sightsOf(state: BenchState, troupe: Troupe): readonly Sight[] {
  const done = sceneOf(state, troupe.steps).going.flatMap((going): Sight[] => {
    const at = looksDoneAt(going, troupe);
    const { step } = going;
    return at === undefined ? [] : [{ at, component: step.component, step: step.id, what: looks(step) }];
  });
  const spoilt = troupe.faults.flatMap((fault): Sight[] =>
    fault.kind === 'spoilt' && isSpoilt(fault, state)
      ? [{ at: fault.from, component: fault.component, what: 'it is spoilt, and has to be made again' }]
      : [],
  );
  return [...spoilt, ...done].toSorted((a, b) => a.at - b.at);
}

/** When nature is done with a running step that a person has to end; nothing where that is said by a clock or a probe. */
export function looksDoneAt(going: Going, troupe: Troupe): EpochMs | undefined {
  return seenByEye(going, troupe) ?? (endsByHand(going.step) ? isDoneAt(going, troupe) : undefined);
}

/** When nature is done with a running step, whoever says so: nobody can end it well before. */
export function isDoneAt(going: Going, troupe: Troupe): EpochMs {
  const { step, run, attempt } = going;
  return seenByEye(going, troupe) ?? plus(run.startedAt, troupe.nature.duration(step, attempt) + run.extra);
}

function looks({ name, until }: Step): string {
  const cues = until ? cuesOf(until) : [];
  return cues.length > 0 ? cues.join(', ') : `${name} looks done`;
}

function cuesOf(trigger: Trigger): readonly string[] {
  switch (trigger.kind) {
    case 'cue':
      return [trigger.text];
    case 'probe':
    case 'join':
      return [];
    case 'any':
    case 'all':
      return trigger.of.flatMap(cuesOf);
  }
}
