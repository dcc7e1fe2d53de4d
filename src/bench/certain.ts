import { ovenModel, secondsUntilRight } from '../heat/index.ts';
import type { Oven, OvenHeat, StepId } from '../plan/index.ts';
import { celsius, later, plus, wallClock, type Celsius, type EpochMs } from '../units/index.ts';
import { bodiesIn } from './bodies.ts';
import { HANDS_GRACE_S } from './clashes.ts';
import type { ForecastClash } from './events.ts';
import { called, followsInOven, lookup, must, ovenOf, ovenRun, runsOf, type Placed } from './lookup.ts';
import { reckonedHeat, sameHeat } from './oven-reckoning.ts';
import type { BenchState, StepRun } from './state.ts';
import { expectedLength } from './triggers.ts';

type Running = Extract<StepRun, { state: 'running' }>;

/** A lateness up to this is none: a cook opens the door once for both. */
const PUNCTUAL_S = 60;

/**
 * Clashes that no lengths within the ranges avoid, as long as every window is kept: a step has to begin, at the latest, when
 * the longest time of what it follows is over and its `within` is used up; and what is in the oven, or in the hands, now is
 * not out of them by then at its shortest, or the oven cannot be right by then.
 *
 * Earliest moments leave out everything that could only delay them, and latest ones everything that could only bring them
 * forward, so what is said here is true; what is not said may happen all the same. Of a step that is being read by a probe
 * or has outrun its range nothing is known for certain.
 */
export function certainClashes(state: BenchState, now: EpochMs): readonly ForecastClash[] {
  const runs = runsOf(state);
  return [...lookup(state.setup.workload).placed.values()].flatMap((second): ForecastClash[] => {
    if (must(runs, second.step.id).state !== 'waiting') return [];
    const latest = latestStart(state, second, now);
    // Once it is past, it is not ahead any more.
    if (latest === undefined || latest < now) return [];
    return [...ovenClash(state, second, latest, now), ...handsClash(state, second, latest, now)];
  });
}

function ovenClash(state: BenchState, second: Placed, latest: EpochMs, now: EpochMs): ForecastClash[] {
  const oven = ovenOf(state, second.step);
  if (oven === undefined || followsInOven(second)) return [];
  const { at, behind } = soonestRight(state, second, oven, now);
  if (at <= plus(latest, PUNCTUAL_S)) return [];
  const clock = clockOf(state);
  const after = behind ? `, after ${called(behind)}` : '';
  return [
    {
      key: `oven ${second.step.id}`,
      kind: behind ? 'oven' : 'not hot',
      steps: behind ? [behind.step.id, second.step.id] : [second.step.id],
      why: `${called(second)} has to go into the ${oven} by ${clock(latest)}, and it is right for it at ${clock(at)} at the soonest${after}`,
      chance: 'certain',
      soonest: latest,
      usual: latest,
    },
  ];
}

function handsClash(state: BenchState, second: Placed, latest: EpochMs, now: EpochMs): ForecastClash[] {
  const { placed } = lookup(state.setup.workload);
  if (second.step.hands !== 'busy') return [];
  const taken = [...runsOf(state).values()].flatMap((run): { here: Placed; out: EpochMs }[] => {
    if (run.state !== 'running') return [];
    const here = must(placed, run.step);
    const isOther = here.step.hands === 'busy' && here.component !== second.component;
    return isOther ? [{ here, out: soonestEnd(state, here, run, now) }] : [];
  });
  // The pair of hands that is free first.
  const { cooks } = state.setup.workload.kitchen;
  const first = taken.toSorted((a, b) => a.out - b.out)[taken.length - cooks];
  if (!first || first.out <= plus(latest, HANDS_GRACE_S)) return [];
  const clock = clockOf(state);
  return [
    {
      key: handsKey(first.here.step.id, second.step.id),
      kind: 'hands',
      steps: [first.here.step.id, second.step.id],
      why: `${called(second)} wants the hands by ${clock(latest)}, and they are at ${called(first.here)} until ${clock(first.out)} at the soonest`,
      chance: 'certain',
      soonest: latest,
      usual: latest,
    },
  ];
}

/** Names two steps that want the same hands, whichever of them has them first. */
export const handsKey = (...pair: readonly StepId[]): string => `hands ${pair.toSorted().join(' | ')}`;

const clockOf =
  (state: BenchState) =>
  (at: EpochMs): string =>
    wallClock(at, state.setup.workload.kitchen.timeZone);

/** The last moment at which a step can begin that may wait only so long for the one before; nothing where it may wait. */
function latestStart(state: BenchState, { step, before }: Placed, now: EpochMs): EpochMs | undefined {
  if (step.within === undefined || !before) return undefined;
  const end = latestEnd(state, must(lookup(state.setup.workload).placed, before.id), now);
  return end === undefined ? undefined : plus(end, step.within);
}

/** The last moment at which a step can end; nothing where nobody can say. */
function latestEnd(state: BenchState, here: Placed, now: EpochMs): EpochMs | undefined {
  const run = must(runsOf(state), here.step.id);
  if (run.state === 'ended' || run.state === 'skipped') return run.endedAt;
  const { high } = expectedLength(here.step);
  if (!Number.isFinite(high)) return undefined;
  if (run.state === 'waiting') {
    const start = latestStart(state, here, now);
    return start === undefined ? undefined : plus(start, high + (run.extra ?? 0));
  }
  const end = plus(run.startedAt, high + run.extra);
  return end < now || isRead(state, here, run) ? undefined : end;
}

/** The first moment at which a step that is going can end. */
function soonestEnd(state: BenchState, here: Placed, run: Running, now: EpochMs): EpochMs {
  if (isRead(state, here, run)) return now;
  return later(now, plus(run.startedAt, expectedLength(here.step).low + run.extra));
}

