import {
  isAtPlaces,
  leftOut,
  project,
  stageOf,
  type BenchState,
  type Call,
  type Projection,
  type StageStanding,
} from '../bench/index.ts';
import type { StepId } from '../plan/index.ts';
import type { Job, Showing, StageChange } from '../planner/index.ts';
import {
  countdown,
  plus,
  roughly,
  secondsBetween,
  seconds,
  type EpochMs,
  type Seconds,
} from '../units/index.ts';
import type { Tone } from './headline.ts';
import { lookupIn } from './lookup.ts';
import { callText } from './now.ts';
import { lateWords, outWords, swapAhead, swapNames, type SwapView } from './stage-swaps.ts';
import { clean, clockWords } from './text.ts';

/** A demonstration as its presenter sees it: plain data, every text safe to print. */
export interface StageView {
  readonly phase: StageStanding['phase'];
  /** `ON AIR`, `on air at 20:00, in 42 min`, `off air after 22:10`. */
  readonly head: string;
  /** Time on air, and what is left of it, in figures; a minus sign where it is past. */
  readonly onAir: string;
  readonly left: string;
  /** How it will end as it stands: `0:25 over`, `on time`, `0:40 under`; and the same with a sign: `+0:25`. */
  readonly pace: string;
  readonly sign: string;
  readonly tone: Tone;
  /** What is shown now; nothing before and after. */
  readonly now?: ShowingView;
  readonly next?: ShowingView;
  /** The copy to reach for next. */
  readonly swap?: SwapView;
  /** What the helper does, where there is one. */
  readonly helper?: string;
  /** The cut or stretch that is offered. */
  readonly change?: ChangeView;
  /** Calls that are due off view. */
  readonly due: readonly string[];
  /** A swap that will not be ready when it is wanted: `swap C: Choux shells, ready 20:04, wanted 20:02`. */
  readonly late?: string;
  /** What will not be shown, for want of a swap. */
  readonly out: readonly string[];
}

export interface ShowingView {
  readonly step: StepId;
  readonly what: string;
  /** Figures that count: what is left of it, or how long until it begins. */
  readonly figures: string;
  /** What they mean. */
  readonly meaning: 'left' | 'over' | 'to come' | 'waited for';
  /** The cue to speak. */
  readonly say?: string;
  /** `swap B`, `live`; nothing where nothing is on the table. */
  readonly from?: string;
  /** What is not over yet, where it cannot begin for that: `puffs: bake, over in 0:20`. */
  readonly waits?: string;
}

export interface ChangeView {
  readonly kind: 'cut' | 'stretch';
  readonly step: StepId;
  readonly to: Seconds;
  /** `cut to 20 s (0:25 less): pipe the lids`. */
  readonly words: string;
}

/** The same, from the run alone. */
export const stageOn = (state: BenchState, now: EpochMs): StageView | undefined =>
  state.setup.rundown && stageView(state, project(state, now), now);

/** How a demonstration is seen at `now`; nothing where the run is none. */
export function stageView(state: BenchState, projection: Projection, now: EpochMs): StageView | undefined {
  const stage = stageOf(state, now);
  if (!stage) return undefined;
  const { rundown } = stage;
  const helper = rundown.helper ? { helper: helperWords(state, stage, projection, now) } : {};
  const about = {
    ...helper,
    due: offView(state, now).map((call) => callText(call)),
    ...lateWords(state, now),
    out: outWords(state, rundown.showings),
  };
  switch (stage.phase) {
    case 'before': {
      const gone = leftOut(state);
      const first = rundown.showings.findIndex(({ step }) => !gone.has(step));
      const next = showingView(state, stage, first, stage.begins, now);
      return {
        ...about,
        phase: 'before',
        head: beforeWords(state, stage.begins, now),
        onAir: '0:00',
        left: countdown(rundown.lasts),
        pace: '',
        sign: '',
        tone: 'plain',
        ...(next ? { next } : {}),
        ...swapAhead(state, stage, first, () => stage.begins, now),
      };
    }
    case 'over':
      return {
        ...about,
        phase: 'over',
        head: `off air after ${countdown(secondsBetween(stage.begun, stage.ended))}`,
        onAir: countdown(secondsBetween(stage.begun, stage.ended)),
        left: countdown(0 - stage.over),
        ...paceWords(stage.over, rundown.within),
      };
    case 'on air':
      return { ...about, ...liveView(state, stage, now) };
  }
}

