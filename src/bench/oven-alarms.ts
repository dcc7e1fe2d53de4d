import { openingCost, ovenModel } from '../heat/index.ts';
import type { Oven } from '../plan/index.ts';
import {
  earlier,
  plus,
  roughly,
  seconds,
  secondsBetween,
  wallClock,
  type Celsius,
  type EpochMs,
} from '../units/index.ts';
import { priorityOf } from './alarm-table.ts';
import type { WantedAlarm } from './alarms.ts';
import { called, componentRun, lookup, must, ovenOf, runsOf, type Placed } from './lookup.ts';
import { goalOf, reckonedHeat, rightBy } from './oven-reckoning.ts';
import { meanOff } from './oven-readings.ts';
import type { BenchState, OvenRun, Projection, StepRun } from './state.ts';
import { expectedLength } from './triggers.ts';
import type { Watch } from './watch.ts';

/** Alarms of this part that stand at the watch's moment. */
export function ovenAlarms(state: BenchState, projection: Projection, watch: Watch): readonly WantedAlarm[] {
  return state.ovens.flatMap((run) => [
    ...doorAlarm(state, run, watch),
    ...offItsMark(state, run, projection, watch),
    ...notTurned(state, run, watch),
  ]);
}

const clock = (state: BenchState, moment: EpochMs): string =>
  wallClock(moment, state.setup.workload.kitchen.timeZone);

/** A door that is open although it must stay shut; one that is open for a tray to be turned is not. */
function doorAlarm(state: BenchState, run: OvenRun, watch: Watch): WantedAlarm[] {
  const { lockedUntil: lock, door, openings, earlyOpenings } = run;
  const last = openings.at(-1);
  const isEarly = door === 'open' && (last === undefined || earlyOpenings.at(-1) === last.at);
  if (!isEarly || !lock || watch.reached(lock.at)) return [];
  const placed = must(lookup(state.setup.workload).placed, lock.step);
  return [
    {
      key: `door ${run.oven} ${lock.step}`,
      kind: 'door opened early',
      component: placed.component.id,
      cause: `the ${run.oven} is open and ${called(placed)} wants it shut until ${clock(state, lock.at)}`,
      consequence: `what has risen may fall; ${minuteWords(state, run)}`,
      action: 'shut the door',
      by: lock.at,
      priority: priorityOf('door opened early'),
    },
  ];
}

/** What a minute with the door open costs an oven as it stands: told by the minute, as that is how long it takes to shut it. */
function minuteWords(state: BenchState, run: OvenRun): string {
  const { kitchen } = state.setup.workload;
  const oven = must(lookup(state.setup.workload).ovens, run.oven);
  const at = run.openings.at(-1)?.at ?? run.setAt;
  const { fell, back } = openingCost(
    ovenModel(oven, kitchen.ambient),
    reckonedHeat(oven, kitchen.ambient, run, at),
    60,
  );
  return `a minute costs about ${Math.round(fell / 5) * 5} degrees and ${roughly(seconds(60 * Math.max(1, Math.round(back / 60))))} to come back`;
}

/** So far off its mark, in degrees beyond what its tolerance and its swing allow; it is back within so large a part of that. */
const BACK_WITHIN = 0.6;
/** A step that wants the oven within so long makes it matter. */
const WANTED_WITHIN_S = 1800;
/** Before it should be there, it is off its mark when it has come so much less far than it should. */
const SHARE_OF_WAY = 0.25;

/**
 * An oven that does not do what its model says, by its own probe: too low when it should be hot, too hot, or not heating. Only
 * where something is in it or will be soon; and by the mean of some minutes, as the air swings.
 */
