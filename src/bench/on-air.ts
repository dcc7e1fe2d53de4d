import type { StepId } from '../plan/index.ts';
import {
  nextChange,
  outlook,
  paceOf,
  type OnAir,
  type Outlook,
  type Pace,
  type StageChange,
  type Showing,
} from '../planner/index.ts';
import { later, plus, secondsBetween, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import type { RunSetup, StageSetup } from './events.ts';
import { expectedCourse } from './course.ts';
import { must, planned, runsOf } from './lookup.ts';
import type { Alarm, BenchState, StepRun } from './state.ts';
import { watchAt } from './watch.ts';

/** How a run that is a demonstration stands. */
export type StageStanding = { readonly rundown: StageSetup } &
  /** Nothing is shown yet; it is to go on air at `begins`. */
  (
    | { readonly phase: 'before'; readonly begins: EpochMs }
    | {
        readonly phase: 'on air';
        readonly onAir: OnAir;
        /** Whether the showing of `onAir` is going; else it is waited for, and the air is dead. */
        readonly isGoing: boolean;
        /** The index of the showing after it, those that are left out aside; nothing where it is the last. */
        readonly next?: number;
        readonly outlook: Outlook;
        /** The best cut where it runs over, the best stretch where there is time to fill. */
        readonly change?: StageChange;
      }
    /** All is shown: it was on air from `begun` to `ended`, `over` longer than it should have been (less than nothing: shorter). */
    | { readonly phase: 'over'; readonly begun: EpochMs; readonly ended: EpochMs; readonly over: Seconds }
  );

const paces = new WeakMap<RunSetup, Pace>();

function paceIn(setup: RunSetup, rundown: StageSetup): Pace {
  const known = paces.get(setup);
  if (known) return known;
  const made = paceOf({ ...rundown, workload: setup.workload, timetable: setup.timetable });
  paces.set(setup, made);
  return made;
}

/** How the demonstration stands at `now`; nothing where the run is none. Pure, and as fine as `now` is. */
export function stageOf(state: BenchState, now: EpochMs): StageStanding | undefined {
  const { rundown } = state.setup;
  const [first] = rundown?.showings ?? [];
  if (!rundown || !first) return undefined;
  const runs = rundown.showings.map(({ step }) => must(runsOf(state), step));
  const begun = beginningOf(runs[0]);
  if (begun === undefined)
    return { rundown, phase: 'before', begins: must(planned(state.timetable).steps, first.step).start };
  const showing = runs.findIndex(({ state: stands }) => stands === 'running' || stands === 'waiting');
  const ended = Object.fromEntries(
    runs.flatMap((run, index) => ('endedAt' in run ? [[index, run.endedAt] as const] : [])),
  );
  if (showing < 0) {
    const end = Object.values(ended).reduce(later, begun);
    const over = seconds(secondsBetween(plus(begun, rundown.lasts), end));
    return { rundown, phase: 'over', begun, ended: end, over };
  }
  const after = runs.findIndex((run, index) => index > showing && !('endedAt' in run));
  const pace = paceIn(state.setup, rundown);
  const going = runs[showing];
  const ready = readiness(state, rundown.showings.slice(showing), now);
  const next = rundown.showings[showing]?.step;
  const onAir: OnAir = {
    now,
    begun,
    showing,
    since: going?.state === 'running' ? going.startedAt : later(now, (next && ready[next]) ?? now),
    ended,
    ready,
    lengths: Object.fromEntries(rundown.showings.flatMap((each, index) => chosenLength(each, runs[index]))),
  };
  const change = nextChange(pace, onAir);
  return {
    rundown,
    phase: 'on air',
    onAir,
    isGoing: going?.state === 'running',
    ...(after < 0 ? {} : { next: after }),
    outlook: outlook(pace, onAir),
    ...(change ? { change } : {}),
  };
}

const beginningOf = (run: StepRun | undefined): EpochMs | undefined =>
  run?.state === 'skipped' ? run.endedAt : run && 'startedAt' in run ? run.startedAt : undefined;

/** When what a showing waits for is expected to be over, where that has begun; what has not is reckoned from its length. */
function readiness(
  state: BenchState,
  ahead: readonly Showing[],
  now: EpochMs,
): Readonly<Record<StepId, EpochMs>> {
  const runs = runsOf(state);
  const begun = (step: StepId): boolean => must(runs, step).state !== 'waiting';
  const waiting = ahead.filter(
    ({ step, after, from }) =>
      !begun(step) && after.some((each) => begun(each) || (from.kind === 'live' && from.steps.some(begun))),
  );
  if (waiting.length === 0) return {};
  const course = expectedCourse(state, watchAt(now));
  return Object.fromEntries(
    waiting.map(({ step, after }) => [step, after.map(course.availableOf).reduce(later)]),
  );
}

function chosenLength({ step, length }: Showing, run: StepRun | undefined): (readonly [StepId, Seconds])[] {
  if (run?.state === 'skipped') return [[step, seconds(0)]];
  const extra = run && 'extra' in run ? (run.extra ?? 0) : 0;
  return extra === 0 ? [] : [[step, seconds(length.usual + extra)]];
}

const showings = new WeakMap<StageSetup, ReadonlyMap<StepId, number>>();

function placesOf(rundown: StageSetup): ReadonlyMap<StepId, number> {
  const known = showings.get(rundown);
  if (known) return known;
  const made = new Map(rundown.showings.map(({ step }, index) => [step, index]));
  showings.set(rundown, made);
  return made;
}

type Run = Pick<BenchState, 'setup'>;

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

type Told = Pick<Alarm, 'kind' | 'key' | 'component'>;

/**
 * Alarms that the stage tells in its own way, by the second: that it runs over, and that a showing does. Others are raised on
 * air as ever, but nothing sounds that is not high.
 */
export function isToldOnStage(state: BenchState, { kind, key, component }: Told): boolean {
  // The time on air is nobody's work, so nothing can be wrong with it.
  if (component !== undefined && airStep(state)?.startsWith(`${component}.`) === true) return true;
  if (!hasAired(state)) return false;
  if (kind === 'late for service') return true;
  const { showings: shown = [] } = state.setup.rundown ?? {};
  return (
    (kind === 'runs over' || kind === 'not started') &&
    shown.some(({ step }) => key.startsWith(`${kind} ${step}#`))
  );
}

/** The showing that a step is, where it is one. */
export function showingOf({ setup: { rundown } }: Run, step: StepId): Showing | undefined {
  const place = rundown && placesOf(rundown).get(step);
  return place === undefined ? undefined : rundown?.showings[place];
}

/** The showings that are not over, in order. */
function openShowings(state: Pick<BenchState, 'setup' | 'components'>): readonly StepId[] {
  const runs = runsOf(state);
  return (state.setup.rundown?.showings ?? [])
    .map(({ step }) => step)
    .filter((step) => !('endedAt' in must(runs, step)));
}

/** The showing that a showing must wait for, one before it not being over; nothing where it is its turn, or the step is none. */
export function showingBefore(
  state: Pick<BenchState, 'setup' | 'components'>,
  step: StepId,
): StepId | undefined {
  if (showingOf(state, step) === undefined) return undefined;
  const [first] = openShowings(state);
  return first === step ? undefined : first;
}

/** The showing that follows this one; nothing where the step is no showing, or the last, or not the one whose turn it is. */
export function showingAfter(
  state: Pick<BenchState, 'setup' | 'components'>,
  step: StepId,
): StepId | undefined {
  if (showingOf(state, step) === undefined) return undefined;
  const [first, next] = openShowings(state);
  return first === step ? next : undefined;
}

/** Whether the demonstration has gone on air. */
function hasAired(state: Pick<BenchState, 'setup' | 'components'>): boolean {
  const [first] = state.setup.rundown?.showings ?? [];
  return first !== undefined && must(runsOf(state), first.step).state !== 'waiting';
}

/** Whether it is on air: its first showing has begun, and its last is not over. */
export function isOnAir(state: Pick<BenchState, 'setup' | 'components'>): boolean {
  const last = state.setup.rundown?.showings.at(-1);
  return last !== undefined && hasAired(state) && !('endedAt' in must(runsOf(state), last.step));
}