function liveView(
  state: BenchState,
  stage: Extract<StageStanding, { phase: 'on air' }>,
  now: EpochMs,
): Omit<StageView, 'due' | 'helper' | 'late' | 'out'> {
  const { rundown, onAir, outlook, change } = stage;
  const startOf = (index: number): EpochMs => outlook.slots[index - onAir.showing]?.start ?? outlook.end;
  const next =
    stage.next === undefined ? undefined : showingView(state, stage, stage.next, startOf(stage.next), now);
  const shown = shownNow(state, stage, now);
  const changed = rundown.showings.find(({ step }) => step === change?.showing);
  const onTheAir = secondsBetween(onAir.begun, now);
  return {
    phase: 'on air',
    head: 'ON AIR',
    onAir: countdown(onTheAir),
    left: countdown(Math.ceil(rundown.lasts - onTheAir)),
    ...paceWords(outlook.over, rundown.within),
    ...(shown ? { now: shown } : {}),
    ...(next ? { next } : {}),
    ...swapAhead(state, stage, stage.isGoing ? (stage.next ?? Infinity) : onAir.showing, startOf, now),
    ...(change && changed
      ? {
          change: {
            kind: change.to < change.from ? 'cut' : 'stretch',
            step: changed.step,
            to: change.to,
            words: changeWords(change, nameOf(changed)),
          } as const,
        }
      : {}),
  };
}

/** How the first line of every screen tells a demonstration: when it is on air, or how it will end. */
export function stageHeadline(
  state: BenchState,
  now: EpochMs,
):
  | { readonly service: string; readonly pace?: { readonly margin: string; readonly tone: Tone } }
  | undefined {
  const stage = stageOf(state, now);
  if (!stage) return undefined;
  const clock = (moment: EpochMs): string => clockWords(moment, now, state.setup.workload.kitchen.timeZone);
  if (stage.phase === 'before') {
    const service = `on air ${clock(stage.begins)}`;
    const late = Math.floor(secondsBetween(stage.begins, now));
    // Once everybody is at their places it waits for nothing but its presenter.
    return late > 0 && isAtPlaces(state)
      ? { service, pace: { margin: `${countdown(late)} late`, tone: 'care' } }
      : { service };
  }
  const isOver = stage.phase === 'over';
  const { pace, tone } = paceWords(isOver ? stage.over : stage.outlook.over, stage.rundown.within);
  return {
    service: `off air ${clock(isOver ? stage.ended : plus(stage.onAir.begun, stage.rundown.lasts))}`,
    pace: { margin: pace, tone },
  };
}

function changeWords({ from, to, gives }: StageChange, name: string): string {
  const [does, by] = to < from ? ['cut', 'less'] : ['stretch', 'more'];
  return `${does} to ${roughly(to)} (${countdown(gives)} ${by}): ${name}`;
}

const nameOf = ({ action }: Showing): string => clean(action);

/** A showing as it stands: what is left of it, or since when it is waited for. */
function shownNow(
  state: BenchState,
  { rundown, onAir, outlook, isGoing }: Extract<StageStanding, { phase: 'on air' }>,
  now: EpochMs,
): ShowingView | undefined {
  const showing = rundown.showings[onAir.showing];
  const [slot] = outlook.slots;
  if (!showing || !slot) return undefined;
  if (!isGoing) {
    const since = Math.max(onAir.begun, ...Object.values(onAir.ended ?? {}));
    const waited = (now - since) / 1000;
    const open = openStep(state, showing);
    const over = countdown(Math.max(0, Math.ceil(secondsBetween(now, slot.start))));
    return {
      ...told(state, showing),
      figures: countdown(waited),
      meaning: 'waited for',
      ...(open === undefined
        ? {}
        : { waits: `${lookupIn(state.setup.workload).called(open)}, over in ${over}` }),
    };
  }
  const chosen = onAir.lengths[showing.step] ?? showing.length.usual;
  const left = chosen - secondsBetween(onAir.since, now);
  return left >= 0
    ? { ...told(state, showing), figures: countdown(Math.ceil(left)), meaning: 'left' }
    : { ...told(state, showing), figures: countdown(0 - left), meaning: 'over' };
}

