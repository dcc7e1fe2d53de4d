import {
  bodiesOf,
  coolingViewOf,
  type BenchState,
  type CoolingClockView,
  type TimeOutView,
} from '../bench/index.ts';
import { faultAt, usualProbe } from '../heat/index.ts';
import { minutes, roughly, seconds, secondsBetween, type EpochMs, type Temperature } from '../units/index.ts';
import { lookupIn } from './lookup.ts';
import { clean, clockWords } from './text.ts';

/** A cooling clock as a screen shows it. */
export interface ClockView {
  /** Whose it is. */
  readonly who: string;
  /** The probe it goes by. */
  readonly probe: string;
  /** `21 C by 18:05, 34 min left, reads 31 C`. */
  readonly text: string;
  /** The same without how long there is: `21 C by 18:05`. */
  readonly brief: string;
  /** close: it is running out; missed: it is over, and the limit was not met. */
  readonly state: 'runs' | 'close' | 'missed' | 'met';
  /** After a missed limit: what the rule says. */
  readonly says?: string;
}

/** Why a probe is not believed, in words; nothing where it is. */
export function faultWords(name: string, state: BenchState, now: EpochMs): string | undefined {
  const probe = state.probes.find((each) => each.probe === name);
  const { kitchen } = state.setup.workload;
  const spec = kitchen.probes?.find((each) => each.name === name) ?? usualProbe(name);
  const fault = probe && faultAt(probe.track, spec, now);
  if (!probe || !fault) return undefined;
  const { track, temperature } = probe;
  const clock = (moment: EpochMs): string => clockWords(moment, now, kitchen.timeZone);
  const since = track.fault === undefined ? '' : ` since ${clock(track.fault.since)}`;
  switch (fault) {
    case 'silent':
      return `silent since ${clock(track.heardAt)}`;
    case 'frozen':
      return `stands still at ${degrees(temperature)}${track.still ? ` since ${clock(track.still.since)}` : ''}`;
    case 'jumping':
      return `jumps about${since}`;
    case 'out of range':
      return `reads what cannot be${since}`;
  }
}

/** When what a running step waits for will be reached, or why that cannot be said: `5 C in 40-55 min`. */
export function aheadWords(name: string, state: BenchState, now: EpochMs): string | undefined {
  const body = bodiesOf(state).find((each) => each.probe === name);
  if (!body) return undefined;
  const scale = state.probes.find((each) => each.probe === name)?.temperature.scale ?? 'C';
  const to = degrees({ figure: scale === 'C' ? body.edge : (body.edge * 9) / 5 + 32, scale });
  const { prediction } = body;
  switch (prediction.kind) {
    case 'reached':
      return `${to} reached`;
    case 'refused':
      return `${to}: ${clean(prediction.why)}`;
    case 'expected':
      return `${to} ${waitWords(secondsBetween(now, prediction.low), secondsBetween(now, prediction.high))}`;
  }
}

/** A range of seconds from now, in whole minutes and no finer than its width: `in 40-55 min`, `in 1 h 10 to 1 h 40`. */
function waitWords(low: number, high: number): string {
  if (high < 60) return 'any moment';
  const step = high > 2700 ? 5 : 1;
  const from = Math.max(0, Math.floor(low / 60 / step) * step);
  const to = Math.ceil(high / 60 / step) * step;
  if (from === 0) return `within ${roughly(minutes(to))}`;
  if (from === to) return `in ${roughly(minutes(to))}`;
  return to <= 90 ? `in ${from}-${to} min` : `in ${roughly(minutes(from))} to ${roughly(minutes(to))}`;
}

