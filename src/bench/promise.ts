import {
  promiseDispatch,
  type Came,
  type Kept,
  type OvenSetting,
  type PromiseDispatch,
  type PromisePoint,
} from '../planner/index.ts';
import type { StepId } from '../plan/index.ts';
import { earlier, later, type EpochMs } from '../units/index.ts';
import type { BenchEvent, RunSetup } from './events.ts';
import { ovenRun } from './lookup.ts';
import { sameHeat } from './oven-reckoning.ts';
import type { BenchState, StepRun } from './state.ts';
import type { Watch } from './watch.ts';

/*
 * Where a run is to keep its promise, and the timetable that was told holds whatever happens within the ranges, calls come when that says: held back while it
 * is wise to wait, and earlier than planned where it would be too late by then. Once something has gone out of its bounds, or
 * another timetable is told, calls come as they always do.
 */

type Run = Pick<BenchState, 'setup' | 'timetable' | 'components' | 'ovens' | 'history' | 'undone'>;

const dispatches = new WeakMap<RunSetup, { readonly dispatch: PromiseDispatch | undefined }>();

function dispatchOf(setup: RunSetup): PromiseDispatch | undefined {
  const known = dispatches.get(setup);
  if (known) return known.dispatch;
  const dispatch =
    setup.keeps === 'promise' ? promiseDispatch(setup.workload, setup.timetable, setup.begunAt) : undefined;
  dispatches.set(setup, { dispatch });
  return dispatch;
}

/** When a call is due that would be due at `due`; `waits`: it does not come yet, because others must come first. */
export function promisedDue(run: Run, point: PromisePoint, due: EpochMs, watch: Watch): EpochMs | 'waits' {
  const kept = keptIn(run, watch);
  const leash = kept && dispatchOf(run.setup)?.leashOf(kept, point);
  if (!leash) return due;
  if (leash.kind === 'waits') return 'waits';
  const { notBefore, notAfter } = leash;
  const held = later(due, notBefore);
  return notAfter === undefined ? held : earlier(held, notAfter);
}

interface Told {
  readonly history: readonly BenchEvent[];
  readonly kept: Kept | undefined;
}

/** What has come so far, by the runs of the components as they stood with a history. */
const told = new WeakMap<BenchState['components'], Told>();

/** How far the promise has been kept; nothing where there is none, or none any more. */
function keptIn(run: Run, watch: Watch): Kept | undefined {
  const dispatch = run.timetable === run.setup.timetable ? dispatchOf(run.setup) : undefined;
  if (!dispatch) return undefined;
  const known = told.get(run.components);
  const kept = known && known.history === run.history ? known.kept : replayed(run, dispatch);
  if (known?.history !== run.history) told.set(run.components, { history: run.history, kept });
  if (!kept || isOverdue(run, dispatch, kept, watch)) return undefined;
  return ovensRight(run, dispatch, kept, watch);
}

/** Everything that has come, in order; nature's before the cook's where they came at one moment. */
function replayed(run: Run, dispatch: PromiseDispatch): Kept | undefined {
  const came: Came[] = knobsTurned(run);
  for (const { attempt, steps } of run.components) {
    if (attempt > 1) return undefined;
    for (const step of steps) {
      if (step.state === 'skipped') return undefined;
      if (step.state === 'waiting') continue;
      came.push({ point: { kind: 'start', step: step.step }, at: step.startedAt });
      if (step.state === 'ended') came.push({ point: { kind: 'end', step: step.step }, at: step.endedAt });
    }
  }
  const rank = ({ point }: Came): number => (point.kind === 'end' || point.kind === 'right' ? 0 : 1);
  const open = came.toSorted((a, b) => a.at - b.at || rank(a) - rank(b));
  let kept = dispatch.begin();
  while (open.length > 0) {
    const next = firstThatFits(dispatch, kept, open);
    if (!next) return undefined;
    open.splice(next.place, 1);
    kept = next.kept;
  }
  return kept;
}

/** The first of what came that may have come next: of what came at one moment, some may only come after others. */
function firstThatFits(
  dispatch: PromiseDispatch,
  before: Kept,
  open: readonly Came[],
): { readonly place: number; readonly kept: Kept } | undefined {
  for (const [place, each] of open.entries()) {
    if (each.at > (open[0]?.at ?? each.at)) return undefined;
    const kept = dispatch.observe(before, each);
    if (kept) return { place, kept };
  }
  return undefined;
}

/** The knobs that were turned ahead of a load, each with the setting that it was for; of a load that is in, the oven was right by then. */
function knobsTurned({ timetable, components, history, undone }: Run): Came[] {
  const gone = new Set(undone.map(({ event }) => event));
  const begun = new Map(
    components.flatMap(({ steps }) =>
      steps.flatMap((step): [StepId, EpochMs][] =>
        'startedAt' in step ? [[step.step, step.startedAt]] : [],
      ),
    ),
  );
  const open: OvenSetting[] = timetable.settings.filter(({ heat }) => heat.kind === 'at');
  return history.flatMap((event): Came[] => {
    if (event.kind !== 'oven set' || gone.has(event.id)) return [];
    const place = open.findIndex(({ oven, heat }) => oven === event.oven && sameHeat(heat, event.heat));
    const [setting] = place < 0 ? [] : open.splice(place, 1);
    if (!setting) return [];
    const start = begun.get(setting.step);
    const turned: Came = { point: { kind: 'turned', setting }, at: event.time };
    return start === undefined ? [turned] : [turned, { point: { kind: 'right', setting }, at: start }];
  });
}

/** Whether something takes longer than its range allows. */
function isOverdue(run: Run, dispatch: PromiseDispatch, kept: Kept, watch: Watch): boolean {
  return run.components.some(({ steps }) =>
    steps.some((step: StepRun) => {
      if (step.state !== 'running') return false;
      const latest = dispatch.latestOf(kept, { kind: 'end', step: step.step });
      return latest !== undefined && watch.reached(latest);
    }),
  );
}

/** With the ovens that have become right, and whose load is not in yet. */
function ovensRight(run: Run, dispatch: PromiseDispatch, kept: Kept, watch: Watch): Kept | undefined {
  let now: Kept | undefined = kept;
  for (const setting of run.timetable.settings) {
    const oven = ovenRun(run, setting.oven);
    if (!now || !oven || !sameHeat(oven.heat, setting.heat) || !watch.reached(oven.readyAt)) continue;
    const isOpen = dispatch.latestOf(now, { kind: 'right', setting }) !== undefined;
    if (isOpen) now = dispatch.observe(now, { point: { kind: 'right', setting }, at: oven.readyAt });
  }
  return now;
}