const isRead = (state: BenchState, here: Placed, run: Running): boolean =>
  bodiesIn(state, here, run).length > 0;

/** A load in an oven, with what follows it in there without a wait: how long each part of it stays at the soonest. */
interface Load {
  readonly parts: readonly { readonly here: Placed; readonly until: EpochMs }[];
}

/** The soonest moment at which an oven can be right for a step, and what of the loads in it now it has to wait for. */
function soonestRight(
  state: BenchState,
  second: Placed,
  oven: string,
  now: EpochMs,
): { readonly at: EpochMs; readonly behind?: Placed } {
  const model = must(lookup(state.setup.workload).ovens, oven);
  const loads = loadsIn(state, second, oven, now);
  const blocked = loads.flatMap(
    ({ parts }) => parts.findLast(({ here }) => !fits(here, second, model)) ?? [],
  );
  const crowded = untilShelves(loads, second, model);
  const last = [...blocked, ...crowded].reduce<(typeof blocked)[number] | undefined>(
    (latest, each) => (latest && latest.until >= each.until ? latest : each),
    undefined,
  );
  if (!last) return { at: plus(now, waitFrom(state, second, oven, now)) };
  // Until then the oven is as that load wants it, so only then can it be changed.
  const hottest = blocked.includes(last) ? standsThen(state, oven, loads, last.until) : undefined;
  const heat = second.step.oven?.heat;
  const wait = hottest && heat?.kind === 'at' ? nearest(hottest, heat, model, roomOf(state)) : 0;
  return { at: plus(last.until, wait), behind: last.here };
}

function loadsIn(state: BenchState, second: Placed, oven: string, now: EpochMs): Load[] {
  const { placed } = lookup(state.setup.workload);
  return [...runsOf(state).values()].flatMap((run): Load[] => {
    if (run.state !== 'running') return [];
    const here = must(placed, run.step);
    if (here.component === second.component || ovenOf(state, here.step) !== oven) return [];
    let until = soonestEnd(state, here, run, now);
    const parts = [{ here, until }];
    for (let next = here.next; next?.oven && next.within === 0; next = must(placed, next.id).next) {
      until = plus(until, expectedLength(next).low);
      parts.push({ here: must(placed, next.id), until });
    }
    return [{ parts }];
  });
}

/** What has to come out before there is room on the shelves; nothing where there is. */
function untilShelves(loads: readonly Load[], second: Placed, model: Oven): Load['parts'] {
  const wants = ({ step }: Placed): number => step.oven?.shelves ?? 0;
  const ends = loads.flatMap(({ parts }) => parts.at(-1) ?? []).toSorted((a, b) => a.until - b.until);
  let used = ends.reduce((sum, { here }) => sum + wants(here), wants(second));
  const out: Load['parts'][number][] = [];
  for (const end of ends) {
    if (used <= model.shelves) break;
    used -= wants(end.here);
    out.push(end);
  }
  return out.slice(-1);
}

/** Between which temperatures the oven stands when those loads let go of it; nothing where nobody can say. */
function standsThen(
  state: BenchState,
  oven: string,
  loads: readonly Load[],
  at: EpochMs,
): { readonly low: number; readonly high: number } | undefined {
  const run = ovenRun(state, oven);
  if (!run) return undefined;
  const model = must(lookup(state.setup.workload).ovens, oven);
  const steps = loads.flatMap(({ parts }) => parts.map(({ here }) => here.step));
  const heats = steps.flatMap(({ oven: demand }) => (demand ? [demand.heat] : []));
  const hot = heats.flatMap((heat) => (heat.kind === 'at' ? [heat.temperature.celsius] : []));
  // Off, it falls as it likes.
  if (hot.length < heats.length || run.door !== 'shut') return undefined;
  const reckoned = reckonedHeat(model, roomOf(state), run, at);
  return { low: Math.min(...hot, reckoned), high: Math.max(...hot, reckoned) };
}

const roomOf = (state: BenchState): Celsius => state.setup.workload.kitchen.ambient;

/** How long it takes at best from anywhere between two temperatures. */
function nearest(
  { low, high }: { readonly low: number; readonly high: number },
  heat: Extract<OvenHeat, { kind: 'at' }>,
  model: Oven,
  room: Celsius,
): number {
  const wanted = heat.temperature.celsius;
  if (low - model.tolerance <= wanted && wanted <= high + model.tolerance) return 0;
  return secondsUntilRight(ovenModel(model, room), celsius(wanted > high ? high : low), wanted);
}

/** How long an oven that nothing keeps needs to be right, if its knob is turned at once. */
function waitFrom(state: BenchState, { step }: Placed, oven: string, now: EpochMs): number {
  const run = ovenRun(state, oven);
  const heat = step.oven?.heat;
  if (!run || heat?.kind !== 'at') return 0;
  const model = must(lookup(state.setup.workload).ovens, oven);
  if (sameHeat(run.heat, heat)) return Math.max(0, (run.readyAt - now) / 1000);
  const stands = reckonedHeat(model, roomOf(state), run, now);
  return nearest({ low: stands, high: stands }, heat, model, roomOf(state));
}

/** Whether two could stand in one oven at once, doors and shelves aside. */
function fits({ step: a }: Placed, { step: b }: Placed, { tolerance }: Oven): boolean {
  const [one, other] = [a.oven, b.oven];
  if (one?.heat.kind !== 'at' || other?.heat.kind !== 'at' || one.door !== 'usable') return false;
  return Math.abs(one.heat.temperature.celsius - other.heat.temperature.celsius) <= tolerance;
}
