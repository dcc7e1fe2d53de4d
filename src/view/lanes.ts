import type { BenchState, Call, ComponentRun, StepRun } from '../bench/index.ts';
import type { Component, ComponentId, Hands, Step, StepId } from '../plan/index.ts';
import { countdown, earlier, plus, roughly, seconds, secondsBetween, type EpochMs } from '../units/index.ts';
import { span, type Axis } from './axis.ts';
import { lookupIn, runningStep, waitingStep, type Stretch } from './lookup.ts';
import { isSoon, SOON_S } from './soon.ts';
import { clean, clockWords } from './text.ts';
import type { Tone } from './headline.ts';

/** A step's stretch on the shared axis: columns from `from` up to but not including `to`. */
export interface Segment {
  readonly step: string;
  readonly from: number;
  readonly to: number;
  readonly state: Stretch['state'];
  readonly hands: Hands;
}

/** One component as it stands. */
export interface LaneView {
  /** 1 to 9 can be chosen by a key; further ones have none. */
  readonly number?: number;
  readonly component: ComponentId;
  readonly name: string;
  /** A sign one cell wide, and the word it stands for. */
  readonly mark: string;
  readonly word: 'waits' | 'runs' | 'due' | 'out' | 'done';
  /** The step that runs or comes next. */
  readonly step: string;
  /** What the figures count, in at most four cells before them: `in`, `left`, `for`, `over`, `due`, `out`, `keep`. */
  readonly lead: string;
  /** What counts, in at most seven cells: `7:30`, `1 h 25`. Empty where nothing does. Never a time of day. */
  readonly figures: string;
  /** What else there is to say of them; a time of day always has its word: `at 02:55`, `to 18:40`, `of 9-13 min`, `left, out since 18:02`. */
  readonly meaning: string;
  /** The meaning in at most eight cells; empty where the lead says enough. */
  readonly brief: string;
  /** 2 where it is being made a second time. */
  readonly attempt: number;
  readonly tone: Tone;
  /** When it is wanted next: a call, an end, a start, a limit. Nothing where it is done, and keeps. */
  readonly at?: EpochMs;
  /** That is within ten minutes, or past. */
  readonly soon: boolean;
  readonly segments: readonly Segment[];
}

const MARKS: Readonly<Record<LaneView['word'], string>> = {
  waits: '○',
  runs: '▶',
  due: '●',
  out: '◆',
  done: '✔',
};

/** One lane for each component, in the order of the workload. */
export function laneViews(
  state: BenchState,
  times: ReadonlyMap<StepId, Stretch>,
  axis: Axis,
  now: EpochMs,
): LaneView[] {
  const lookup = lookupIn(state.setup.workload);
  const context: Context = {
    state,
    times,
    now,
    clock: (at) => clockWords(at, now, state.setup.workload.kitchen.timeZone),
  };
  return state.components.flatMap((run, index) => {
    const component = lookup.component(run.component);
    if (!component) return [];
    const status = { ...statusOf(context, run), ...dyingOf(context, run, component) };
    const at = wantedAt(context, run, component);
    return [
      {
        ...(index < 9 ? { number: index + 1 } : {}),
        component: run.component,
        name: lookup.nameOf(component.id),
        ...status,
        mark: MARKS[status.word],
        attempt: run.attempt,
        ...(at === undefined ? {} : { at }),
        soon: at !== undefined && isSoon(at, now),
        segments: segmentsOf(run, times, axis),
      },
    ];
  });
}

interface Context {
  readonly state: BenchState;
  readonly times: ReadonlyMap<StepId, Stretch>;
  readonly now: EpochMs;
  readonly clock: (moment: EpochMs) => string;
}

type Status = Pick<LaneView, 'word' | 'step' | 'lead' | 'figures' | 'meaning' | 'brief' | 'tone'>;

