import { ovenModel, secondsUntilRightRange } from '../heat/index.ts';
import type { StepId } from '../plan/index.ts';
import { later, plus, type Celsius, type EpochMs } from '../units/index.ts';
import { lookup, must, ovenRun, planned, runsOf } from './lookup.ts';
import { goalOf, reckonedHeat, reckonedSince, sameHeat } from './oven-reckoning.ts';
import type { BenchState, Projection } from './state.ts';

/** When an oven on its way will be right, and who wants it when. */
export interface OvenForecast {
  /** What it is reckoned to stand at now. */
  readonly celsius: Celsius;
  /** Whether that rests on its probe, and how old that reading is to be taken: when it was last believed. */
  readonly measuredAt?: EpochMs;
  /** Where it is on its way to being right: when it will be, as a rule and between which moments. */
  readonly right?: { readonly at: EpochMs; readonly soonest: EpochMs; readonly latest: EpochMs };
  /** The next load that wants it as it is set, and when. */
  readonly wanted?: { readonly step: StepId; readonly at: EpochMs };
}

/** What lies ahead for an oven as its knob stands. */
export function forecastOf(
  state: BenchState,
  projection: Projection,
  name: string,
  now: EpochMs,
): OvenForecast | undefined {
  const run = ovenRun(state, name);
  if (!run) return undefined;
  const { kitchen } = state.setup.workload;
  const oven = must(lookup(state.setup.workload).ovens, name);
  const at = reckonedHeat(oven, kitchen.ambient, run, now);
  const wanted = wantedBy(state, projection, name);
  const heard = run.air?.at(-1);
  const common = {
    celsius: at,
    ...(heard && heard.at >= reckonedSince(run) ? { measuredAt: heard.at } : {}),
    ...(wanted ? { wanted } : {}),
  };
  const goal = goalOf(run.heat);
  const isOnItsWay = run.phase === 'heating' || run.phase === 'cooling';
  if (goal === undefined || !isOnItsWay || run.readyAt <= now) return common;
  // As uncertain as all that is still to come, from where it was last known.
  const from = run.since?.celsius ?? run.from;
  const { low, usual, high } = secondsUntilRightRange(ovenModel(oven, kitchen.ambient), from, goal);
  const began = reckonedSince(run);
  const length = (run.readyAt - began) / 1000;
  const share = (part: number): number => (usual > 0 ? (length * part) / usual : length);
  return {
    ...common,
    right: {
      at: run.readyAt,
      soonest: later(now, plus(began, share(low))),
      latest: later(now, plus(began, share(high))),
    },
  };
}

/** The load that goes in next at the heat that is set, and when it would if the oven were right. */
function wantedBy(
  state: BenchState,
  projection: Projection,
  oven: string,
): { readonly step: StepId; readonly at: EpochMs } | undefined {
  const { placed } = lookup(state.setup.workload);
  const run = ovenRun(state, oven);
  const next = projection.steps.find(
    ({ step, oven: into }) => into === oven && must(runsOf(state), step).state === 'waiting',
  );
  const demand = next && must(placed, next.step).step.oven;
  if (!next || !run || !demand || !sameHeat(demand.heat, run.heat)) return undefined;
  const told = must(planned(state.timetable).steps, next.step).start;
  return { step: next.step, at: next.wanted ?? (next.start > told ? next.start : told) };
}
