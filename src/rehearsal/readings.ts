import { reckonedHeat, type BenchState, type OvenRun } from '../bench/index.ts';
import { ovenModel } from '../heat/index.ts';
import type { Oven, Probe } from '../plan/index.ts';
import { plus, seconds, secondsBetween, temperatureOf, type EpochMs, type Seconds } from '../units/index.ts';
import { chance } from './chance.ts';
import type { Act, Troupe } from './cook.ts';
import type { Fault } from './faults.ts';
import type { Going } from './hands.ts';
import { heldAt, inScaleOf, nextReading, probesOf } from './probes.ts';

/** How far readings of a good probe lie about the truth, C (one standard deviation); an oven's air is less calm. */
const NOISE_C = 0.12;
const AIR_NOISE_C = 1.5;
/** An oven's probe reads this often while the oven is on. */
const AIR_EVERY_S = 60;
/** A thermostat's swing takes this long. */
const SWING_S = 720;
/** How far an oven truly stands off what is believed of it, as a share of its distance from the room (one standard deviation). */
const OVEN_ERROR = 0.02;
/** Nonsense leaps about so far, C. */
const LEAP_C = 60;

type ProbeOff = Extract<Fault, { kind: 'probe off' }>;

/** The next readings of the probes that a running step waits for. */
export function readingsOf({ step, run, attempt }: Going, state: BenchState, troupe: Troupe): Act[] {
  if (run.readyAt !== undefined) return [];
  const duration = seconds(troupe.nature.duration(step, attempt));
  return probesOf(step).flatMap((trigger): Act[] => {
    const last = state.probes.find(({ probe }) => probe === trigger.probe);
    const coming = nextReading(
      trigger,
      duration,
      last && {
        after: secondsBetween(run.startedAt, last.track.heardAt),
        celsius: last.temperature.celsius,
      },
    );
    const at = plus(run.startedAt, coming.after);
    const noise = NOISE_C * normal(troupe.seed, trigger.probe, at);
    const good = inScaleOf(trigger.goal, coming.temperature.celsius + noise);
    const off = troupe.faults.find(
      (fault): fault is ProbeOff =>
        fault.kind === 'probe off' && fault.probe === trigger.probe && fault.during === step.id,
    );
    const isOff =
      off !== undefined && (off.from === undefined ? coming.after >= duration / 2 : at >= off.from);
    if (isOff && off.how === 'silent') return [];
    const nonsense = chance(troupe.seed, 'leap', at) < 0.5 ? LEAP_C : -LEAP_C;
    const temperature = !isOff
      ? good
      : off.how === 'frozen' && last
        ? last.temperature
        : inScaleOf(trigger.goal, coming.temperature.celsius + nonsense);
    return [{ at, source: 'probe', happening: { kind: 'reading', probe: trigger.probe, temperature } }];
  });
}

/**
 * What a probe reads when its goal has been held for as long as was asked, read off by the cook: one reading, which counts at
 * once. It is what that probe shows there, its own error and the kitchen's height above the sea allowed for.
 */
export function readOff({ step, run, attempt }: Going, state: BenchState, troupe: Troupe): Act[] {
  if (run.readyAt !== undefined || !step.until) return [];
  const at = plus(run.startedAt, troupe.nature.duration(step, attempt));
  return probesOf(step).flatMap((trigger): Act[] => {
    const heard = state.probes.find(({ probe }) => probe === trigger.probe)?.track.heardAt;
    if (heard !== undefined && heard >= at) return [];
    const temperature = inScaleOf(trigger.goal, heldAt(trigger, state.setup.workload.kitchen));
    return [{ at, source: 'cook', happening: { kind: 'reading', probe: trigger.probe, temperature } }];
  });
}

/** When a person sees by eye that a step is done whose probe is off: as nature has it, and a little later than usual. */
export function seenByEye({ step, run, attempt }: Going, troupe: Troupe): EpochMs | undefined {
  const isOff = troupe.faults.some((fault) => fault.kind === 'probe off' && fault.during === step.id);
  if (!isOff) return undefined;
  return plus(run.startedAt, troupe.nature.duration(step, attempt) * 1.1 + BY_EYE_S + run.extra);
}
const BY_EYE_S: Seconds = seconds(60);

/** The next reading of each probe that hangs in an oven that is on. */
export function airReadings(state: BenchState, troupe: Troupe): Act[] {
  const { kitchen } = state.setup.workload;
  return (kitchen.probes ?? []).flatMap((probe): Act[] => {
    const run = state.ovens.find(({ oven }) => oven === probe.oven);
    const oven = kitchen.ovens.find(({ name }) => name === probe.oven);
    if (!run || !oven || run.heat.kind !== 'at') return [];
    const heard = state.probes.find((each) => each.probe === probe.name)?.track.heardAt;
    const from = heard !== undefined && heard > run.setAt ? heard : run.setAt;
    const at = plus(from, AIR_EVERY_S);
    const air = airOf(oven, run, probe, kitchen.ambient, at, {
      ...troupe,
      faults: unmended(state, troupe, at),
    });
    const temperature = temperatureOf(Math.round(air), 'C');
    return [{ at, source: 'probe', happening: { kind: 'reading', probe: probe.name, temperature } }];
  });
}

/** A cook who is told that an oven is off its mark, or not hot, turns its knob, and that has helped after so long. */
const MENDED_S = 900;

function unmended({ log }: BenchState, { faults }: Troupe, at: EpochMs): readonly Fault[] {
  return faults.filter((fault) => {
    if (fault.kind !== 'oven low') return true;
    const { from = 0 } = fault;
    if (at < from) return false;
    const told = log.find(
      ({ at: toldAt, kind: of, key = '' }) =>
        of === 'alarm' &&
        toldAt >= from &&
        (key.startsWith('oven off its mark') || key.startsWith('oven not hot')),
    );
    return !told || secondsBetween(told.at, at) < MENDED_S;
  });
}

/** What the air of an oven truly is: what knob and door make of it, its own error, its swing, and a fault. */
function airOf(
  oven: Oven,
  run: OvenRun,
  probe: Probe,
  room: number & Parameters<typeof reckonedHeat>[1],
  at: EpochMs,
  { seed, faults }: Troupe,
): number {
  const { since, ...bare } = run;
  const planned = since && since.by !== 'reading' ? { ...bare, since: { ...since, pace: 1 } } : bare;
  const stands = reckonedHeat(oven, room, planned, at);
  const goal = run.heat.kind === 'at' ? run.heat.temperature.celsius : room;
  const low = Math.max(
    0,
    ...faults.map((fault) => (fault.kind === 'oven low' && fault.oven === oven.name ? fault.by : 0)),
  );
  const share = goal > room ? (stands - room) / (goal - room) : 0;
  const error = OVEN_ERROR * normal(seed, oven.name, 'error') * (stands - room);
  const isNear = share > 0.95;
  const swing = isNear
    ? ovenModel(oven, room).swing * Math.sin((2 * Math.PI * (at / 1000)) / SWING_S + seed)
    : 0;
  return stands - low * Math.max(0, share) + error + swing + AIR_NOISE_C * normal(seed, probe.name, at);
}

/** Standard normal, by Box and Muller; the same question has the same answer. */
function normal(seed: number, about: string, more: string | number): number {
  const [a, b] = [chance(seed, 'normal a', about, more), chance(seed, 'normal b', about, more)];
  return Math.sqrt(-2 * Math.log(1 - a)) * Math.cos(2 * Math.PI * b);
}
