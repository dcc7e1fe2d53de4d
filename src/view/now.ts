import type { Alarm, BenchState, Call } from '../bench/index.ts';
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
  /** What the figures mean: `late`, `left`, `due in`. */
  readonly meaning?: string;
  /** The latest moment and what breaks; for an alarm its consequence. */
  readonly stakes?: string;
  readonly caution?: string;
  /** What one press of the key does now, in a word or two; nothing where it does nothing. */
  readonly press?: string;
  /** The call's or alarm's key, where it is one. */
  readonly key?: string;
  /** Nobody has heard it yet. */
  readonly unheard: boolean;
  /** Other calls that are due too, in order. */
  readonly others: readonly string[];
}

/** What to do now, at `now`. `free` is what to say when nothing is to be done, `until` when that ends. */
export function nowView(state: BenchState, now: EpochMs, free: string, until: EpochMs | undefined): NowView {
  const timeZone = state.setup.workload.kitchen.timeZone;
  if (state.servedAt !== undefined) {
    return {
      ...NOTHING,
      kind: 'served',
      what: `Served at ${clockWords(state.servedAt, now, timeZone)}`,
      shorter: [`Served ${clockWords(state.servedAt, now, timeZone)}`],
    };
  }
  const top = topmost(state, now);
  const others = state.calls
    .filter((call) => call.due <= now && !(top.kind === 'call' && top.call.key === call.key))
    .map((call) => clean(call.text));
  switch (top.kind) {
    case 'alarm':
      return { ...alarmNow(top.alarm, now), others };
    case 'call':
      return { ...callNow(state, top.call, now), others };
    case 'open':
      return { ...openNow(state, top.call, now, free), others };
    case 'nothing':
      return { ...NOTHING, what: free, ...(until === undefined ? {} : figuresTo(until, now, 'to the next')) };
  }
}

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
  return colon > 0 && colon <= 40
    ? { who: text.slice(0, colon), what: text.slice(colon + 2) }
    : { who: '', what: text };
}

function callNow(state: BenchState, call: Call, now: EpochMs): NowView {
  const { who, what } = callParts(call);
  const late = secondsBetween(call.due, now);
  return {
    kind: 'call',
    key: call.key,
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
    who,
    what,
    shorter: shorterCall(state, call, what),
    ...figuresTo(call.due, now, 'to go'),
    stakes: free,
    ...(call.caution === undefined ? {} : { caution: clean(call.caution) }),
    press: pressWord(call),
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

/** What both hands are on, in words; nothing where they are free. */
export function busyWith(state: BenchState): string | undefined {
  const lookup = lookupIn(state.setup.workload);
  const running = state.components.flatMap((run) => {
    const step = runningStep(run);
    const known = step ? lookup.step(step.step) : undefined;
    return known ? [known] : [];
  });
  const busy = running.filter((step) => step.hands === 'busy').map((step) => lookup.called(step.id));
  if (busy.length > 0) return `hands on ${busy.join(' and ')}`;
  const near = running.filter((step) => step.hands === 'near').map((step) => lookup.called(step.id));
  return near.length > 0 ? `stay near ${near.join(' and ')}` : undefined;
}
