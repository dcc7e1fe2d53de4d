import type { Alarm, BenchState, Call } from '../bench/index.ts';
import { describeTrigger, type ComponentId, type Step } from '../plan/index.ts';
import { countdown, roughly, secondsBetween, seconds, type EpochMs } from '../units/index.ts';
import { lookupIn, runningStep } from './lookup.ts';
import { clean, clockWords } from './text.ts';
import { topmost } from './topmost.ts';

/** What the hands do now: the biggest thing on a screen. */
export interface NowView {
  readonly kind: 'alarm' | 'call' | 'open' | 'nothing' | 'served';
  /** Whose it is: `shells`; for an alarm its kind: `oven clash`. */
  readonly who: string;
  /** What to do, in full. */
  readonly what: string;
  /** The same in fewer words, longest first, for large letters. */
  readonly shorter: readonly string[];
  /** Figures that count: `2:10`. */
  readonly figures?: string;
  /** What the figures mean: `since due`, `left`, `not due yet`. */
  readonly meaning?: string;
  /** The latest moment and what breaks; for an alarm its consequence. */
  readonly stakes?: string;
  readonly caution?: string;
  /** What one press of the key does now, in a word or two; nothing where it does nothing. */
  readonly press?: string;
  /** The call's or alarm's key, where it is one. */
  readonly key?: string;
  /** The component whose start or end it is. */
  readonly component?: ComponentId;
  /** Nobody has heard it yet. */
  readonly unheard: boolean;
  /** Other calls that are due too, in order. */
  readonly others: readonly OtherCall[];
}

/** A call that is due beside the topmost one. */
export interface OtherCall {
  /** In full: `cream: into the fridge`. */
  readonly text: string;
  /** The component whose row on the board shows that something is due; nothing of an oven's knob, a timer, or service. */
  readonly component?: ComponentId;
}

/** What to do now, at `now`; `until` is when the next thing is to be done. */
export function nowView(state: BenchState, now: EpochMs, until: EpochMs | undefined): NowView {
  const timeZone = state.setup.workload.kitchen.timeZone;
  if (state.servedAt !== undefined) {
    const word = state.setup.rundown ? 'Ended' : 'Served';
    return {
      ...NOTHING,
      kind: 'served',
      what: `${word} at ${clockWords(state.servedAt, now, timeZone)}`,
      shorter: [`${word} ${clockWords(state.servedAt, now, timeZone)}`],
    };
  }
  const top = topmost(state, now);
  const hands = handsOn(state);
  const others = state.calls
    .filter((call) => call.due <= now && !(top.kind === 'call' && top.call.key === call.key))
    .map(otherCall);
  switch (top.kind) {
    case 'alarm':
      return { ...alarmNow(top.alarm, now), others };
    case 'call':
      return { ...callNow(state, top.call, now), others };
    case 'open':
      return { ...openNow(state, top.call, now, hands.what), others };
    case 'nothing':
      return { ...NOTHING, ...hands, ...(until === undefined ? {} : figuresTo(until, now, 'to the next')) };
  }
}

const otherCall = (call: Call): OtherCall => ({ text: callText(call), ...componentOf(call) });

/** The component whose step a call starts or ends. */
const componentOf = ({ asks, component }: Call): { readonly component?: ComponentId } =>
  component !== undefined && (asks.kind === 'start' || asks.kind === 'done') ? { component } : {};

const NOTHING: NowView = { kind: 'nothing', who: '', what: '', shorter: [], unheard: false, others: [] };

function alarmNow(alarm: Alarm, now: EpochMs): NowView {
  return {
    kind: 'alarm',
    key: alarm.key,
    who: clean(alarm.kind),
    what: clean(alarm.action),
    shorter: [...firstWords(clean(alarm.action)), clean(alarm.kind)],
    ...(alarm.by === undefined ? {} : figuresTo(alarm.by, now, 'left')),
    stakes: `${clean(alarm.cause)}: ${clean(alarm.consequence)}`,
    press: 'heard',
    unheard: true,
    others: [],
  };
}

/** The parts of a call's text: `shells: tray into the oven` is `shells` and `tray into the oven`. */
export function callParts(call: Call): { readonly who: string; readonly what: string } {
  const text = clean(call.text);
  const colon = text.indexOf(': ');
  return colon <= 0 || colon > 80
    ? { who: '', what: text }
    : { who: text.slice(0, colon), what: text.slice(colon + 2) };
}

/** A call in one line. */
export const callText = (call: Call): string => clean(call.text);

