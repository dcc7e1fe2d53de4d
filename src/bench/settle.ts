import type { Component } from '../plan/index.ts';
import { plus, type EpochMs } from '../units/index.ts';
import { alarmsAt } from './alarms.ts';
import { callsAt, type WantedCall } from './calls.ts';
import { clashesIn } from './clashes.ts';
import { componentDeadline, stepComponent } from './component-machine.ts';
import { expectedCourse, type Course } from './course.ts';
import type { Effect } from './events.ts';
import { stepLines } from './log.ts';
import { isToldOnStage } from './on-air.ts';
import { isOnAir } from './showings.ts';
import { lookup, must, nameIn, ovenOf, runsOf } from './lookup.ts';
import { ovenDeadline, stepOven } from './oven-machine.ts';
import { withPromise } from './promise-standing.ts';
import { lookOver } from './replanning.ts';
import { marginOf, soonestReady } from './soonest.ts';
import { afterQuiet, standingAlarms } from './alarm-life.ts';
import { forecastAlarms } from './forecast.ts';
import { standingCalls, type Bell } from './standing.ts';
import type { BenchState, LogLine, OvenRun, Projection } from './state.ts';
import { expectedLength } from './triggers.ts';
import { leaveOut } from './swaps.ts';
import { watchAt, type Watch } from './watch.ts';

export interface Settled {
  readonly state: BenchState;
  readonly effects: readonly Effect[];
}

/** How the run is expected to go on from what the watch knows; nothing new starts before `floor`. */
export function projectAt(state: BenchState, watch: Watch, floor?: EpochMs): Projection {
  return projectionOf(state, expectedCourse(state, watch), watch, floor);
}

function projectionOf(state: BenchState, { steps, late }: Course, watch: Watch, floor?: EpochMs): Projection {
  const soonest = soonestReady(state, watch, floor);
  const clashes = [...clashesIn(state, steps), ...late].toSorted((a, b) => a.at - b.at);
  return { steps, soonest, margin: marginOf(state, soonest), clashes };
}

/** Brings a run to `moment`: everything whose time has come by itself happens, each at its own time, in order. */
export function advance(state: BenchState, moment: EpochMs): Settled {
  let now = state;
  const effects: Effect[] = [];
  while (now.deadline !== undefined && now.deadline <= moment) {
    const settled = settle(now, now.deadline);
    if (settled.state.deadline !== undefined && settled.state.deadline <= now.deadline) {
      throw new Error(`time stands still at ${now.deadline} in run ${now.setup.run}`);
    }
    effects.push(...settled.effects);
    now = settled.state;
  }
  return { state: now, effects };
}

/**
 * Lets time act at one moment, then looks at the whole bench: which calls and alarms stand, and when to look again.
 * Situations are derived afresh and matched with what stood before by key, so that one situation is raised once.
 */
export function settle(before: BenchState, moment: EpochMs): Settled {
  let state = before.servedAt === undefined ? leaveOut(runClocks(before, moment), moment) : before;
  const watch = watchAt(moment);
  state = { ...state, ovens: lockDoors(state, watch) };
  if (state.servedAt !== undefined) {
    const { deadline: _, ...rest } = state;
    return {
      state: { ...rest, calls: [], alarms: [], replanning: { situations: [], answered: [] } },
      effects: [...state.calls, ...state.alarms].map(({ key }) => ({ kind: 'hush', key })),
    };
  }
  state = withPromise(state, watch);
  const rung: Record<string, number> = { ...state.rung };
  const bell: Bell = (key, priority, text) => {
    const nth = (rung[key] ?? 0) + 1;
    rung[key] = nth;
    return { kind: 'ring', key, nth, priority, text };
  };
  const course = expectedCourse(state, watch);
  const wantedCalls = callsAt(state, course, watch);
  const calls = standingCalls(state.calls, wantedCalls, (call) => isQuiet(state, call), bell, watch);
  const projection = projectionOf(state, course, watch);
  const plainAlarms = alarmsAt(state, wantedCalls, projection, watch);
  const onAir = isOnAir(state);
  const wantedAlarms = [...plainAlarms, ...forecastAlarms(state, plainAlarms, watch)].filter(
    (alarm) => !isToldOnStage(state, alarm),
  );
  const over = lookOver(state, { course, alarms: wantedAlarms, projection }, watch);
  const { effects: alarmEffects, ...alarms } = standingAlarms(state, wantedAlarms, bell, watch);
  const wasQuiet = state.quietUntil !== undefined;
  const isQuietNow = state.quietUntil !== undefined && !watch.reached(state.quietUntil);
  const late =
    wasQuiet && !isQuietNow
      ? afterQuiet({ ...alarms, calls: calls.calls }, (call) => isQuiet(state, call), bell)
      : [];
  const effects = [...calls.effects, ...alarmEffects]
    .filter((effect) => !(wasQuiet && effect.kind === 'ring'))
    .concat(late)
    .filter((effect) => !(onAir && effect.kind === 'ring' && effect.priority !== 'high'));
  const lines = [
    ...alarmEffects.flatMap((effect): LogLine[] =>
      effect.kind === 'ring' ? [{ at: moment, kind: 'alarm', key: effect.key, text: effect.text }] : [],
    ),
    ...over.lines,
  ];
  const { deadline: _, quietUntil, ...rest } = state;
  const next = deadlineOf(state, watch);
  return {
    state: {
      ...rest,
      ...(isQuietNow && quietUntil !== undefined ? { quietUntil } : {}),
      calls: calls.calls,
      ...alarms,
      replanning: over.replanning,
      log: lines.length > 0 ? [...state.log, ...lines] : state.log,
      rung: effects.some((effect) => effect.kind === 'ring') ? rung : state.rung,
      ...(next === undefined ? {} : { deadline: next }),
    },
    effects,
  };
}

