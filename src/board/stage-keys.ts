import {
  answer,
  copiesLeft,
  lateSwaps,
  leftOut,
  stageOf,
  type BenchState,
  type StageStanding,
} from '../bench/index.ts';
import type { StepId } from '../plan/index.ts';
import { plus, roughly, seconds, secondsBetween } from '../units/index.ts';
import { callText, clean, lookupIn, offView, pressWord, topmost } from '../view/index.ts';
import { ask, only, refuse, send, type Key, type Pressed, type Pressing } from './pressed.ts';
import { noted, TAKE_BACK, unprompted, type Prompt, type Ui } from './ui.ts';

/** A showing that has just begun is not over yet, s: the press was for the one before. A word is typed for what it says. */
const HASTE_S = 1;

type OnStage = Extract<StageStanding, { phase: 'on air' }>;

/** Whether the board shows the stage: while it is on air, unless the cook has chosen otherwise meanwhile. */
export const showsStage = ({ page, stage }: Ui, phase: StageStanding['phase'] | undefined): boolean =>
  page === 'board' && phase !== undefined && (stage?.phase === phase ? stage.isShown : phase === 'on air');

/** What a key of the stage does; nothing where it is none, or the run no demonstration. */
export function stagePress(ui: Ui, key: Key, pressing: Pressing, haste = HASTE_S): Pressed | undefined {
  const stage = stageOf(pressing.state, pressing.now);
  if (!stage) return undefined;
  switch (key) {
    case 'g':
      return only({
        ...ui,
        page: 'board',
        stage: { phase: stage.phase, isShown: !showsStage(ui, stage.phase) },
      });
    case 'c':
      return change(ui, stage, 'cut', pressing);
    case 'f':
      return change(ui, stage, 'stretch', pressing);
    case 'j':
      return jobDone(ui, pressing);
    case 'b':
      return stage.phase === 'on air' && showsStage(ui, 'on air') ? askSince(ui, stage, pressing) : undefined;
    case 'x':
      return showsStage(ui, stage.phase) ? askSpoilt(ui, stage, pressing) : undefined;
    case ' ':
      // A high alarm is heard first, as on the bench.
      return stage.phase === 'on air' &&
        showsStage(ui, 'on air') &&
        topmost(pressing.state, pressing.now).kind !== 'alarm'
        ? onward(ui, stage, pressing, haste)
        : undefined;
    default:
      return undefined;
  }
}

/** On with the show: the showing that is going is over, or the one that is waited for begins. */
function onward(ui: Ui, stage: OnStage, pressing: Pressing, haste: number): Pressed | undefined {
  const { state, now, at } = pressing;
  const showing = stage.rundown.showings[stage.onAir.showing];
  if (!showing) return undefined;
  const next = stage.isGoing ? stage.rundown.showings[stage.next ?? Infinity] : showing;
  const said = next ? `on air: ${clean(next.action)}` : 'off air';
  const call = state.calls.find(({ asks }) => 'step' in asks && asks.step === showing.step);
  if (!call) return refuse(ui, stage.isGoing ? 'not yet' : waitWords(state, showing.after), pressing);
  if (ui.sent.includes(call.key)) return only(ui);
  if (stage.isGoing && secondsBetween(stage.onAir.since, now) < haste)
    return only(noted(ui, `${clean(showing.action)} has just begun: press again`, at));
  return send(ui, answer(call, now), `${said}${TAKE_BACK}`, call.key);
}

/** Asks since when the next showing has been going: whoever is before an audience forgets to press. */
function askSince(ui: Ui, stage: OnStage, pressing: Pressing): Pressed {
  const showing = stage.rundown.showings[stage.onAir.showing];
  const next = stage.isGoing ? stage.rundown.showings[stage.next ?? Infinity] : showing;
  if (!showing) return only(ui);
  const name = next ? `on to ${clean(next.action)}` : 'off air';
  return ask(ui, { kind: 'stage back', step: showing.step, name }, pressing);
}