function statusOf(context: Context, run: ComponentRun): Status {
  const lookup = lookupIn(context.state.setup.workload);
  const running = runningStep(run);
  const step = running ? lookup.step(running.step) : undefined;
  const due = dueCall(context, run);
  if (due) {
    const asked = 'step' in due.asks ? lookup.step(due.asks.step) : undefined;
    return {
      word: 'due',
      step: clean((step ?? asked)?.name ?? ''),
      lead: 'due',
      figures: lengthWords(secondsBetween(due.due, context.now)),
      meaning: 'ago',
      brief: 'ago',
      tone: 'care',
    };
  }
  if (running && step)
    return { word: 'runs', step: clean(step.name), ...runningFigures(running, step, context) };
  return waitingStatus(context, run);
}

const dueCall = ({ state, now }: Context, run: ComponentRun): Call | undefined =>
  state.calls.find(
    (call) =>
      call.due <= now &&
      (call.asks.kind === 'start' || call.asks.kind === 'done') &&
      (call.component ?? lookupIn(state.setup.workload).step(call.asks.step)?.component) === run.component,
  );

function waitingStatus({ state, times, now, clock }: Context, run: ComponentRun): Status {
  const next = waitingStep(run);
  const step = next ? lookupIn(state.setup.workload).step(next.step) : undefined;
  if (!next || !step) {
    const at = run.finishedAt === undefined ? '' : `at ${clock(run.finishedAt)}`;
    return { word: 'done', step: 'done', lead: '', figures: '', meaning: at, brief: at, tone: 'quiet' };
  }
  const start = times.get(next.step)?.start;
  const wait = start === undefined ? 0 : secondsBetween(now, start);
  const at = start === undefined ? '' : wait > 0 ? `at ${clock(start)}` : 'soon';
  return {
    word: 'waits',
    step: clean(step.name),
    ...(wait > 0 ? { lead: 'in', figures: waitWords(wait) } : { lead: '', figures: '' }),
    meaning: at,
    brief: at.length > BRIEF ? at.replace('at ', '') : at,
    tone: 'quiet',
  };
}

/** Cells a brief meaning may take. */
const BRIEF = 8;
/** A length that runs, in at most seven cells: to the second within the hour, `2 h 54` above it. */
const lengthWords = (length: number): string =>
  length < 3600 ? countdown(length) : roughly(seconds(length));

/** How long until something begins, to the second once it is near: `4:10`, `25 min`, `1 h 25`, `2 d 3 h`. */
const waitWords = (wait: number): string => (wait < SOON_S ? countdown(wait) : roughly(seconds(wait)));

function runningFigures(
  running: Extract<StepRun, { state: 'running' }>,
  step: Step,
  { now, clock }: Context,
): Pick<Status, 'lead' | 'figures' | 'meaning' | 'brief' | 'tone'> {
  const elapsed = secondsBetween(running.startedAt, now);
  const { length } = step;
  if (length.kind === 'rest') {
    const ready = running.readyAt ?? plus(running.startedAt, length.atLeast + running.extra);
    const left = secondsBetween(now, ready);
    if (left > 0) {
      const to = `to ${clock(ready)}`;
      return {
        lead: 'left',
        figures: lengthWords(left),
        meaning: to,
        brief: to.length > BRIEF ? '' : to,
        tone: 'plain',
      };
    }
    const till = length.atMost === undefined ? '' : `till ${clock(plus(running.startedAt, length.atMost))}`;
    return { lead: '', figures: 'ready', meaning: till, brief: '', tone: 'plain' };
  }
  const { low, high } = length.range;
  const longest = high + running.extra;
  const left = longest - elapsed;
  const range = rangeWords(low + running.extra, longest);
  const short = `of ${range.replace(' min', '')}`;
  const of = { meaning: `of ${range}`, brief: short.length > BRIEF ? range : short };
  if (left < 0) {
    const past = `past ${rangeWords(longest, longest)}`;
    return {
      lead: 'over',
      figures: lengthWords(Math.abs(left)),
      meaning: past,
      brief: past.replace(' min', ''),
      tone: 'care',
    };
  }
  // Ended by the clock: what is left counts. Ended by a person: how long it has been, against its range.
  if (length.kind === 'takes' && low === high && step.until === undefined) {
    const to = `to ${clock(plus(running.startedAt, longest))}`;
    return { lead: 'left', figures: lengthWords(left), meaning: to, brief: to, tone: 'plain' };
  }
  return { lead: 'for', figures: lengthWords(elapsed), ...of, tone: 'plain' };
}

