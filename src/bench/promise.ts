import {
  promiseDispatch,
  type Came,
  type Kept,
  promiseOnTheWay,
  type OvenSetting,
  type PromiseDispatch,
  type PromisePoint,
  type Timetable,
} from '../planner/index.ts';
import type { StepId } from '../plan/index.ts';
import { earlier, later, type EpochMs } from '../units/index.ts';
import type { BenchEvent, RunSetup } from './events.ts';
import { called, lookup, must, ovenRun } from './lookup.ts';
import { sameHeat } from './oven-reckoning.ts';
import type { BenchState, StepRun } from './state.ts';
import type { Watch } from './watch.ts';

/*
 * Where a run is to keep its promise, and what is told holds whatever happens within the ranges, calls come when that says: held
 * back while it is wise to wait, and earlier than planned where it would be too late by then. Once something has gone out of
 * its bounds calls come as they always do, until what is left is found to hold again (promise-standing.ts).
 */

type Run = Pick<
  BenchState,
  'setup' | 'timetable' | 'components' | 'ovens' | 'history' | 'undone' | 'promise'
>;

type Since = NonNullable<BenchState['promise']>['since'];

const dispatches = new WeakMap<
  RunSetup | NonNullable<Since>,
  { readonly dispatch: PromiseDispatch | undefined }
>();

/** How what is told now is kept, from the beginning or from where it was last reckoned; nothing where that does not hold. */
function dispatchOf({ setup, timetable, promise }: Run): PromiseDispatch | undefined {
  if (setup.keeps !== 'promise' || toldIn(setup, promise?.since) !== timetable) return undefined;
  const from = promise?.since ?? setup;
  const known = dispatches.get(from);
  if (known) return known.dispatch;
  const { workload } = setup;
  const dispatch = promise?.since
    ? promiseOnTheWay(workload, timetable, promise.since.progress)
    : promiseDispatch(workload, timetable, setup.begunAt);
  dispatches.set(from, { dispatch });
  return dispatch;
}

/** The timetable for which it was last reckoned. */
export const toldIn = (setup: RunSetup, since: Since): Timetable => since?.progress.told ?? setup.timetable;

/** Whether what is told holds now whatever nature does within the ranges, and if it held and does no more, why. */
export type PromiseStanding = { readonly kind: 'holds' } | { readonly kind: 'off'; readonly why?: string };

export function promiseStanding(run: Run, watch: Watch): PromiseStanding {
  const kept = keptIn(run, watch);
  return 'kept' in kept ? { kind: 'holds' } : { kind: 'off', ...kept };
}

/** When a call is due that would be due at `due`; `waits`: it does not come yet, because others must come first. */
export function promisedDue(run: Run, point: PromisePoint, due: EpochMs, watch: Watch): EpochMs | 'waits' {
  const found = keptIn(run, watch);
  const leash = 'kept' in found ? found.dispatch.leashOf(found.kept, point) : undefined;
  if (!leash) return due;
  if (leash.kind === 'waits') return 'waits';
  const { notBefore, notAfter } = leash;
  const held = later(due, notBefore);
  return notAfter === undefined ? held : earlier(held, notAfter);
}

type Found = { readonly kept: Kept } | { readonly why?: string };

interface Told {
  readonly history: readonly BenchEvent[];
  readonly dispatch: PromiseDispatch;
  readonly found: Found;
}

/** What has come so far, by the runs of the components as they stood with a history. */
const told = new WeakMap<BenchState['components'], Told>();

/** How far the promise has been kept; why not, where there is none any more. */
function keptIn(
  run: Run,
  watch: Watch,
): { readonly kept: Kept; readonly dispatch: PromiseDispatch } | { readonly why?: string } {
  const dispatch = dispatchOf(run);
  if (!dispatch) return {};
  let known = told.get(run.components);
  if (known?.history !== run.history || known.dispatch !== dispatch) {
    known = { history: run.history, dispatch, found: replayed(run, dispatch) };
    told.set(run.components, known);
  }
  const { found } = known;
  if (!('kept' in found)) return found;
  const outrun = outrunning(run, dispatch, found.kept, watch);
  if (outrun) return { why: `${nameOf(run, outrun.step)} takes longer than its range` };
  const kept = ovensRight(run, dispatch, found.kept, watch);
  return kept ? { kept, dispatch } : { why: 'an oven took longer than it may' };
}

