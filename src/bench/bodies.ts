import {
  predict,
  surroundingsOf,
  type Medium,
  type Prediction,
  type Sample,
  type Surroundings,
} from '../heat/index.ts';
import type { ComponentId, Kitchen, Step, StepId } from '../plan/index.ts';
import { later, secondsBetween, type Celsius, type EpochMs } from '../units/index.ts';
import { lookup, must, type Placed } from './lookup.ts';
import type { BenchState, ProbeState, StepRun } from './state.ts';
import { loweredBy, probesIn, readGoals, type ReadTrigger } from './triggers.ts';

type Run = Pick<BenchState, 'setup' | 'components' | 'probes'>;
type Running = Extract<StepRun, { state: 'running' }>;

/** A body on its way to the temperature that ends the step it is in. */
export interface Body {
  readonly component: ComponentId;
  readonly step: StepId;
  readonly probe: string;
  /** The temperature it is on its way to, as the probe will read it, and whether it gets there by falling. */
  readonly edge: Celsius;
  readonly isFalling: boolean;
  /** Its last believed reading. */
  readonly reading: Celsius;
  readonly readAt: EpochMs;
  /** Of its last reading, so it does not slide with the clock. */
  readonly prediction: Prediction;
}

/** Every body that a running step waits for and that has been read since the step began, by step and probe. */
export function bodiesOf(run: Run): readonly Body[] {
  const { placed } = lookup(run.setup.workload);
  return run.components.flatMap((component) =>
    component.steps.flatMap((step) =>
      step.state === 'running' ? bodiesIn(run, must(placed, step.step), step) : [],
    ),
  );
}

/** The bodies of one running step; none of a goal that has been held long enough. */
export function bodiesIn(run: Run, { step, component }: Placed, running: Running): readonly Body[] {
  if (running.readyAt !== undefined && step.length.kind !== 'rest') return [];
  const { kitchen } = run.setup.workload;
  return readGoals(step.until).flatMap((part) =>
    probesIn(part).flatMap((probe): Body[] => {
      const state = run.probes.find((each) => each.probe === probe);
      const last = state?.track.samples.at(-1);
      if (!state || !last || last.at < running.startedAt) return [];
      const way = wayTo(part, last.celsius, kitchen.altitude);
      if (!way) return [];
      return [
        {
          component: component.id,
          step: step.id,
          probe,
          ...way,
          reading: last.celsius,
          readAt: last.at,
          prediction: predicted(state, step, running.startedAt, way.edge, kitchen),
        },
      ];
    }),
  );
}

/** Where a goal is entered from a temperature; nothing where that lies within a goal with two ends. */
function wayTo(
  part: ReadTrigger,
  from: Celsius,
  altitude: number | undefined,
): { readonly edge: Celsius; readonly isFalling: boolean } | undefined {
  const { goal } = part;
  const lowered = loweredBy(part, altitude);
  const at = (edge: Celsius): Celsius => (edge - lowered) as Celsius;
  switch (goal.kind) {
    case 'reaches':
      return { edge: at(goal.to.celsius), isFalling: false };
    case 'falls to':
      return { edge: at(goal.to.celsius), isFalling: true };
    case 'between':
      if (from > at(goal.high.celsius)) return { edge: at(goal.high.celsius), isFalling: true };
      if (from < at(goal.low.celsius)) return { edge: at(goal.low.celsius), isFalling: false };
      return undefined;
  }
}

/** A prediction is renewed no oftener than this, also where a probe reads every second. */
const RENEWED_S = 60;

/** The readings since a moment, up to the first one of the latest stretch. */
function upToMark(all: readonly Sample[], since: EpochMs): readonly Sample[] {
  const samples = all.filter(({ at }) => at >= since);
  const last = samples.at(-1);
  if (!last) return samples;
  const mark = Math.floor(secondsBetween(since, last.at) / RENEWED_S) * RENEWED_S;
  const newest = samples.findIndex(({ at }) => secondsBetween(since, at) >= mark);
  return samples.slice(0, newest + 1);
}

/** Tells apart what was read up to one and the same reading: older ones are thinned, or a reading is taken back. */
const fingerprint = (samples: readonly Sample[]): string =>
  `${samples.length} ${samples.reduce((sum, { at, celsius }) => sum + at + celsius, 0)}`;

const known = new WeakMap<Sample, Map<string, Prediction>>();

/** A prediction costs some half a millisecond and is asked for at every look, so it is kept with the last of the readings it is made of. */
function predicted(
  { track }: ProbeState,
  step: Step,
  startedAt: EpochMs,
  goal: Celsius,
  kitchen: Kitchen,
): Prediction {
  const samples = upToMark(track.samples, startedAt);
  const newest = samples.at(-1);
  if (!newest) return { kind: 'refused', why: 'nothing has been read yet' };
  const kept = known.get(newest) ?? new Map<string, Prediction>();
  known.set(newest, kept);
  const key = `${step.id} ${startedAt} ${goal} ${fingerprint(samples)}`;
  const found = kept.get(key);
  if (found) return found;
  const surroundings = standsIn(step, kitchen);
  const since = later(startedAt, samples[0]?.at ?? startedAt);
  const made: Prediction =
    typeof surroundings === 'string'
      ? { kind: 'refused', why: surroundings }
      : predict({
          samples,
          // Where the readings began late the body had been there for some time.
          since: secondsBetween(startedAt, since) > 300 ? startedAt : since,
          surroundings,
          goal,
        });
  kept.set(key, made);
  return made;
}

/** What the body of a step stands in, or why nothing can be said of it. */
function standsIn(step: Step, kitchen: Kitchen): Surroundings | string {
  if (step.around !== undefined) return surroundingsOf({ kind: 'told', celsius: step.around }, kitchen);
  const items = step.uses.map(({ item }) => kitchen.items.find(({ name }) => name === item));
  if (items.some((item) => item?.kind === 'hob')) return 'over a flame nobody can say';
  if (step.oven?.heat.kind === 'at')
    return { celsius: step.oven.heat.temperature.celsius, spread: 15, drift: 5 };
  if (step.oven) return 'in a cooling oven nobody can say';
  const shelf = items.find((item) => item?.kind === 'cold shelf');
  return surroundingsOf(mediumOf(shelf?.name), kitchen);
}

const mediumOf = (shelf: string | undefined): Medium =>
  shelf === undefined ? { kind: 'room' } : /freez/i.test(shelf) ? { kind: 'freezer' } : { kind: 'fridge' };

/**
 * When a running step that ends at a temperature is expected there by what was read of it; nothing where that cannot be
 * said, or where a cue may end it first.
 */
export function thereBy(run: Run, placed: Placed, running: Running): EpochMs | undefined {
  if (placed.step.until?.kind === 'any' || placed.step.until?.kind === 'cue') return undefined;
  const moments = bodiesIn(run, placed, running).flatMap(({ prediction, readAt }) =>
    prediction.kind === 'expected' ? [prediction.usual] : prediction.kind === 'reached' ? [readAt] : [],
  );
  return moments.length === 0 ? undefined : moments.reduce(later);
}
