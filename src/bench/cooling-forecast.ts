import {
  predict,
  PROBE_MARGIN_C,
  surroundingsOf,
  type Prediction,
  type PredictionRequest,
  type Sample,
  type Surroundings,
} from '../heat/index.ts';
import type { Kitchen, Step } from '../plan/index.ts';
import { celsius, secondsBetween, type Celsius, type EpochMs } from '../units/index.ts';
import { isInTheCold, isOnTheHeat, type Watched } from './cooling.ts';
import { componentRun, lookup, must } from './lookup.ts';
import type { BenchState } from './state.ts';

type Run = Pick<BenchState, 'setup' | 'components' | 'probes'>;
export type Expected = Extract<Prediction, { kind: 'expected' }>;

/**
 * When a cooling component is expected to be read at a limit's temperature where it now stands; nothing where that cannot be
 * said. A degree colder is predicted, for the probe may be wrong by that, unless that is too near what it stands in.
 */
export function coldBy(state: Run, { component, probe }: Watched, to: Celsius): Expected | undefined {
  const running = componentRun(state, component.id).steps.find((step) => step.state === 'running');
  const track = state.probes.find((each) => each.probe === probe)?.track;
  if (!running || !track) return undefined;
  const { step } = must(lookup(state.setup.workload).placed, running.step);
  const samples = samplesUpToMark(track.samples, running.startedAt);
  const surroundings = standsIn(step, state.setup.workload.kitchen);
  if (samples.length === 0 || !surroundings) return undefined;
  for (const goal of [to - PROBE_MARGIN_C, to]) {
    const made = predicted({ samples, since: running.startedAt, surroundings, goal: celsius(goal) });
    if (made.kind === 'expected') return made;
    if (made.kind === 'reached') return undefined;
  }
  return undefined;
}

/** A prediction is renewed no oftener: cooling clocks run for hours, and probes may read every second. */
const RENEWED_S = 180;

/** The readings since a moment, up to the first one of the latest stretch of that length. */
function samplesUpToMark(all: readonly Sample[], since: EpochMs): readonly Sample[] {
  const samples = all.filter(({ at }) => at >= since);
  const last = samples.at(-1);
  if (!last) return [];
  const mark = Math.floor(secondsBetween(since, last.at) / RENEWED_S) * RENEWED_S;
  const newest = samples.findIndex(({ at }) => secondsBetween(since, at) >= mark);
  return samples.slice(0, newest + 1);
}

const known = new WeakMap<Sample, Map<string, Prediction>>();

/** Kept with its newest reading: it is asked for at every look. */
function predicted(request: PredictionRequest): Prediction {
  const newest = request.samples.at(-1);
  if (!newest) return predict(request);
  const kept = known.get(newest) ?? new Map<string, Prediction>();
  known.set(newest, kept);
  const key = `${request.since} ${request.goal} ${request.surroundings.celsius}`;
  const made = kept.get(key) ?? predict(request);
  kept.set(key, made);
  return made;
}

function standsIn(step: Step, kitchen: Kitchen): Surroundings | undefined {
  if (step.around !== undefined) return surroundingsOf({ kind: 'told', celsius: step.around }, kitchen);
  if (isOnTheHeat(kitchen, step) || step.oven) return undefined;
  if (!isInTheCold(kitchen, step)) return surroundingsOf({ kind: 'room' }, kitchen);
  const isFreezer = step.uses.some(({ item }) => /freez/i.test(item));
  return surroundingsOf({ kind: isFreezer ? 'freezer' : 'fridge' }, kitchen);
}
