import {
  project,
  stageOf,
  type BenchState,
  type Call,
  type Projection,
  type StageStanding,
} from '../bench/index.ts';
import type { StepId } from '../plan/index.ts';
import type { Job, Showing, StageChange, Swap } from '../planner/index.ts';
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

export interface SwapView {
  /** `B: shells, after bake low, 1 backup`. */
  readonly what: string;
  /** `freezer shelf`, `bench`. */
  readonly where: string;
  /** How long until it is wanted: `now`, `in 2:10`. */
  readonly wanted: string;
  /** `use by 20:31`, `to be used by 19:58, 2 min ago`; nothing where it keeps. */
  readonly by?: string;
  readonly late: boolean;
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
  const about = { ...helper, due: offView(state, now).map((call) => callText(call)) };
  switch (stage.phase) {
    case 'before': {
      const next = showingView(stage, 0, stage.begins, now);
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
        ...swapAhead(state, stage, 0, () => stage.begins, now),
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
): Omit<StageView, 'due' | 'helper'> {
  const { rundown, onAir, outlook, change } = stage;
  const startOf = (index: number): EpochMs => outlook.slots[index - onAir.showing]?.start ?? outlook.end;
  const next =
    stage.next === undefined ? undefined : showingView(stage, stage.next, startOf(stage.next), now);
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
  if (stage.phase === 'before') return { service: `on air ${clock(stage.begins)}` };
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
      ...told(showing),
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
    ? { ...told(showing), figures: countdown(Math.ceil(left)), meaning: 'left' }
    : { ...told(showing), figures: countdown(0 - left), meaning: 'over' };
}

/** The first step that a showing waits for and that is not over, where its call does not stand for that. */
function openStep(state: BenchState, { step, after }: Showing): StepId | undefined {
  if (state.calls.some(({ asks }) => asks.kind === 'start' && asks.step === step)) return undefined;
  return state.components
    .flatMap((run) => run.steps)
    .find((run) => after.includes(run.step) && (run.state === 'running' || run.state === 'waiting'))?.step;
}

function showingView(
  { rundown }: StageStanding,
  index: number,
  start: EpochMs,
  now: EpochMs,
): ShowingView | undefined {
  const showing = rundown.showings[index];
  if (!showing) return undefined;
  const wait = Math.max(0, Math.ceil(secondsBetween(now, start)));
  return { ...told(showing), figures: countdown(wait), meaning: 'to come' };
}

const told = (showing: Showing): Pick<ShowingView, 'step' | 'what' | 'say' | 'from'> => ({
  step: showing.step,
  what: nameOf(showing),
  ...(showing.say === undefined ? {} : { say: clean(showing.say) }),
  ...(showing.from.kind === 'nothing'
    ? {}
    : {
        from:
          showing.from.kind === 'live'
            ? 'live'
            : `swap ${showing.from.swaps.map((id) => clean(id)).join(' and ')}`,
      }),
});

/** The first copy that a showing from `from` on takes, with where it stands. */
function swapAhead(
  state: BenchState,
  { rundown }: StageStanding,
  from: number,
  startOf: (index: number) => EpochMs,
  now: EpochMs,
): { readonly swap?: SwapView } {
  for (const [index, showing] of rundown.showings.entries()) {
    if (index < from) continue;
    const ids = [
      ...(showing.from.kind === 'swap' ? showing.from.swaps : []),
      ...showing.brings.flatMap((brought) => (brought.kind === 'swap' ? [brought.swap] : [])),
    ];
    const swap = rundown.swaps.find(({ id, use }) => ids.includes(id) && use !== 'needed');
    const other = swap ?? rundown.swaps.find(({ id }) => ids.includes(id));
    if (other) return { swap: swapView(state, other, startOf(index), now) };
  }
  return {};
}

function swapView(state: BenchState, swap: Swap, at: EpochMs, now: EpochMs): SwapView {
  const { kitchen } = state.setup.workload;
  const wait = Math.ceil(secondsBetween(now, at));
  const place = swap.waits.findLast(({ from }) => from <= now) ?? swap.waits[0];
  const late = swap.useBy !== undefined && swap.useBy < now;
  const clock = swap.useBy === undefined ? undefined : clockWords(swap.useBy, now, kitchen.timeZone);
  return {
    what: `${clean(swap.id)}: ${clean(swap.title)}, ${stateWords(swap)}${swap.backups > 0 ? `, ${swap.backups} backup` : ''}`,
    where: clean(place?.where ?? 'bench'),
    wanted: wait < 1 ? 'now' : `in ${countdown(wait)}`,
    ...(clock === undefined ? {} : { by: late ? `was to be used by ${clock}` : `use by ${clock}` }),
    late,
  };
}

/** `after bake low`, `2 min before the end of bake low`. */
function stateWords({ state: stands }: Swap): string {
  const name = clean(stands.step.slice(stands.step.lastIndexOf('.') + 1));
  return stands.kind === 'after' ? `after ${name}` : `${roughly(stands.left)} before the end of ${name}`;
}

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
