import type { OvenHeat, StepId } from '../plan/index.ts';
import { epochMs, later, plus, secondsBetween, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import { thereBy } from './bodies.ts';
import { dueStart, expectedEnd } from './course.ts';
import {
  componentRun,
  followsInOven,
  lookup,
  must,
  ovenOf,
  ovenRun,
  planned,
  runsOf,
  type Placed,
} from './lookup.ts';
import { reckonedHeat, rightBy, sameHeat } from './oven-reckoning.ts';
import { isServed } from './service.ts';
import type { BenchState, StepRun } from './state.ts';
import { expectedLength } from './triggers.ts';
import { expectedAnew, type Watch } from './watch.ts';

type Run = Pick<BenchState, 'setup' | 'timetable' | 'components' | 'ovens' | 'probes' | 'spoilt'>;

/**
 * When each plan can be ready at the soonest if everything from now on is done as early as it can be, keeping the
 * timetable's order of hands and of oven loads: a serial schedule (Kolisch 1996) in the order of planned starts.
 * Longest waits are left out of account, so this bounds lateness and promises no quality.
 *
 * `floor` is a moment before which nothing new can start. Without it a step that is not yet due may be reckoned from
 * when it became possible, which keeps the answer constant between the moments the watch notes.
 */
export function soonestReady(run: Run, watch: Watch, floor: EpochMs = epochMs(0)): readonly EpochMs[] {
  const { placed: all } = lookup(run.setup.workload);
  const runs = runsOf(run);
  const ends = new Map<StepId, EpochMs>();
  const hands: EpochMs[] = Array.from({ length: run.setup.workload.kitchen.cooks }, () => epochMs(0));
  const ovens = new Map<string, { end: EpochMs; heat: OvenHeat }>();

  const takeHands = (until: EpochMs): void => {
    const first = hands.indexOf(hands.reduce((a, b) => (a < b ? a : b)));
    hands[first] = later(until, hands[first] ?? until);
  };

  for (const id of inOrder(run)) {
    const placed = must(all, id);
    const stepRun = must(runs, id);
    if (stepRun.state === 'ended' || stepRun.state === 'skipped') {
      ends.set(id, stepRun.endedAt);
      continue;
    }
    const oven = ovenOf(run, placed.step);
    let end: EpochMs;
    if (stepRun.state === 'running') {
      end =
        placed.step.length.kind === 'rest'
          ? restSoonest(run, placed, stepRun, floor)
          : expectedEnd(run, placed, stepRun, watch);
    } else {
      const start = soonestStart(run, placed, ends, watch, floor);
      const free = placed.step.hands === 'busy' ? hands.reduce((a, b) => (a < b ? a : b)) : start;
      const hot =
        oven === undefined
          ? start
          : ovenFrom(run, placed, oven, ovens.get(oven), later(start, free), watch, floor);
      end = plus([start, free, hot].reduce(later), expectedLength(placed.step).usual + (stepRun.extra ?? 0));
    }
    ends.set(id, end);
    if (placed.step.hands === 'busy') takeHands(end);
    if (oven !== undefined && placed.step.oven) ovens.set(oven, { end, heat: placed.step.oven.heat });
  }
  return run.setup.workload.plans.map((_, plan) =>
    run.setup.workload.components
      .filter((component) => component.plan === plan)
      .flatMap((component) => component.steps.map((step) => must(ends, step.id)))
      .reduce(later, epochMs(0)),
  );
}

/** When a running rest has been long enough, and is as cold or warm as it must be. */
function restSoonest(
  run: Run,
  placed: Placed,
  running: Extract<StepRun, { state: 'running' }>,
  floor: EpochMs,
): EpochMs {
  const enough = plus(running.startedAt, expectedLength(placed.step).usual + running.extra);
  return [enough, thereBy(run, placed, running) ?? enough].reduce(later, floor);
}

/**
 * The timetable's steps, running ones first: they hold what they hold. Of steps that are planned at one moment, those that
 * others follow come first (a rest may be planned to last no time at all).
 */
function inOrder(run: Run): readonly StepId[] {
  const { placed } = lookup(run.setup.workload);
  const runs = runsOf(run);
  const listed = new Set<StepId>();
  const list = (id: StepId): void => {
    if (listed.has(id)) return;
    const { step, before } = must(placed, id);
    for (const source of [...step.needs, ...(before ? [before.id] : [])]) {
      if (must(runs, source).state === 'waiting') list(source);
    }
    listed.add(id);
  };
  for (const { step } of run.timetable.steps) if (must(runs, step).state !== 'waiting') listed.add(step);
  for (const { step } of run.timetable.steps) list(step);
  return [...listed];
}

function soonestStart(
  run: Run,
  placed: Placed,
  ends: ReadonlyMap<StepId, EpochMs>,
  watch: Watch,
  floor: EpochMs,
): EpochMs {
  const { step, before } = placed;
  const sources = [...step.needs, ...(before ? [before.id] : [])];
  const from = [
    ...step.needs.map((id) => must(ends, id)),
    ...(before ? [plus(must(ends, before.id), step.after)] : []),
  ];
  const earliest = from.reduce(later, later(floor, componentRun(run, placed.component.id).since));
  const runs = runsOf(run);
  const isPossible = sources.every((id) => ['ended', 'skipped'].includes(must(runs, id).state));
  if (!isPossible) return earliest;
  const endOf = (id: StepId): EpochMs => must(ends, id);
  const due = dueStart(run, placed, endOf, (id) => ends.get(id) ?? earliest);
  return watch.reached(due) ? later(earliest, expectedAnew(due, watch)) : earliest;
}

/** When the oven can take a step that may start at `start`, after the load before it. */
function ovenFrom(
  run: Run,
  placed: Placed,
  oven: string,
  before: { end: EpochMs; heat: OvenHeat } | undefined,
  start: EpochMs,
  watch: Watch,
  floor: EpochMs,
): EpochMs {
  const demand = placed.step.oven;
  const state = ovenRun(run, oven);
  if (!demand || !state || demand.heat.kind === 'off' || followsInOven(placed)) return start;
  const { kitchen } = run.setup.workload;
  const model = must(lookup(run.setup.workload).ovens, oven);
  const sharesPlanned =
    (planned(run.timetable).settings.get(placed.step.id) ?? []).length === 0 && before !== undefined;
  if (sharesPlanned) return start;
  if (!before) {
    if (sameHeat(state.heat, demand.heat)) return later(start, state.readyAt);
    const [asked] = planned(run.timetable).settings.get(placed.step.id) ?? [];
    const overdue = asked && watch.reached(asked.at) ? expectedAnew(asked.at, watch) : floor;
    const set = [run.setup.begunAt, state.setAt, floor, overdue].reduce(later);
    const stands = reckonedHeat(model, kitchen.ambient, state, set);
    return later(start, rightBy(model, kitchen.ambient, stands, demand.heat, set));
  }
  const from = before.heat.kind === 'at' ? before.heat.temperature.celsius : kitchen.ambient;
  return later(start, rightBy(model, kitchen.ambient, from, demand.heat, before.end));
}

/** Seconds in hand before the tightest service that has not gone out is missed. */
export function marginOf(run: Run & Pick<BenchState, 'servings'>, soonest: readonly EpochMs[]): Seconds {
  const margins = soonest
    .map((ready, plan) =>
      isServed(run, plan) ? Infinity : secondsBetween(ready, run.timetable.service[plan] ?? ready),
    )
    .filter(Number.isFinite);
  return seconds(margins.length === 0 ? 0 : Math.min(...margins));
}