function callNow(state: BenchState, call: Call, now: EpochMs): NowView {
  const { who, what } = callParts(call);
  const late = secondsBetween(call.due, now);
  return {
    kind: 'call',
    key: call.key,
    ...componentOf(call),
    who,
    what,
    shorter: shorterCall(state, call, what),
    figures: countdown(late),
    meaning: 'since due',
    ...stakesOf(state, call, now),
    ...(call.caution === undefined ? {} : { caution: clean(call.caution) }),
    press: pressWord(call),
    unheard: !call.heard,
    others: [],
  };
}

function openNow(state: BenchState, call: Call, now: EpochMs, free: string): NowView {
  const { who, what } = callParts(call);
  return {
    kind: 'open',
    key: call.key,
    ...componentOf(call),
    who,
    what,
    shorter: shorterCall(state, call, what),
    ...figuresTo(call.due, now, call.asks.kind === 'done' ? 'to go, as usual' : 'not due yet'),
    stakes: free,
    ...(call.caution === undefined ? {} : { caution: clean(call.caution) }),
    press: `${pressWord(call)} already`,
    unheard: false,
    others: [],
  };
}

/** The word for what the one key says of a call. */
export function pressWord(call: Call): string {
  switch (call.asks.kind) {
    case 'start':
      return 'started';
    case 'done':
      return 'done';
    case 'oven set':
      return 'oven is set';
    case 'timer done':
      return 'timer off';
    case 'turn':
      return 'turned';
    case 'served':
      return 'served';
  }
}

function stakesOf(state: BenchState, call: Call, now: EpochMs): { readonly stakes?: string } {
  if (!call.latest) return {};
  const timeZone = state.setup.workload.kitchen.timeZone;
  const left = secondsBetween(now, call.latest.at);
  const when =
    left < 0
      ? `${roughly(seconds(Math.abs(left)))} past the latest moment`
      : `by ${clockWords(call.latest.at, now, timeZone)}, ${roughly(left)} left`;
  return { stakes: `${when}: ${clean(call.latest.breaks)}` };
}

function shorterCall(state: BenchState, call: Call, what: string): string[] {
  const lookup = lookupIn(state.setup.workload);
  const step = 'step' in call.asks ? lookup.step(call.asks.step) : undefined;
  // A step that runs must not read like an order to begin it.
  if (step && call.asks.kind === 'done') return [`${clean(step.name)} done?`, 'done?'];
  return [...firstWords(what), ...(step ? [clean(step.name)] : [])];
}

/** The text, then the text up to its first comma or bracket. */
function firstWords(text: string): string[] {
  const short = (/^[^,;(.]+/.exec(text)?.[0] ?? text).trim();
  return short === text || short === '' ? [text] : [text, short];
}

function figuresTo(
  moment: EpochMs,
  now: EpochMs,
  ahead: string,
): { readonly figures: string; readonly meaning: string } {
  const left = secondsBetween(now, moment);
  return left >= 0
    ? { figures: countdown(left), meaning: ahead }
    : { figures: countdown(Math.abs(left)), meaning: 'over' };
}

/** What the hands are on while nothing is asked: in words, in fewer, and how one sees that it is over. */
function handsOn(state: BenchState): Pick<NowView, 'what' | 'shorter' | 'stakes'> {
  const lookup = lookupIn(state.setup.workload);
  const { how, steps } = occupied(state);
  const names = (of: (step: Step) => string): string => [...new Set(steps.map(of))].join(' and ');
  const watched = steps.flatMap((step) =>
    step.until ? [`${clean(step.name)}: until ${clean(describeTrigger(step.until))}`] : [],
  );
  if (steps.length === 0) return { what: how, shorter: [] };
  const what = `${how} ${names((step) => lookup.called(step.id))}`;
  return {
    what,
    shorter: [what, `${how} ${names((step) => lookup.nameOf(step.component))}`, how],
    ...(watched.length === 0 ? {} : { stakes: watched.join(';  ') }),
  };
}

/** The running steps that take both hands, or else those that want the cook near. */
function occupied(state: BenchState): { readonly how: string; readonly steps: readonly Step[] } {
  const lookup = lookupIn(state.setup.workload);
  const running = state.components.flatMap((run) => {
    const step = runningStep(run);
    const known = step ? lookup.step(step.step) : undefined;
    return known ? [known] : [];
  });
  const taking = (hands: Step['hands']): Step[] => running.filter((step) => step.hands === hands);
  const [busy, near] = [taking('busy'), taking('near')];
  if (busy.length > 0) return { how: 'hands on', steps: busy };
  return near.length > 0 ? { how: 'stay near', steps: near } : { how: 'hands free', steps: [] };
}

/** What the hands are on, in words; nothing where they are free. */
export function busyWith(state: BenchState): string | undefined {
  return occupied(state).steps.length > 0 ? handsOn(state).what : undefined;
}
