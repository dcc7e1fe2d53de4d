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
  type Swap,
} from '../planner/index.ts';
import { earlier, later, plus, secondsBetween, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import type { RunSetup, StageSetup } from './events.ts';
import { expectedCourse } from './course.ts';
import { lookup, must, planned, runsOf } from './lookup.ts';
import { airStep, firstShowing, hasAired, isAtPlaces } from './showings.ts';
import { lastAhead, leftOut, windowOf } from './swaps.ts';
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
  const first = firstShowing(state);
  if (!rundown || !first) return undefined;
  const gone = leftOut(state);
  const runs = rundown.showings.map(({ step }) => must(runsOf(state), step));
  const begun = beginningOf(must(runsOf(state), first.step));
  if (begun === undefined)
    return { rundown, phase: 'before', begins: must(planned(state.timetable).steps, first.step).start };
  const isOpen = (run: StepRun): boolean => !('endedAt' in run) && !gone.has(run.step);
  const showing = runs.findIndex(isOpen);
  const ended = Object.fromEntries(
    runs.flatMap((run, index) => ('endedAt' in run ? [[index, run.endedAt] as const] : [])),
  );
  if (showing < 0) {
    const end = Object.values(ended).reduce(later, begun);
    const over = seconds(secondsBetween(plus(begun, rundown.lasts), end));
    return { rundown, phase: 'over', begun, ended: end, over };
  }
  const after = runs.findIndex((run, index) => index > showing && isOpen(run));
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
    by: windowsIn(state, rundown),
    lengths: Object.fromEntries(
      rundown.showings.flatMap((each, index) =>
        gone.has(each.step) ? [[each.step, seconds(0)] as const] : chosenLength(each, runs[index]),
      ),
    ),
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

const beginningOf = (run: StepRun): EpochMs | undefined =>
  run.state === 'skipped' ? run.endedAt : 'startedAt' in run ? run.startedAt : undefined;

/** Until when the swaps are right, by what takes them. */
function windowsIn(state: BenchState, { swaps }: StageSetup): Readonly<Record<StepId, EpochMs>> {
  const found: Record<StepId, EpochMs> = {};
  for (const swap of swaps) {
    const { useBy } = windowOf(state, swap);
    if (useBy !== undefined) found[swap.for] = earlier(useBy, found[swap.for] ?? useBy);
  }
  return found;
}

/** The last step of the work ahead for each swap that is not ready yet. What only rests was ready before. */
function unready(state: BenchState): readonly StepId[] {
  return (state.setup.rundown?.swaps ?? []).flatMap((swap) => {
    const last = lastAhead(state, swap);
    const run = last === undefined ? undefined : must(runsOf(state), last);
    return run && !('endedAt' in run) && !isResting(state, run) ? [run.step] : [];
  });
}

const isResting = ({ setup }: BenchState, { state: stands, step }: StepRun): boolean =>
  stands === 'running' && must(lookup(setup.workload).placed, step).step.length.kind === 'rest';

/** A swap that will not be ready when it is wanted. */
export interface LateSwap {
  readonly swap: Swap;
  readonly ready: EpochMs;
  readonly wanted: EpochMs;
}

/** Less than this is made up for by a word more, s. */
const LATE_S = 30;

/** The swaps that are expected to be ready later than they are wanted, the soonest wanted first. */
export function lateSwaps(state: BenchState, now: EpochMs): readonly LateSwap[] {
  const stage = stageOf(state, now);
  if (!stage || stage.phase === 'over') return [];
  const gone = leftOut(state);
  const open = stage.rundown.swaps.filter(
    (swap) => !gone.has(swap.for) && must(runsOf(state), swap.for).state === 'waiting',
  );
  const course = expectedCourse(state, watchAt(now));
  const wantedAt = (step: StepId): EpochMs => {
    const told = must(planned(state.timetable).steps, step).start;
    // Whoever goes on air late wants everything later.
    if (stage.phase === 'before') return plus(told, Math.max(0, secondsBetween(stage.begins, now)));
    const slot = stage.outlook.slots.find(({ id }) => id === step);
    return slot
      ? plus(slot.start, 0 - slot.waits)
      : plus(told, secondsBetween(stage.rundown.begins, stage.onAir.begun));
  };
  return open
    .flatMap((swap): LateSwap[] => {
      const last = lastAhead(state, swap);
      if (last === undefined) return [];
      const [ready, wanted] = [course.availableOf(last), wantedAt(swap.for)];
      return secondsBetween(wanted, ready) > LATE_S ? [{ swap, ready, wanted }] : [];
    })
    .toSorted((a, b) => a.wanted - b.wanted);
}

/** When what a showing waits for is expected to be over, where that has begun; what has not is reckoned from its length. */
function readiness(
  state: BenchState,
  ahead: readonly Showing[],
  now: EpochMs,
): Readonly<Record<StepId, EpochMs>> {
  const runs = runsOf(state);
  const begun = (step: StepId): boolean => must(runs, step).state !== 'waiting';
  const late = new Set(unready(state));
  const waiting = ahead.filter(
    ({ step, after, from }) =>
      !begun(step) &&
      after.some((each) => begun(each) || late.has(each) || (from.kind === 'live' && from.steps.some(begun))),
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

type Told = Pick<Alarm, 'kind' | 'key' | 'component'>;

/**
 * Alarms that the stage tells in its own way, by the second: that it runs over, and that a showing does. Others are raised on
 * air as ever, but nothing sounds that is not high.
 */
export function isToldOnStage(state: BenchState, { kind, key, component }: Told): boolean {
  // The time on air is nobody's work, so nothing can be wrong with it.
  if (component !== undefined && airStep(state)?.startsWith(`${component}.`) === true) return true;
  if (kind === 'late for service' && isAtPlaces(state)) return true;
  if (!hasAired(state)) return false;
  const { showings: shown = [] } = state.setup.rundown ?? {};
  return (
    (kind === 'runs over' || kind === 'not started') &&
    shown.some(({ step }) => key.startsWith(`${kind} ${step}#`))
  );
}
