import type { BenchState } from '../bench/index.ts';
import type { StepId, Workload } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';
import {
  answerTo,
  answerToOffer,
  changeOnAir,
  endOf,
  hearing,
  untied,
  USUAL_MANNER,
  type Act,
  type CookManner,
  type Troupe,
} from './cook.ts';
import { mishap, tiedUntil, withLateness, type Fault } from './faults.ts';
import { sceneOf } from './hands.ts';
import type { Life } from './life.ts';
import { mishapsAt, type Mishap } from './mishaps.ts';
import { isDoneAt, looksDoneAt, sightsOf, type Sight } from './own-hands.ts';
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
  /** Whose hands do what is called: `simulated` (the usual), or `mine`: nobody's here, and nature waits for a person's word. */
  readonly hands?: Hands;
}

export type Hands = 'simulated' | 'mine';

/** A simulated cook and kitchen. They keep nothing in mind: all they know is in the run's state. */
export interface Rehearsal {
  readonly seed: number;
  /**
   * What the cook or a probe does next if nothing else happens before, and when (never before `now`). Ask again after
   * every event. Nothing once the run is served, or while only the clock can bring the run on.
   */
  nextAct(state: BenchState, now: EpochMs): Act | undefined;
  /** When a running step that a person has to end looks done; nothing where nobody has to look. */
  looksDoneAt(state: BenchState, step: StepId): EpochMs | undefined;
  /** When nature is done with a running step, whoever has to say so; nothing where it does not run. */
  isDoneAt(state: BenchState, step: StepId): EpochMs | undefined;
  /** Everything there is to be seen, or will be if nobody does anything, the soonest first. */
  sights(state: BenchState): readonly Sight[];
  /** What can be made to go wrong now. */
  mishaps(state: BenchState, now: EpochMs): readonly Mishap[];
  /** Until when hands are tied; nothing where they are free. */
  tiedUntil(now: EpochMs): EpochMs | undefined;
}

/** Sets up a simulated cook and kitchen for a workload. */
export function createRehearsal(options: RehearsalOptions): Rehearsal {
  const { workload, seed, faults = [], life, probes = 'often', hands = 'simulated' } = options;
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
      const kitchen = kitchenActs(state, troupe, probes);
      const acts = hands === 'mine' ? kitchen : [...kitchen, ...cookActs(state, now, troupe, probes)];
      const first = soonest([...acts, ...mishapActs(state, troupe, hands)]);
      return first && notBefore(first, now);
    },
    looksDoneAt(state, step) {
      const going = sceneOf(state, steps).going.find(({ run }) => run.step === step);
      return going && looksDoneAt(going, troupe);
    },
    isDoneAt(state, step) {
      const going = sceneOf(state, steps).going.find(({ run }) => run.step === step);
      return going && isDoneAt(going, troupe);
    },
    sights: (state) => sightsOf(state, troupe),
    mishaps: (state, now) => mishapsAt(state, now, troupe, hands),
    tiedUntil: (now) => tiedUntil(faults, now),
  };
}

/** Nobody does anything in the past: hands that were not free could not have started a step when it was due. */
function notBefore(act: Act, now: EpochMs): Act {
  if (act.at >= now) return act;
  const { happening } = act;
  return { ...act, at: now, happening: 'at' in happening ? { ...happening, at: now } : happening };
}

/*
 * At the same moment, the first of what these three give comes first.
 */

/** What the probes are about to say. */
function kitchenActs(state: BenchState, troupe: Troupe, probes: 'often' | 'once'): readonly Act[] {
  if (probes === 'once') return [];
  const { going } = sceneOf(state, troupe.steps);
  return [...going.flatMap((each) => readingsOf(each, state, troupe)), ...airReadings(state, troupe)];
}

/** What the cook is about to do. */
function cookActs(
  state: BenchState,
  now: EpochMs,
  troupe: Troupe,
  probes: 'often' | 'once',
): readonly (Act | undefined)[] {
  const scene = sceneOf(state, troupe.steps);
  const acts = [
    ...(probes === 'once' ? scene.going.flatMap((going) => readOff(going, state, troupe)) : []),
    ...scene.going.map((going) => endOf(going, scene, troupe)),
    ...state.calls.map((call) => answerTo(call, scene, troupe)),
    ...state.alarms.map((alarm) => hearing(alarm, troupe)),
    answerToOffer(state, troupe),
    changeOnAir(state, troupe),
  ];
  return acts.map((act) => act && untied(act, now, troupe));
}

/** What is about to go wrong. Whoever has hands of their own sees for themselves what is spoilt. */
function mishapActs(state: BenchState, troupe: Troupe, hands: Hands): readonly (Act | undefined)[] {
  return troupe.faults.map((fault): Act | undefined => {
    if (fault.kind === 'spoilt' && hands === 'mine') return undefined;
    const act = mishap(fault, state, troupe.steps, troupe.nature);
    return act && { ...act, source: 'rehearsal' };
  });
}

function soonest(acts: readonly (Act | undefined)[]): Act | undefined {
  return acts.reduce((best, act) => (act && (!best || act.at < best.at) ? act : best), undefined);
}