/** Every cooling clock that runs or has run, and time out of the cold. */
export function clockViews(state: BenchState, now: EpochMs): readonly ClockView[] {
  const clock = (moment: EpochMs): string => clockWords(moment, now, state.setup.workload.kitchen.timeZone);
  return coolingViewOf(state, now).components.flatMap(({ component, probe, clocks, out, usedUpAt }) => {
    const about = { who: lookupIn(state.setup.workload).nameOf(component), probe: clean(probe) };
    const scale = state.probes.find((each) => each.probe === probe)?.temperature.scale ?? 'C';
    return [
      ...clocks.flatMap((each): ClockView[] => {
        const said = limitWords(each, scale, now, clock);
        const says = each.says === undefined ? {} : { says: clean(each.says) };
        // What is used up needs nobody any more; a limit that was missed is not hidden by that.
        const isOver = usedUpAt !== undefined && said?.state !== 'missed';
        return said === undefined || isOver ? [] : [{ ...about, ...said, ...says }];
      }),
      ...(out === undefined || usedUpAt !== undefined ? [] : outViews(out, about)),
    ];
  });
}

/** One limit in words: `21 C by 18:05, 34 min left`. */
function limitWords(
  { to, state, by, isAssumed, isClose, met }: CoolingClockView,
  scale: 'C' | 'F',
  now: EpochMs,
  clock: (moment: EpochMs) => string,
): Pick<ClockView, 'text' | 'brief' | 'state'> | undefined {
  const goal = degrees({ figure: scale === 'C' ? to : (to * 9) / 5 + 32, scale });
  if (by === undefined || state === 'not started') return undefined;
  const limit = `${goal} by ${clock(by)}`;
  switch (state) {
    case 'met':
      return {
        text: met ? `${goal} read at ${clock(met.at)}, by ${clock(by)}` : limit,
        brief: limit,
        state,
      };
    case 'passed':
      return {
        text: met ? `${limit} missed, read at ${clock(met.at)}` : `${limit} missed, ${passed(by, now)} ago`,
        brief: `${limit} missed`,
        state: 'missed',
      };
    case 'running': {
      const assumed = isAssumed === true ? ', from a start that was not read' : '';
      return {
        text: `${limit}, ${passed(now, by)} left${assumed}`,
        brief: limit,
        state: isClose ? 'close' : 'runs',
      };
    }
  }
}

/** So long from one moment to the other, no finer than it matters. */
function passed(from: EpochMs, to: EpochMs): string {
  const length = Math.max(0, secondsBetween(from, to));
  return length < 120 ? roughly(seconds(Math.ceil(length))) : roughly(minutes(Math.floor(length / 60)));
}

/** Time out of the cold: how much of the next limit is left, or what the rules say once one is over. */
function outViews({ total, limits }: TimeOutView, about: Pick<ClockView, 'who' | 'probe'>): ClockView[] {
  if (total < 60) return [];
  const over = limits.findLast(({ left }) => left <= 0);
  const ahead = limits.find(({ left }) => left > 0);
  const out = `out of the cold for ${roughly(minutes(Math.floor(total / 60)))} in all`;
  const text = ahead ? `${out}, of ${roughly(ahead.after)}` : out;
  const isClose = over !== undefined || (ahead !== undefined && ahead.left < ahead.after * CLOSE);
  const state = over && !ahead ? 'missed' : isClose ? 'close' : 'runs';
  return [{ ...about, text, brief: out, state, ...(over ? { says: clean(over.says) } : {}) }];
}

/** With less than this share of the time left a limit is close. */
const CLOSE = 0.1;

/** Which rules are followed, or that none are; nothing where no cooling is watched. */
export function rulesTitle(state: BenchState, now: EpochMs): string | undefined {
  if (!state.setup.workload.components.some(({ cooling }) => cooling)) return undefined;
  const { rules } = coolingViewOf(state, now);
  return rules === undefined
    ? 'no cooling rules chosen: what is read is shown, and held to nothing'
    : `cooling by ${clean(rules.title)}, ${clean(rules.place)}; local codes and a trained person decide`;
}

/** A temperature to a tenth of a degree: no probe of a kitchen knows more. */
export const degrees = ({ figure, scale }: Pick<Temperature, 'figure' | 'scale'>): string =>
  `${Math.round(figure * 10) / 10 + 0} ${scale}`;