function offItsMark(state: BenchState, run: OvenRun, projection: Projection, watch: Watch): WantedAlarm[] {
  const goal = goalOf(run.heat);
  const user = userOf(state, run, projection);
  if (goal === undefined || user === undefined || !run.air) return [];
  const { kitchen } = state.setup.workload;
  const oven = must(lookup(state.setup.workload).ovens, run.oven);
  const planned = asPlanned(run);
  const expected = (at: EpochMs): Celsius => reckonedHeat(oven, kitchen.ambient, planned, at);
  const off = meanOff(run.air, planned.since?.at ?? run.setAt, watch.now, expected);
  if (off === undefined) return [];
  const key = `oven off its mark ${run.oven} ${run.setAt}`;
  const stands = state.alarms.some((alarm) => alarm.key === key && alarm.state !== 'returned');
  const limit = limitOf(oven, run, kitchen.ambient, off, watch.now);
  if (Math.abs(off) <= (stands ? limit * BACK_WITHIN : limit)) return [];
  const { step, component } = user;
  const by = projection.steps.find((each) => each.step === step.id);
  const isIn = must(runsOf(state), step.id).state === 'running';
  const degrees = Math.round(Math.abs(off) / 5) * 5;
  const due = expected(watch.now) < goal - oven.tolerance ? 'by now' : '';
  return [
    {
      key,
      kind: 'oven off its mark',
      component: component.id,
      cause: `the ${run.oven} reads about ${degrees} C ${off < 0 ? 'less' : 'more'} than it should${due ? ` ${due}` : ''}`,
      consequence: isIn
        ? `${called(user)} bakes too ${off < 0 ? 'slowly' : 'fast'}`
        : `${called(user)} finds it ${off < 0 ? 'too cold' : 'too hot'}`,
      action:
        off < 0
          ? 'look at its knob, door and heater; turn the knob up or give it longer'
          : 'turn the knob down, or open the door for a moment; watch what is in it',
      ...(by ? { by: isIn ? by.end : by.start } : {}),
      priority: priorityOf('oven off its mark'),
    },
  ];
}

/** The oven as it would be without what its probe said: from its knob, its door and its loads alone. */
function asPlanned(run: OvenRun): OvenRun {
  const { since, ...rest } = run;
  return since && since.by !== 'reading' ? { ...rest, since: { ...since, pace: 1 } } : rest;
}

/** How far off is too far: what tolerance and swing allow, more on the way, and more again just after it was reached. */
function limitOf(oven: Oven, run: OvenRun, room: Celsius, off: number, now: EpochMs): number {
  const model = ovenModel(oven, room);
  const usual = model.tolerance + model.swing;
  const stands = reckonedHeat(oven, room, asPlanned(run), now);
  const way = Math.abs(stands - run.from) * SHARE_OF_WAY;
  const right = rightBy(oven, room, run.from, run.heat, run.setAt);
  const settled = plus(right, model.soak);
  if (off > 0 && now < settled) return Math.max(usual, model.overshoot + model.tolerance);
  return now < right ? Math.max(usual, way) : usual;
}

/** What wants the oven at what its knob says: what is in it, or else what goes in soon. */
function userOf(state: BenchState, run: OvenRun, projection: Projection): Placed | undefined {
  const { placed } = lookup(state.setup.workload);
  const wants = projection.steps.filter(({ step, oven }) => {
    const heat = must(placed, step).step.oven?.heat;
    return oven === run.oven && heat?.kind === 'at';
  });
  const inside = wants.find(({ step }) => must(runsOf(state), step).state === 'running');
  const soon = wants.find(({ start }) => secondsBetween(state.time, start) <= WANTED_WITHIN_S);
  const found = inside ?? soon;
  return found && must(placed, found.step);
}

/** A tray that was not turned a while after it should have been. */
function notTurned(state: BenchState, run: OvenRun, watch: Watch): WantedAlarm[] {
  const { placed } = lookup(state.setup.workload);
  return [...runsOf(state).values()].flatMap((step): WantedAlarm[] => {
    const here = must(placed, step.step);
    if (step.state !== 'running' || here.step.turn === undefined) return [];
    if (ovenOf(state, here.step) !== run.oven || run.turned.includes(step.step)) return [];
    const { due, end } = turningOf(here, step, here.step.turn);
    const wait = Math.min(LATE_TURN_S, secondsBetween(due, end) / 2);
    if (!watch.reached(plus(due, wait))) return [];
    return [
      {
        key: `not turned ${step.step}#${componentRun(state, here.component.id).attempt}`,
        kind: 'not turned',
        component: here.component.id,
        cause: `${called(here)} should have been turned round at ${clock(state, due)}`,
        consequence: 'one side bakes darker than the other',
        action: 'turn it round now, and say so',
        ...(watch.reached(end) ? {} : { by: end }),
        priority: priorityOf('not turned'),
      },
    ];
  });
}
/** A tray may be turned so much later than it should. */
const LATE_TURN_S = 180;

function turningOf(
  { step }: Placed,
  running: Extract<StepRun, { state: 'running' }>,
  turn: number,
): { readonly due: EpochMs; readonly end: EpochMs } {
  const due = plus(running.startedAt, turn);
  const usual = plus(running.startedAt, expectedLength(step).usual + running.extra);
  const high = plus(running.startedAt, expectedLength(step).high + running.extra);
  return { due, end: usual > due ? usual : earlier(high, plus(due, 2 * LATE_TURN_S)) };
}
