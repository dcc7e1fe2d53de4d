import { ovenModel, overshootAfter, secondsTo } from '../heat/index.ts';
import type { Oven, Probe } from '../plan/index.ts';
import { celsius, plus, secondsBetween, type Celsius, type EpochMs } from '../units/index.ts';
import { lookup, must, ovenRun } from './lookup.ts';
import { toOven } from './oven-acts.ts';
import { goalOf, paceOf, reckonedHeat, reckonedSince } from './oven-reckoning.ts';
import type { AirReading, BenchState, OvenRun } from './state.ts';

/**
 * An oven's air swings with its thermostat, by some 14 degrees to either side, and falls for moments with its door: a
 * single reading says little of what the oven stands at. Its mean over five minutes does, and only what is further off
 * than 15 degrees is news.
 */
const MEAN_S = 300;
const DEAD_BAND = 15;
/** A mean is one over at least so long, of readings no closer than so much. */
const LEAST_S = 120;
const APART_S = 20;
/** So long after the goal was first reached the air may still be far past it. */
const OVERSHOT_S = 1200;

/** A reading that was believed, of a probe that may hang in an oven. */
export interface ProbeHeard {
  readonly probe: string;
  /** Corrected for the probe's own error. */
  readonly celsius: Celsius;
  readonly at: EpochMs;
  /** Taken by the cook on purpose. */
  readonly deliberate: boolean;
}

/** The oven in whose air a probe hangs. */
function ovenOfProbe(state: Pick<BenchState, 'setup'>, probe: string): string | undefined {
  const { probes } = state.setup.workload.kitchen;
  return probes?.find((each: Probe) => each.name === probe)?.oven;
}

/**
 * Takes a believed reading of an oven's air into account: where its oven is not what it was reckoned to be, it is reckoned
 * from what it reads, and from how fast it was seen to change. Readings of other probes change nothing.
 */
export function ovenHears(state: BenchState, heard: ProbeHeard): BenchState {
  const oven = ovenOfProbe(state, heard.probe);
  const run = oven === undefined ? undefined : ovenRun(state, oven);
  if (oven === undefined || !run) return state;
  const air = withReading(run, heard);
  if (!air) return state;
  const ovens = state.ovens.map((each) => (each.oven === oven ? { ...each, air } : each));
  const next = { ...state, ovens };
  const model = must(lookup(state.setup.workload).ovens, oven);
  const room = state.setup.workload.kitchen.ambient;
  const off = meanOff(air, reckonedSince(run), heard.at, (at) => reckonedHeat(model, room, run, at));
  if (off === undefined || isWithin(model, room, run, off, heard.at)) return next;
  const stands = celsius(reckonedHeat(model, room, run, heard.at) + off);
  const pace = paceNow(model, room, run, { at: heard.at, celsius: stands });
  return toOven(next, oven, { type: 'STANDS', at: heard.at, celsius: stands, by: 'reading', pace }, []);
}

/** The last minutes with one reading more; nothing where it comes too soon after the one before. */
function withReading(run: OvenRun, heard: ProbeHeard): readonly AirReading[] | undefined {
  const before = run.air ?? [];
  const last = before.at(-1);
  if (last && !heard.deliberate && secondsBetween(last.at, heard.at) < APART_S) return undefined;
  const reading: AirReading = {
    at: heard.at,
    celsius: heard.celsius,
    ...(heard.deliberate ? { deliberate: true } : {}),
  };
  return [...before.filter(({ at }) => secondsBetween(at, heard.at) < MEAN_S), reading].slice(
    -MEAN_S / APART_S,
  );
}

/**
 * How far readings since a moment lie from what is expected, as a mean of the last five minutes. Nothing where there are too
 * few to say; one that the cook took counts alone.
 */
export function meanOff(
  air: readonly AirReading[],
  since: EpochMs,
  now: EpochMs,
  expected: (at: EpochMs) => number,
): number | undefined {
  const last = air.at(-1);
  if (last?.deliberate && last.at >= since && secondsBetween(last.at, now) < MEAN_S)
    return last.celsius - expected(last.at);
  const heard = air.filter(({ at }) => at >= since && secondsBetween(at, now) < MEAN_S);
  const first = heard[0];
  if (!first || !last || secondsBetween(first.at, last.at) < LEAST_S) return undefined;
  return heard.reduce((sum, reading) => sum + reading.celsius - expected(reading.at), 0) / heard.length;
}

/** Whether readings so far off are no news: the thermostat's swing, and after heating what the air shoots past the goal. */
function isWithin(oven: Oven, room: Celsius, run: OvenRun, off: number, now: EpochMs): boolean {
  const model = ovenModel(oven, room);
  const band = Math.max(DEAD_BAND, model.swing + model.tolerance);
  return off < 0 ? -off <= band : off <= Math.max(band, overshootBand(oven, room, run, now));
}

function overshootBand(oven: Oven, room: Celsius, run: OvenRun, now: EpochMs): number {
  const model = ovenModel(oven, room);
  const goal = goalOf(run.heat);
  if (goal === undefined || run.from > goal - model.tolerance) return 0;
  const there = plus(run.setAt, secondsTo(model, run.from, goal));
  const after = secondsBetween(there, now);
  // Just before it is there it may be there already.
  return after > OVERSHOT_S || after < -MEAN_S ? 0 : Math.max(model.overshoot, overshootAfter(model, after));
}

/** How fast it goes, from where it was when it was last known without its probe, or when its knob was turned. */
function paceNow(oven: Oven, room: Celsius, run: OvenRun, now: { at: EpochMs; celsius: Celsius }): number {
  const goal = goalOf(run.heat);
  if (goal === undefined || run.phase === 'at temperature') return 1;
  const since = run.since?.by === 'reading' ? undefined : run.since;
  const first = since ?? { at: run.setAt, celsius: run.from };
  return paceOf(ovenModel(oven, room), first, now, goal);
}
