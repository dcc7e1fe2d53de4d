import type { ComponentId, StepId } from '../plan/index.ts';
import {
  later,
  plus,
  roughly,
  seconds,
  secondsBetween,
  wallClock,
  type EpochMs,
  type Seconds,
} from '../units/index.ts';
import { priorityOf } from './alarm-table.ts';
import { isPressing } from './clashes.ts';
import { coolingAlarms } from './cooling-alarms.ts';
import { ovenAlarms } from './oven-alarms.ts';
import { probeAlarms } from './probe-alarms.ts';
import type { WantedCall } from './calls.ts';
import { latestStart } from './calls.ts';
import { called, componentRun, lookup, must, nameIn, planned, runsOf, type Placed } from './lookup.ts';
import { isServed } from './service.ts';
import type { Alarm, BenchState, Clash, ExpectedStep, Projection, StepRun } from './state.ts';
import { endsByClock, expectedLength } from './triggers.ts';
import type { Watch } from './watch.ts';

/** An alarm as the situation asks for it, before its life cycle is added. */
export type WantedAlarm = Omit<
  Alarm,
  'raisedAt' | 'state' | 'returnedAt' | 'firstOut' | 'rangAt' | 'goneSince'
>;

/** A call so long unanswered may never have been started at the bench. */
const NUDGE_S = 180;
/** A window is overstepped when it is past by this much, s; before that the press may just be late. */
export const GRACE_S = 30;
/** Hands that will be wanted twice later than this may still sort themselves out. */
const HANDS_HORIZON_S = 900;
/** Lateness that raises the alarm, and the margin that ends it: a dead band, so that it does not flutter. */
const LATE_RAISES_S = -60;
const LATE_ENDS_S = 0;

const between = (low: number, value: number, high: number): number => Math.min(high, Math.max(low, value));

/** Every alarm whose cause stands at the watch's moment. */
export function alarmsAt(
  state: BenchState,
  calls: readonly WantedCall[],
  projection: Projection,
  watch: Watch,
): readonly WantedAlarm[] {
  if (state.servedAt !== undefined) return [];
  const expected = new Map(projection.steps.map((step) => [step.step, step]));
  return [
    ...state.components.flatMap((run) => {
      const current = run.steps.find((step) => step.state === 'running' || step.state === 'waiting');
      const placed = current && must(lookup(state.setup.workload).placed, current.step);
      return [
        ...(placed && current.state === 'waiting'
          ? waitingAlarms(state, placed, calls, expected, watch)
          : []),
        ...(placed && current.state === 'running'
          ? [
              ...runningAlarms(state, placed, current, projection.margin, watch),
              ...afterRest(state, placed, calls, expected, watch),
            ]
          : []),
        ...keepsAlarms(state, run.component, expected, watch),
      ];
    }),
    ...projection.clashes
      .filter((clash) => clash.kind !== 'hands')
      .flatMap((clash) => clashAlarm(state, clash)),
    ...handsAlarm(state, projection, expected, watch),
    ...probeAlarms(state, projection, watch),
    ...coolingAlarms(state, projection, watch),
    ...ovenAlarms(state, projection, watch),
    ...lateAlarm(state, projection),
  ];
}

/** A rest goes on for as long as nobody takes what rests on: what was called to follow it may have been forgotten. */
function afterRest(
  state: BenchState,
  { step, next }: Placed,
  calls: readonly WantedCall[],
  expected: ReadonlyMap<StepId, ExpectedStep>,
  watch: Watch,
): WantedAlarm[] {
  if (step.length.kind !== 'rest' || !next) return [];
  return waitingAlarms(state, must(lookup(state.setup.workload).placed, next.id), calls, expected, watch);
}

/** Tells attempts and steps apart in alarm keys. */
const keyOf = (state: BenchState, kind: string, placed: Placed): string =>
  `${kind} ${placed.step.id}#${componentRun(state, placed.component.id).attempt}`;

