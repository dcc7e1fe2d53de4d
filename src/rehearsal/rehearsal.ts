import type { BenchState } from '../bench/index.ts';
import type { StepId, Workload } from '../plan/index.ts';
import { later, type EpochMs } from '../units/index.ts';
import {
  answerTo,
  answerToOffer,
  endOf,
  hearing,
  USUAL_MANNER,
  type Act,
  type CookManner,
  type Troupe,
} from './cook.ts';
import { mishap, withLateness, type Fault } from './faults.ts';
import { sceneOf } from './hands.ts';
import type { Life } from './life.ts';
import { airReadings, readingsOf, readOff } from './readings.ts';
import { natureOf, type Nature } from './nature.ts';

/** Who plays in a rehearsal. Everything but the workload and the seed has a usual value. */
export interface RehearsalOptions {
  readonly workload: Workload;
  /** Any number: the same seed, workload and history give the same next act. */
  readonly seed: number;
  readonly cook?: CookManner;
  readonly nature?: Nature;
  readonly faults?: readonly Fault[];
  /** What draws of one day have in common, and what is forgotten. Without it each draw stands for itself. */
  readonly life?: Life;
  /**
   * `often` (the usual): probes tell what they read every half a minute, and ovens with a probe every minute. `once`: the cook
   * reads a probe off when its goal has been held for as long as was asked, and nothing hangs in an oven; nothing can be
   * predicted then, and a rehearsal takes a tenth of the time.
   */
  readonly probes?: 'often' | 'once';
}

/** A simulated cook and kitchen. They keep nothing in mind: all they know is in the run's state. */
export interface Rehearsal {
  readonly seed: number;
  /**
   * What the cook or a probe does next if nothing else happens before, and when (never before `now`). Ask again after
   * every event. Nothing once the run is served, or while only the clock can bring the run on.
   */
  nextAct(state: BenchState, now: EpochMs): Act | undefined;
}

/** Sets up a simulated cook and kitchen for a workload. */
export function createRehearsal(options: RehearsalOptions): Rehearsal {
  const { workload, seed, faults = [], life, probes = 'often' } = options;
  const steps: Troupe['steps'] = new Map(
    workload.components.flatMap((component) =>
      component.steps.map((step): [StepId, typeof step] => [step.id, step]),
    ),
  );
  const nature = withLateness(options.nature ?? natureOf(seed, life), faults);
  const manner = options.cook ?? USUAL_MANNER;
  const troupe: Troupe = { seed, manner, nature, steps, faults, ...(life && { life }) };
  return {
    seed,
    nextAct(state, now) {
      if (state.servedAt !== undefined) return undefined;
      const first = soonest(possibleActs(state, troupe, probes));
      return first && { ...first, at: later(first.at, now) };
    },
  };
}

/** Everything that the cook or a probe is about to do; at the same moment, the first in this order comes first. */
function possibleActs(
  state: BenchState,
  troupe: Troupe,
  probes: 'often' | 'once',
): readonly (Act | undefined)[] {
  const scene = sceneOf(state, troupe.steps);
  return [
    ...(probes === 'once'
      ? scene.going.flatMap((going) => readOff(going, state, troupe))
      : [...scene.going.flatMap((going) => readingsOf(going, state, troupe)), ...airReadings(state, troupe)]),
    ...scene.going.map((going) => endOf(going, troupe)),
    ...state.calls.map((call) => answerTo(call, scene, troupe)),
    ...state.alarms.map((alarm) => hearing(alarm, troupe)),
    answerToOffer(state, troupe),
    ...troupe.faults.map((fault): Act | undefined => {
      const act = mishap(fault, state, troupe.steps, troupe.nature);
      return act && { ...act, source: 'rehearsal' };
    }),
  ];
}

function soonest(acts: readonly (Act | undefined)[]): Act | undefined {
  return acts.reduce((best, act) => (act && (!best || act.at < best.at) ? act : best), undefined);
}