/** The first step that a showing waits for and that is not over, where its call does not stand for that. */
function openStep(state: BenchState, { step, after }: Showing): StepId | undefined {
  if (state.calls.some(({ asks }) => asks.kind === 'start' && asks.step === step)) return undefined;
  return state.components
    .flatMap((run) => run.steps)
    .find((run) => after.includes(run.step) && (run.state === 'running' || run.state === 'waiting'))?.step;
}

function showingView(
  state: BenchState,
  { rundown }: StageStanding,
  index: number,
  start: EpochMs,
  now: EpochMs,
): ShowingView | undefined {
  const showing = rundown.showings[index];
  if (!showing) return undefined;
  const wait = Math.max(0, Math.ceil(secondsBetween(now, start)));
  return { ...told(state, showing), figures: countdown(wait), meaning: 'to come' };
}

const told = (
  state: BenchState,
  { step, action, say, from }: Showing,
): Pick<ShowingView, 'step' | 'what' | 'say' | 'from'> => ({
  step,
  what: clean(action),
  ...(say === undefined ? {} : { say: clean(say) }),
  ...(from.kind === 'nothing' ? {} : { from: from.kind === 'live' ? 'live' : swapNames(state, from.swaps) }),
});

/** What the helper is at, or will be. */
function helperWords(
  state: BenchState,
  { rundown }: StageStanding,
  projection: Projection,
  now: EpochMs,
): string {
  const jobs = rundown.jobs.filter(({ who }) => who === 'helper');
  const called = ({ step }: Job): string => lookupIn(state.setup.workload).called(step);
  const runs = new Map(state.components.flatMap((run) => run.steps).map((run) => [run.step, run.state]));
  const going = jobs.find(({ step }) => runs.get(step) === 'running');
  if (going) return called(going);
  const isDue = ({ step }: Job): boolean =>
    state.calls.some(({ asks, due }) => asks.kind === 'start' && asks.step === step && due <= now);
  const due = jobs.find(isDue);
  if (due) return `now: ${called(due)}`;
  const ahead = jobs.find(({ step }) => runs.get(step) === 'waiting');
  if (!ahead) return 'nothing more';
  const start = projection.steps.find(({ step }) => step === ahead.step)?.start ?? ahead.start;
  const wait = Math.max(0, Math.ceil(secondsBetween(now, start)));
  return `free; ${called(ahead)} ${wait < 1 ? 'now' : `in ${wait < 600 ? countdown(wait) : roughly(seconds(wait))}`}`;
}

/**
 * Calls that are due and have to do with no showing: of what happens off view. While a showing is waited for also those that
 * would end what it waits for, due or not: whoever stands before an audience may take the tray out now.
 */
export function offView(state: BenchState, now: EpochMs): readonly Call[] {
  const stage = stageOf(state, now);
  if (!stage) return [];
  const shown = new Set<StepId>(stage.rundown.showings.map(({ step }) => step));
  const waited =
    stage.phase === 'on air' && !stage.isGoing
      ? new Set(stage.rundown.showings[stage.onAir.showing]?.after)
      : new Set<StepId>();
  return state.calls.filter(
    ({ asks, due }) =>
      !('step' in asks && shown.has(asks.step)) &&
      (due <= now || (asks.kind === 'done' && waited.has(asks.step))),
  );
}

function beforeWords(state: BenchState, begins: EpochMs, now: EpochMs): string {
  const wait = secondsBetween(now, begins);
  const clock = clockWords(begins, now, state.setup.workload.kitchen.timeZone);
  if (wait < 1) return `on air now (${clock})`;
  return `on air at ${clock}, in ${wait < 600 ? countdown(Math.ceil(wait)) : roughly(wait)}`;
}

/** Seconds are cut off towards what was planned, so that it does not flicker between on time and one second over. */
function paceWords(over: Seconds, within: Seconds): Pick<StageView, 'pace' | 'sign' | 'tone'> {
  const off = Math.floor(Math.abs(over));
  if (off === 0) return { pace: 'on time', sign: '0:00', tone: 'good' };
  const figures = countdown(off);
  const tone = Math.abs(over) <= within ? 'good' : over > 0 ? 'bad' : 'care';
  return over > 0
    ? { pace: `${figures} over`, sign: `+${figures}`, tone }
    : { pace: `${figures} under`, sign: `-${figures}`, tone };
}