function waitingAlarms(
  state: BenchState,
  placed: Placed,
  calls: readonly WantedCall[],
  expected: ReadonlyMap<StepId, ExpectedStep>,
  watch: Watch,
): WantedAlarm[] {
  const { step, before, component, name } = placed;
  const beforeRun = before && must(runsOf(state), before.id);
  const beforeEnd = beforeRun && 'endedAt' in beforeRun ? beforeRun.endedAt : undefined;
  const call = calls.find((each) => each.asks.kind === 'start' && each.asks.step === step.id);
  const isDue = call !== undefined && watch.reached(call.due);
  const limit =
    step.within !== undefined && beforeEnd !== undefined ? plus(beforeEnd, step.within) : undefined;
  const about = { component: component.id, action: `start it now: ${step.action}` };
  if (limit !== undefined && step.within !== undefined) {
    if (watch.reached(plus(limit, GRACE_S))) {
      return [
        {
          ...about,
          key: keyOf(state, 'waited too long', placed),
          kind: 'waited too long',
          cause: `${called(placed)} should have followed ${before?.name} within ${roughly(step.within)}`,
          consequence: 'what waits is spoiling',
          action: `${about.action}; or make ${name} again (lost)`,
          priority: priorityOf('waited too long'),
        },
      ];
    }
    const lead = between(60, step.within / 4, 300);
    const willMiss = (expected.get(step.id)?.start ?? limit) > plus(limit, GRACE_S);
    if (step.within > lead && watch.reached(plus(limit, -lead)) && (isDue || willMiss)) {
      return [
        {
          ...about,
          key: keyOf(state, 'waits', placed),
          kind: 'waits',
          cause: `${called(placed)} has not started and may wait ${roughly(step.within)} after ${before?.name}`,
          consequence: 'it spoils if it waits longer',
          by: limit,
          priority: priorityOf('waits'),
        },
      ];
    }
  }
  if (!call || !watch.reached(plus(call.due, NUDGE_S))) return [];
  return [
    {
      ...about,
      key: keyOf(state, 'not started', placed),
      kind: 'not started',
      cause: `${called(placed)} was called at ${clock(state, call.due)} and no start is known`,
      consequence: 'what follows it moves back with it',
      action: `start it, or date it back if it is already going: ${step.action}`,
      priority: priorityOf('not started'),
    },
  ];
}

function runningAlarms(
  state: BenchState,
  placed: Placed,
  running: Extract<StepRun, { state: 'running' }>,
  margin: Seconds,
  watch: Watch,
): WantedAlarm[] {
  const { step, component } = placed;
  if (step.length.kind === 'rest') {
    if (step.length.atMost === undefined) return [];
    const limit = plus(running.startedAt, step.length.atMost + running.extra);
    const lead = between(60, step.length.atMost / 10, 1800);
    const soon =
      watch.reached(plus(limit, -lead)) && must(planned(state.timetable).steps, step.id).end < limit;
    const about = {
      component: component.id,
      consequence: 'it is no longer as the plan wants it',
      action: `take ${placed.name} on to what is next`,
      cause: `${called(placed)} may last ${roughly(step.length.atMost)} at most`,
    };
    if (watch.reached(plus(limit, GRACE_S))) {
      return [
        {
          ...about,
          key: keyOf(state, 'kept too long', placed),
          kind: 'kept too long',
          priority: priorityOf('kept too long'),
        },
      ];
    }
    return soon
      ? [
          {
            ...about,
            key: keyOf(state, 'keeps', placed),
            kind: 'keeps',
            by: limit,
            priority: priorityOf('keeps', 'minor'),
          },
        ]
      : [];
  }
  if (endsByClock(step)) return [];
  const { high } = expectedLength(step);
  const slack = step.length.kind === 'each' ? Math.max(60, high / 4) : GRACE_S;
  if (!watch.reached(plus(running.startedAt, high + running.extra + slack))) return [];
  return [
    {
      key: keyOf(state, 'runs over', placed),
      kind: 'runs over',
      component: component.id,
      cause: `${called(placed)} was to take ${roughly(seconds(high + running.extra))} at most`,
      consequence:
        margin < 0
          ? `service is ${roughly(seconds(0 - margin))} late as it stands`
          : `${roughly(margin)} are left in hand`,
      action: 'look at it: end it, date its end back, or give it more minutes',
      priority: priorityOf('runs over'),
    },
  ];
}

/** What is finished and must be used in time: when it will not be, and when it was not. */
function keepsAlarms(
  state: BenchState,
  id: ComponentId,
  expected: ReadonlyMap<StepId, ExpectedStep>,
  watch: Watch,
): WantedAlarm[] {
  const { components, users } = lookup(state.setup.workload);
  const component = must(components, id);
  const { finishedAt, attempt } = componentRun(state, id);
  const name = nameIn(state.setup.workload, id);
  if (component.keeps === undefined || finishedAt === undefined) return [];
  const open = (users.get(id) ?? []).filter((user) =>
    ['running', 'waiting'].includes(must(runsOf(state), user.id).state),
  );
  const goesOut = (users.get(id) ?? []).length === 0;
  if (goesOut ? isServed(state, component.plan) : open.length === 0) return [];
  const limit = plus(finishedAt, component.keeps);
  const about = {
    component: id,
    cause: `${name} keeps ${roughly(component.keeps)} and was finished at ${clock(state, finishedAt)}`,
  };
  if (watch.reached(plus(limit, GRACE_S))) {
    return [
      {
        ...about,
        key: `kept too long ${id}#${attempt}`,
        kind: 'kept too long',
        consequence: 'it is past what the plan allows',
        action: `do not count on it: judge it, or make ${name} again`,
        priority: priorityOf('kept too long'),
      },
    ];
  }
  const used = goesOut
    ? (state.timetable.service[component.plan] ?? limit)
    : open.map((user) => expected.get(user.id)?.end ?? limit).reduce(later);
  const lead = between(120, component.keeps / 10, 1800);
  if (used <= plus(limit, GRACE_S) || !watch.reached(plus(limit, -lead))) return [];
  return [
    {
      ...about,
      key: `keeps ${id}#${attempt}`,
      kind: 'keeps',
      consequence: `it will be used at ${clock(state, used)}, too late`,
      action: 'bring its use forward',
      by: limit,
      priority: priorityOf('keeps'),
    },
  ];
}