/** `9-13 min`, `40-80 s`, `12 min`, `5:20`. */
export function rangeWords(low: number, high: number): string {
  if (low === high) return high > 60 && high % 60 !== 0 ? countdown(high) : roughly(seconds(high));
  if (high < 180) return `${Math.round(low)}-${Math.round(high)} s`;
  if (high < 7200) return `${Math.round(low / 60)}-${Math.round(high / 60)} min`;
  return `${roughly(seconds(low))}-${roughly(seconds(high))}`;
}

/** A finished component that keeps for longer than this is not worth a word. */
const WORTH_SAYING = 2 * 3600;

/**
 * What is spoiling while it waits takes the place of the lane's figures: a step that may wait only so long after the one
 * before it, or a finished component that keeps so long.
 */
function dyingOf(context: Context, run: ComponentRun, component: Component): Partial<Status> {
  const { now, clock } = context;
  const dying = limitOf(context, run, component);
  if (!dying) return {};
  const { kept } = dying;
  const left = secondsBetween(now, plus(dying.since, dying.limit));
  if (kept && left > WORTH_SAYING) return {};
  const past = left < 0;
  return {
    ...(kept || dueCall(context, run) ? {} : { word: 'out' as const }),
    lead: past ? 'over' : kept ? 'keep' : 'out',
    figures: lengthWords(Math.abs(left)),
    meaning: past ? 'too long' : `left, ${kept ? 'done' : 'out'} ${clock(dying.since)}`,
    brief: past ? 'too long' : 'left',
    tone: past ? 'bad' : left < Math.max(60, dying.limit / 4) ? 'care' : 'plain',
  };
}

/** Since when it spoils while it waits, and for how long it may; `kept`: it is finished and keeps so long. */
function limitOf(
  { state }: Context,
  run: ComponentRun,
  component: Component,
): { readonly since: EpochMs; readonly limit: number; readonly kept: boolean } | undefined {
  if (state.servedAt !== undefined || runningStep(run)) return undefined;
  const next = waitingStep(run);
  const nextIndex = next ? run.steps.indexOf(next) : -1;
  const before = run.steps[nextIndex - 1];
  const within = component.steps[nextIndex]?.within;
  if (before?.state === 'ended' && within !== undefined)
    return { since: before.endedAt, limit: within, kept: false };
  return run.finishedAt !== undefined && component.keeps !== undefined && !usedUp(state, component)
    ? { since: run.finishedAt, limit: component.keeps, kept: true }
    : undefined;
}

/** When the component is wanted next, by whoever looks after it. */
function wantedAt(context: Context, run: ComponentRun, component: Component): EpochMs | undefined {
  const due = dueCall(context, run);
  if (due) return due.due;
  const standing = runningStep(run) ?? waitingStep(run);
  const stretch = standing && context.times.get(standing.step);
  const dying = limitOf(context, run, component);
  const moments = [
    ...(stretch ? [stretch.state === 'running' ? stretch.end : stretch.start] : []),
    ...(dying ? [plus(dying.since, dying.limit)] : []),
  ];
  return moments.length === 0 ? undefined : moments.reduce(earlier);
}

/** Whether every step that needs the component has ended. Where none does, it is kept until service. */
function usedUp(state: BenchState, component: Component): boolean {
  const last = component.steps.at(-1)?.id;
  const users = state.setup.workload.components.flatMap((each) =>
    each.steps.filter((step) => last !== undefined && step.needs.includes(last)).map((step) => step.id),
  );
  if (users.length === 0) return false;
  const over = new Set(
    state.components.flatMap((run) =>
      run.steps.filter((step) => step.state === 'ended' || step.state === 'skipped').map((step) => step.step),
    ),
  );
  return users.every((user) => over.has(user));
}

function segmentsOf(run: ComponentRun, times: ReadonlyMap<StepId, Stretch>, axis: Axis): Segment[] {
  return run.steps.flatMap(({ step }) => {
    const stretch = times.get(step);
    const columns = stretch ? span(axis, stretch.start, stretch.end) : undefined;
    if (!stretch || !columns) return [];
    return [{ step: clean(stretch.step.name), ...columns, state: stretch.state, hands: stretch.step.hands }];
  });
}