/** Everything that has come, in order; nature's before the cook's where they came at one moment. */
function replayed(run: Run, dispatch: PromiseDispatch): Found {
  const came: Came[] = knobsTurned(run, dispatch);
  for (const [index, { attempt, component, steps }] of run.components.entries()) {
    if (attempt !== (run.promise?.since?.attempts[index] ?? 1))
      return { why: `${must(lookup(run.setup.workload).components, component).name} is made again` };
    for (const step of steps) {
      const [start, end] = [
        { kind: 'start', step: step.step },
        { kind: 'end', step: step.step },
      ] as const;
      const isNew = dispatch.knows(start) || dispatch.knows(end);
      if (step.state === 'waiting' || !isNew) continue;
      if (step.state === 'skipped') return { why: `${nameOf(run, step.step)} was skipped` };
      came.push({ point: start, at: step.startedAt });
      if (step.state === 'ended') came.push({ point: end, at: step.endedAt });
    }
  }
  const rank = ({ point }: Came): number => (point.kind === 'end' || point.kind === 'right' ? 0 : 1);
  const open = came.toSorted((a, b) => a.at - b.at || rank(a) - rank(b));
  let kept = dispatch.begin();
  while (open.length > 0) {
    const next = firstThatFits(dispatch, kept, open);
    if (!next) return { why: open[0] ? whyNot(run, open[0], dispatch, kept) : '' };
    open.splice(next.place, 1);
    kept = next.kept;
  }
  return { kept };
}

/** Why what came does not fit. */
function whyNot(run: Run, { point, at }: Came, dispatch: PromiseDispatch, kept: Kept): string {
  const leash = dispatch.leashOf(kept, point);
  const isLate = leash?.kind === 'open' && at > leash.notBefore;
  switch (point.kind) {
    case 'start':
      return `${nameOf(run, point.step)} began ${isLate ? 'too late' : 'before its turn'}`;
    case 'end': {
      const latest = dispatch.latestOf(kept, point);
      const much = latest === undefined ? 'another time' : at > latest ? 'longer' : 'less';
      return `${nameOf(run, point.step)} took ${much} than its range`;
    }
    case 'turned':
    case 'right':
      return `the ${point.setting.oven} was set ${isLate ? 'too late' : 'before its turn'}`;
  }
}

const nameOf = ({ setup }: Run, step: StepId): string => called(must(lookup(setup.workload).placed, step));

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
function knobsTurned({ components, history, undone, promise }: Run, dispatch: PromiseDispatch): Came[] {
  const gone = new Set(undone.map(({ event }) => event));
  const begun = new Map(
    components.flatMap(({ steps }) =>
      steps.flatMap((step): [StepId, EpochMs][] =>
        'startedAt' in step ? [[step.step, step.startedAt]] : [],
      ),
    ),
  );
  const from = promise?.since?.progress.now;
  const open: OvenSetting[] = [...dispatch.settings];
  return history.flatMap((event): Came[] => {
    if (event.kind !== 'oven set' || gone.has(event.id)) return [];
    if (from !== undefined && event.time <= from) return [];
    const place = open.findIndex(({ oven, heat }) => oven === event.oven && sameHeat(heat, event.heat));
    const [setting] = place < 0 ? [] : open.splice(place, 1);
    if (!setting) return [];
    const start = begun.get(setting.step);
    const turned: Came = { point: { kind: 'turned', setting }, at: event.time };
    return start === undefined ? [turned] : [turned, { point: { kind: 'right', setting }, at: start }];
  });
}

/** What takes longer than its range allows. */
function outrunning(run: Run, dispatch: PromiseDispatch, kept: Kept, watch: Watch): StepRun | undefined {
  return run.components
    .flatMap(({ steps }) => steps)
    .find((step) => {
      if (step.state !== 'running') return false;
      const latest = dispatch.latestOf(kept, { kind: 'end', step: step.step });
      return latest !== undefined && watch.reached(latest);
    });
}

/** With the ovens that have become right, and whose load is not in yet. */
function ovensRight(run: Run, dispatch: PromiseDispatch, kept: Kept, watch: Watch): Kept | undefined {
  let now: Kept | undefined = kept;
  for (const setting of dispatch.settings) {
    const oven = ovenRun(run, setting.oven);
    if (!now || !oven || !sameHeat(oven.heat, setting.heat) || !watch.reached(oven.readyAt)) continue;
    const isOpen = dispatch.latestOf(now, { kind: 'right', setting }) !== undefined;
    if (isOpen) now = dispatch.observe(now, { point: { kind: 'right', setting }, at: oven.readyAt });
  }
  return now;
}