/** On with the show as of a figure times ten seconds ago. */
export function answerSince(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'stage back' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  const stage = stageOf(pressing.state, pressing.now);
  const clear = unprompted(ui);
  if (!/^[1-9]$/.test(key)) return ask(ui, prompt, pressing);
  if (stage?.phase !== 'on air' || stage.rundown.showings[stage.onAir.showing]?.step !== prompt.step)
    return refuse(clear, 'that is over meanwhile', pressing);
  return onwardAgo(clear, stage, pressing, 10 * Number(key));
}

/** On with the show as of so many seconds ago; never before what is going began, or what is waited for could begin. */
function onwardAgo(ui: Ui, stage: OnStage, pressing: Pressing, ago: number): Pressed {
  const { state, now } = pressing;
  const showing = stage.rundown.showings[stage.onAir.showing];
  const call = state.calls.find(({ asks }) => 'step' in asks && asks.step === showing?.step);
  if (!showing || !call)
    return refuse(ui, stage.isGoing ? 'not yet' : waitWords(state, showing?.after ?? []), pressing);
  const at = plus(now, 0 - ago);
  const earliest = stage.isGoing ? stage.onAir.since : call.due;
  if (at < earliest) {
    const could = roughly(seconds(Math.max(0, secondsBetween(earliest, now))));
    const what = stage.isGoing ? `${clean(showing.action)} began` : 'it could begin';
    return refuse(ui, `${what} ${could} ago`, pressing);
  }
  const next = stage.isGoing ? stage.rundown.showings[stage.next ?? Infinity] : showing;
  const said = next ? `on air: ${clean(next.action)}` : 'off air';
  return send(ui, answer(call, at), `${said}, ${roughly(seconds(ago))} ago${TAKE_BACK}`, call.key);
}

/** What a showing still waits for. */
function waitWords(
  { components, setup }: BenchState,
  after: StageStanding['rundown']['showings'][number]['after'],
): string {
  const open = components
    .flatMap((run) => run.steps)
    .find(({ step, state }) => after.includes(step) && (state === 'running' || state === 'waiting'));
  return open ? `not yet: ${lookupIn(setup.workload).called(open.step)} is not over` : 'not yet';
}

/** Takes the cut or the stretch that is offered. */
function change(ui: Ui, stage: StageStanding, kind: 'cut' | 'stretch', pressing: Pressing): Pressed {
  if (stage.phase !== 'on air') return refuse(ui, `it is not on air: nothing to ${kind}`, pressing);
  const offered = stage.change;
  const step = stage.rundown.showings.find((showing) => showing.step === offered?.showing);
  if (!offered || !step || offered.to < offered.from !== (kind === 'cut'))
    return refuse(ui, nothingTo(kind, stage), pressing);
  const said = `${kind === 'cut' ? 'cut' : 'stretched'}: ${clean(step.action)} to ${roughly(offered.to)}${TAKE_BACK}`;
  return send(ui, { kind: 'length', step: step.step, length: offered.to }, said);
}

function nothingTo(
  kind: 'cut' | 'stretch',
  { outlook, rundown }: Extract<StageStanding, { phase: 'on air' }>,
): string {
  const off = kind === 'cut' ? outlook.over : 0 - outlook.over;
  if (off <= rundown.within) return `nothing to ${kind}: it ends in time`;
  return kind === 'cut' ? 'nothing that is left may be cut' : 'nothing that is left may be stretched';
}

/** Answers the first call that is due off view. */
function jobDone(ui: Ui, { state, now, at }: Pressing): Pressed {
  const [call] = offView(state, now);
  if (!call) return only(noted(ui, 'nothing is due off view', at));
  if (ui.sent.includes(call.key)) return only(ui);
  const said = `${pressWord(call)}: ${callText(call)}${TAKE_BACK}`;
  return send(ui, answer(call, now), said, call.key);
}

/** Most copies that fit on the row that asks for one. */
const MOST_ASKED = 9;