/** The cook whose hands are in it needs no bell to look at it. */
function isQuiet(state: BenchState, call: WantedCall): boolean {
  const { asks } = call;
  return asks.kind === 'done' && must(lookup(state.setup.workload).placed, asks.step).step.hands === 'busy';
}

/** Lets time act on every component and oven at one moment. */
export function runClocks(state: BenchState, now: EpochMs): BenchState {
  const { components: known } = lookup(state.setup.workload);
  const log: LogLine[] = [];
  const components = state.components.map((run) => {
    const component: Component = must(known, run.component);
    const due = componentDeadline(component, run);
    if (due === undefined || due > now) return run;
    const next = stepComponent(component, run, { type: 'CLOCK', now });
    if (next !== run)
      log.push(...stepLines(component, nameIn(state.setup.workload, component.id), run, next, now));
    return next;
  });
  const models = lookup(state.setup.workload).ovens;
  const ovens = state.ovens.map((run) =>
    stepOven(must(models, run.oven), state.setup.workload.kitchen, run, { type: 'CLOCK', now }),
  );
  for (const [index, run] of ovens.entries()) {
    if (run !== state.ovens[index] && run.phase === 'at temperature') {
      log.push({ at: run.readyAt, kind: 'oven', text: `${run.oven} reckoned at temperature` });
    }
  }
  const changed = components.some((run, index) => run !== state.components[index]);
  return {
    ...state,
    components: changed ? components : state.components,
    ovens,
    log: log.length > 0 ? [...state.log, ...log] : state.log,
  };
}

/** Which doors must stay shut, and until when: the shortest time of what bakes, and of what follows it behind the same shut door. */
export function lockDoors(state: BenchState, watch: Watch): readonly OvenRun[] {
  const { placed } = lookup(state.setup.workload);
  return state.ovens.map((run) => {
    const { lockedUntil: _, ...rest } = run;
    let lock: OvenRun['lockedUntil'];
    for (const stepRun of runsOf(state).values()) {
      const here = must(placed, stepRun.step);
      if (
        stepRun.state !== 'running' ||
        here.step.oven?.door !== 'shut' ||
        ovenOf(state, here.step) !== run.oven
      )
        continue;
      let at = plus(stepRun.startedAt, expectedLength(here.step).low + stepRun.extra);
      for (
        let next = here.next;
        next?.oven?.door === 'shut' && next.within === 0;
        next = must(placed, next.id).next
      ) {
        at = plus(at, expectedLength(next).low);
      }
      if (!watch.reached(at) && (!lock || lock.at < at)) lock = { at, step: stepRun.step };
    }
    return lock ? { ...rest, lockedUntil: lock } : rest;
  });
}

/** When time next changes something by itself. */
export function deadlineOf(state: BenchState, watch: Watch): EpochMs | undefined {
  const { components } = lookup(state.setup.workload);
  const moments = [
    watch.next(),
    ...state.components.map((run) => componentDeadline(must(components, run.component), run)),
    ...state.ovens.map(ovenDeadline),
  ].filter((moment) => moment !== undefined);
  return moments.length === 0 ? undefined : moments.reduce((a, b) => (a < b ? a : b));
}