/**
 * Of hands that are wanted twice only the first matters, and only where the one that has to wait waits long or may not
 * wait so long: short waits sort themselves out, and what comes after them changes with every step.
 */
function handsAlarm(
  state: BenchState,
  { clashes }: Projection,
  expected: ReadonlyMap<StepId, ExpectedStep>,
  watch: Watch,
): WantedAlarm[] {
  const runs = runsOf(state);
  const endOf = (step: StepId): EpochMs => {
    const run = must(runs, step);
    return 'endedAt' in run ? run.endedAt : must(expected, step).end;
  };
  const clash = clashes.find((each) => each.kind === 'hands' && isPressing(state, each, endOf));
  return clash && watch.reached(plus(clash.at, -HANDS_HORIZON_S)) ? clashAlarm(state, clash) : [];
}

const CLASH_KIND = { oven: 'oven clash', 'not hot': 'oven not hot', hands: 'hands clash' } as const;

function clashAlarm(state: BenchState, clash: Clash): WantedAlarm[] {
  const { placed } = lookup(state.setup.workload);
  const last = clash.steps.at(-1);
  if (last === undefined) return [];
  const second = must(placed, last);
  const beforeRun = second.before && must(runsOf(state), second.before.id);
  const latest = latestStart(
    state,
    second,
    beforeRun && 'endedAt' in beforeRun ? beforeRun.endedAt : undefined,
  );
  const words = {
    oven: [
      'one of them is baked wrong or has to wait',
      `move one: hold ${second.name} back, or bring the other out first`,
    ],
    'not hot': [
      `${second.step.name} starts late or in a cold oven`,
      'see that the knob is turned, and hold back what would wait for it',
    ],
    hands: ['one of the two has to wait', `let ${called(second)} wait, or start it before the other`],
  }[clash.kind];
  return [
    {
      key: `${CLASH_KIND[clash.kind]} ${clash.steps.map((id) => `${id}#${componentRun(state, must(placed, id).component.id).attempt}`).join(' | ')}`,
      kind: CLASH_KIND[clash.kind],
      component: second.component.id,
      cause: clash.why,
      consequence: latest ? `${words[0]}; ${latest.breaks}` : (words[0] ?? ''),
      action: words[1] ?? '',
      by: clash.at,
      priority: priorityOf(
        CLASH_KIND[clash.kind],
        clash.kind === 'not hot' && !latest ? 'minor' : 'as its kind',
      ),
    },
  ];
}

function lateAlarm(state: BenchState, { margin, soonest }: Projection): WantedAlarm[] {
  const key = 'late for service';
  const stands = state.alarms.some((alarm) => alarm.key === key && alarm.state !== 'returned');
  if (margin >= (stands ? LATE_ENDS_S : LATE_RAISES_S)) return [];
  if (state.components.every((run) => run.finishedAt !== undefined)) return [];
  const { plans } = state.setup.workload;
  const late = plans.findIndex(
    (_, plan) =>
      !isServed(state, plan) &&
      secondsBetween(soonest[plan] ?? state.time, state.timetable.service[plan] ?? state.time) === margin,
  );
  const which = plans.length > 1 ? `${plans[late]?.title}: ` : '';
  const by = roughly(seconds(Math.max(0, 0 - margin)));
  const soonestAt = clock(state, soonest[late] ?? state.time);
  const words = state.setup.rundown
    ? {
        cause: `off air at ${soonestAt} at the soonest, as it stands`,
        consequence: `it goes on air late, or is ${by} over`,
        action: 'look at new timetables (n), or leave out what will be late (x on the stage)',
      }
    : {
        cause: `${which}ready at ${soonestAt} at the soonest, as it stands`,
        consequence: `service is ${by} late`,
        action:
          'look at new timetables (n), leave something out, get another pair of hands, or tell the table',
      };
  return [
    {
      key,
      kind: 'late for service',
      ...words,
      by: state.timetable.service[late] ?? state.time,
      priority: priorityOf('late for service'),
    },
  ];
}

const clock = (state: BenchState, moment: EpochMs): string =>
  wallClock(moment, state.setup.workload.kitchen.timeZone);
