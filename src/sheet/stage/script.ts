import type { Step, StepId } from '../../plan/index.ts';
import type {
  OvenSetting,
  PlannedStep,
  Rundown as StageRundown,
  Showing,
  Swap,
} from '../../planner/index.ts';
import {
  clockFrom,
  countdown,
  formatDuration,
  roughly,
  seconds,
  secondsBetween,
  type EpochMs,
  type Seconds,
} from '../../units/index.ts';
import { labelOf, namingOf, type Naming } from '../naming.ts';
import { ends, heatWords } from '../words.ts';
import { frameSteps } from './prep.ts';

/** The demonstration minute by minute, in words: what every form of the rundown is written from. */
export interface Script {
  readonly rows: readonly Row[];
}

/**
 * One thing that happens on air. `show`, `talk`, `break` and `beauty` are what the audience sees; `you` is the presenter's
 * work while nobody looks, `helper` the helper's, `near` what somebody keeps half an eye on, `alone` what wants no hands,
 * and `set` the knob of an oven.
 */
export interface Row {
  readonly kind: 'show' | 'talk' | 'break' | 'beauty' | 'you' | 'helper' | 'near' | 'alone' | 'set';
  readonly at: EpochMs;
  readonly end: EpochMs;
  readonly what: string;
  /** Each with its name: `from`, `bring`, `say`, `ends`. */
  readonly details: readonly { readonly name: string; readonly words: string }[];
}

/** What happens on air, in order of time; what the audience sees before what happens behind it at the same moment. */
export function scriptOf(rundown: StageRundown): Script {
  const naming = namingOf(rundown.workload);
  const left = new Set<StepId>([...rundown.showings.map(({ step }) => step), ...frameSteps(rundown)]);
  // What is over as soon as it is begun (a rest that may be left out) is nothing to be told.
  const behind = rundown.timetable.steps.filter(
    ({ step, start, end }) =>
      !left.has(step) && start >= rundown.begins && start < rundown.ends && end > start,
  );
  const knobs = rundown.timetable.settings.filter(({ at }) => at >= rundown.begins && at < rundown.ends);
  const rows = [
    ...rundown.showings.map((showing) => showingRow(naming, rundown, showing)),
    ...behind.flatMap((planned) => workRow(naming, rundown, planned)),
    ...knobs.map(knobRow),
  ];
  return { rows: rows.toSorted((a, b) => a.at - b.at) };
}

/** So long after it went on air: `3:20`. */
export const onAir = ({ begins }: StageRundown, moment: EpochMs): string =>
  countdown(secondsBetween(begins, moment));

/** A moment as whoever stands on stage reads it: `3:20 on air`, or the wall clock before and after. */
export function stageClock(rundown: StageRundown, moment: EpochMs): string {
  const { begins, ends: over, workload } = rundown;
  return moment >= begins && moment <= over
    ? `${onAir(rundown, moment)} on air`
    : clockFrom(moment, begins, workload.kitchen.timeZone);
}

/** `after chill`, or `in bake, 30 s before its end`. */
export function stateWords({ component, state }: Swap): string {
  const name = state.step.startsWith(`${component}.`) ? state.step.slice(component.length + 1) : state.step;
  return state.kind === 'after'
    ? `after ${name}`
    : `in ${name}, ${formatDuration(state.left)} before its end`;
}

/** Where a swap stands when it is wanted: where it waits, else the oven that it is still in, else the bench. */
export function placeOf(
  { workload, timetable }: StageRundown,
  { waits, made, ready, state, for: use }: Swap,
): string {
  const wait = waits.at(-1);
  if (wait) return wait.where;
  const own = workload.components.find(({ id }) => id === made[0])?.steps.map(({ id }) => id) ?? [];
  const inside = timetable.steps.find(({ step, end }) =>
    state.kind === 'inside' ? step === use : own.includes(step) && end === ready,
  );
  return inside?.oven ?? 'bench';
}

