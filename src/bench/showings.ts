import type { StepId } from '../plan/index.ts';
import type { Showing } from '../planner/index.ts';
import type { RunSetup, StageSetup } from './events.ts';
import { lookup, must, runsOf } from './lookup.ts';
import type { BenchState } from './state.ts';
import { leftOut } from './swaps.ts';

const showings = new WeakMap<StageSetup, ReadonlyMap<StepId, number>>();

function placesOf(rundown: StageSetup): ReadonlyMap<StepId, number> {
  const known = showings.get(rundown);
  if (known) return known;
  const made = new Map(rundown.showings.map(({ step }, index) => [step, index]));
  showings.set(rundown, made);
  return made;
}

type Run = Pick<BenchState, 'setup'>;
type Shown = Pick<BenchState, 'setup' | 'components' | 'spoilt'>;

const airs = new WeakMap<RunSetup, StepId | undefined>();

/**
 * The step that lasts for the whole time on air, where the derived workload has one: it keeps the end where it is, begins with
 * the first showing, and is nobody's work.
 */
export function airStep({ setup }: Run): StepId | undefined {
  const { rundown, timetable } = setup;
  if (!rundown) return undefined;
  if (airs.has(setup)) return airs.get(setup);
  const found = timetable.steps.find(
    ({ step, start, end }) =>
      start === rundown.begins && end === rundown.ends && !placesOf(rundown).has(step),
  )?.step;
  airs.set(setup, found);
  return found;
}

/** The showing that a step is, where it is one. */
export function showingOf({ setup: { rundown } }: Run, step: StepId): Showing | undefined {
  const place = rundown && placesOf(rundown).get(step);
  return place === undefined ? undefined : rundown?.showings[place];
}

/** The showing with which it goes on air. */
export function firstShowing(state: Shown): Showing | undefined {
  const { showings = [] } = state.setup.rundown ?? {};
  const gone = leftOut(state);
  // One that was shown was the first, whatever is spoilt since.
  return (
    showings.find(({ step }) => !gone.has(step) || 'startedAt' in must(runsOf(state), step)) ?? showings[0]
  );
}

/** The showings that are not over, nor to be left out, in order. */
function openShowings(state: Shown): readonly StepId[] {
  const runs = runsOf(state);
  const gone = leftOut(state);
  return (state.setup.rundown?.showings ?? [])
    .map(({ step }) => step)
    .filter((step) => !('endedAt' in must(runs, step)) && !gone.has(step));
}

/** The showing that is going, or whose turn it is, on air. */
export const showingNow = (state: Shown): StepId | undefined =>
  hasAired(state) ? openShowings(state)[0] : undefined;

/** The showing that a showing must wait for, one before it not being over; nothing where it is its turn, or the step is none. */
export function showingBefore(state: Shown, step: StepId): StepId | undefined {
  if (showingOf(state, step) === undefined) return undefined;
  const [first] = openShowings(state);
  return first === step ? undefined : first;
}

/** The showing that follows this one; nothing where the step is no showing, or the last, or not the one whose turn it is. */
export function showingAfter(state: Shown, step: StepId): StepId | undefined {
  if (showingOf(state, step) === undefined) return undefined;
  const [first, next] = openShowings(state);
  return first === step ? next : undefined;
}

/** Whether the demonstration has gone on air. */
export function hasAired(state: Shown): boolean {
  const first = firstShowing(state);
  return first !== undefined && must(runsOf(state), first.step).state !== 'waiting';
}

/**
 * Whether everybody is at their places, or it is on air or over: from then on it begins when the presenter begins, and no
 * timetable can make that sooner.
 */
export function isAtPlaces(state: Shown): boolean {
  if (hasAired(state)) return true;
  const air = airStep(state);
  const places = air && must(lookup(state.setup.workload).placed, air).before;
  return places !== undefined && 'endedAt' in must(runsOf(state), places.id);
}

/** Whether it is on air: its first showing has begun, and its last is not over. */
export const isOnAir = (state: Shown): boolean => hasAired(state) && openShowings(state).length > 0;