/** Asks which copy is spoilt: what is on the table first, then what will be late, then in the order of their use. */
function askSpoilt(ui: Ui, stage: StageStanding, pressing: Pressing): Pressed {
  const swaps = spoilable(stage, pressing).slice(0, MOST_ASKED);
  if (swaps.length === 0) return refuse(ui, 'no swap is left that could be spoilt', pressing);
  return ask(ui, { kind: 'spoilt', swaps }, pressing);
}

/** The swaps that are not used up. */
function spoilable(stage: StageStanding, { state, now }: Pick<Pressing, 'state' | 'now'>): string[] {
  const { swaps } = stage.rundown;
  const gone = leftOut(state);
  const runs = new Map(state.components.flatMap((run) => run.steps).map((run) => [run.step, run]));
  const isOpen = (step: StepId): boolean => {
    const run = runs.get(step);
    return run !== undefined && !('endedAt' in run) && !gone.has(step);
  };
  const made = (ids: readonly string[]): StepId[] =>
    state.setup.workload.components.flatMap(({ id, steps }) =>
      ids.includes(id) ? steps.map((step) => step.id) : [],
    );
  const left = swaps.filter(
    (swap) => copiesLeft(state, swap) > 0 && (isOpen(swap.for) || made(swap.made).some(isOpen)),
  );
  const going = stage.phase === 'on air' ? stage.rundown.showings[stage.onAir.showing]?.step : undefined;
  const late = new Set(lateSwaps(state, now).map(({ swap }) => swap.id));
  const rank = (swap: (typeof swaps)[number]): number => (swap.for === going ? 0 : late.has(swap.id) ? 1 : 2);
  return left.toSorted((a, b) => rank(a) - rank(b)).map(({ id }) => id);
}

/** The copy with that figure is spoilt: its backup is taken, or what cannot be shown without it is left out. */
export function answerSpoilt(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'spoilt' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  const id = /^[1-9]$/.test(key) ? prompt.swaps[Number(key) - 1] : undefined;
  return id === undefined ? ask(ui, prompt, pressing) : spoilt(unprompted(ui), id, pressing);
}

function spoilt(ui: Ui, id: string, { state }: Pick<Pressing, 'state'>): Pressed {
  const swap = state.setup.rundown?.swaps.find((each) => each.id === id);
  const isLast = swap === undefined || copiesLeft(state, swap) < 2;
  const means = isLast ? 'what needs it is left out' : 'take the backup';
  return send(ui, { kind: 'spoilt', swap: id }, `swap ${clean(id)} spoilt: ${means}${TAKE_BACK}`);
}

/** What the word `spoilt B` asks for. */
export function spoiltWord(id: string, state: BenchState): Pressed | undefined {
  const swap = state.setup.rundown?.swaps.find((each) => each.id.toLowerCase() === id);
  return swap && spoilt({ page: 'board', sent: [] }, swap.id, { state });
}

/** The stage's words, and the keys that mean the same. */
const WORD_KEYS = { next: ' ', cut: 'c', stretch: 'f', job: 'j' } as const;
export type StageWord = keyof typeof WORD_KEYS;
export const isStageWord = (word: string): word is StageWord => Object.hasOwn(WORD_KEYS, word);

/** What the word `next 20` asks for: on with the show as of 20 seconds ago. */
export function nextAgo(ago: number, { state, now }: Pick<Pressing, 'state' | 'now'>): Pressed | undefined {
  const stage = stageOf(state, now);
  if (stage?.phase !== 'on air') return undefined;
  return onwardAgo({ page: 'board', sent: [] }, stage, { state, now, at: 0, shownSince: 0 }, ago);
}

/** What a word asks of the stage; nothing where it asks for nothing now. */
export function stageWord(word: StageWord, pressing: Pick<Pressing, 'state' | 'now'>): Pressed | undefined {
  const asked = { ...pressing, at: 0, shownSince: 0 };
  return stagePress({ page: 'board', sent: [] }, WORD_KEYS[word], asked, 0);
}