function showingRow(naming: Naming, rundown: StageRundown, showing: Showing): Row {
  const { shows, start, end, say } = showing;
  const from = fromWords(naming, rundown, showing);
  const bring = showing.brings.map((brought) =>
    brought.kind === 'swap'
      ? swapWords(rundown, brought.swap)
      : `${componentOf(naming, brought.step)}, carried on`,
  );
  return {
    kind: shows.kind === 'step' ? 'show' : shows.kind,
    at: start,
    end,
    what:
      shows.kind === 'step' ? `${shows.component}: ${showing.action}${partWords(showing)}` : showing.action,
    details: [
      ...(from === undefined ? [] : [{ name: 'from', words: from }]),
      ...bring.map((words) => ({ name: 'bring', words })),
      ...(say === undefined ? [] : [{ name: 'say', words: say }]),
      ...endWords(showing),
      ...(isTight(showing) ? [{ name: 'tight', words: `${tightWords(showing.slack)} off view` }] : []),
    ],
  };
}

/** Whether something may not be ready in time. */
export const isTight = <T extends { readonly slack?: Seconds }>(
  timed: T,
): timed is T & { readonly slack: Seconds } => timed.slack !== undefined && timed.slack < 0;

/** `2 min late if all takes its longest`; what has time in hand is not told. */
export const tightWords = (slack: Seconds): string =>
  `${roughly(seconds(0 - slack))} late if all takes its longest`;

function partWords({ shows, length }: Showing): string {
  if (shows.kind !== 'step' || shows.part === 'whole') return '';
  return `, the ${shows.part} ${formatDuration(length.usual)}`;
}

function fromWords(naming: Naming, rundown: StageRundown, { from, shows }: Showing): string | undefined {
  switch (from.kind) {
    case 'nothing':
      return shows.kind === 'step' ? 'begun here' : undefined;
    case 'swap':
      return from.swaps.map((id) => swapWords(rundown, id)).join('; ');
    case 'live': {
      const since = rundown.showings.find(({ step }) => step === from.since);
      const steps = from.steps.flatMap((id) => naming.known.get(id)?.step.name ?? []);
      const when = since ? ` at ${onAir(rundown, since.start)}` : '';
      return `the one shown${when}${steps.length > 0 ? `, since then ${steps.join(', ')}` : ''}`;
    }
  }
}

function swapWords(rundown: StageRundown, id: string): string {
  const swap = rundown.swaps.find((each) => each.id === id);
  if (!swap) return `swap ${id}`;
  const until = swap.useBy === undefined ? '' : `, use by ${stageClock(rundown, swap.useBy)}`;
  return `swap ${id}, ${swap.title} ${stateWords(swap)} (${placeOf(rundown, swap)}${until})`;
}

const componentOf = (naming: Naming, id: StepId): string => {
  const found = naming.known.get(id);
  return found ? labelOf(naming, found.component) : id;
};

/** What it may come to, where it may come to anything else. */
function endWords({ decides, shortest, longest, length }: Showing): Row['details'] {
  if (decides === 'nature')
    return length.low === length.high ? [] : [{ name: 'takes', words: ends(length.low, length.high) }];
  return shortest === longest ? [] : [{ name: 'may be', words: ends(shortest, longest) }];
}

function workRow(naming: Naming, rundown: StageRundown, { step: id, start, end, oven }: PlannedStep): Row[] {
  const found = naming.known.get(id);
  if (!found) return [];
  const { step, component } = found;
  const who = rundown.jobs.find((job) => job.step === id)?.who;
  const where = oven === undefined ? '' : ` [${[oven, ...ovenWords(step)].join(', ')}]`;
  return [
    {
      kind: who === 'presenter' ? 'you' : (who ?? (step.hands === 'near' ? 'near' : 'alone')),
      at: start,
      end,
      what: `${labelOf(naming, component)}: ${step.action}${where}`,
      details: step.caution === undefined ? [] : [{ name: '!', words: step.caution }],
    },
  ];
}

const ovenWords = ({ oven }: Step): string[] => (oven ? [heatWords(oven.heat)] : []);

const knobRow = ({ oven, heat, at, hotBy }: OvenSetting): Row => ({
  kind: 'set',
  at,
  end: hotBy,
  what: heat.kind === 'off' ? `${oven} off` : `${oven} to ${heatWords(heat)}`,
  details: [],
});
