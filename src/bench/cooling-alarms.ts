import { FRESH_S, standsOf, TIME_MARGIN, whatHelps, type CoolingStand } from '../heat/index.ts';
import type { Component } from '../plan/index.ts';
import { epochMs, plus, roughly, seconds, secondsBetween, wallClock, type EpochMs } from '../units/index.ts';
import { priorityOf } from './alarm-table.ts';
import type { WantedAlarm } from './alarms.ts';
import { coldBy, type Expected } from './cooling-forecast.ts';
import { isUsedUp, watchedIn, type Watched } from './cooling.ts';
import { timeOut } from './cooling-trips.ts';
import { FOLLOW_YOUR_PLAN, limitWords } from './cooling-words.ts';
import { componentRun, nameIn } from './lookup.ts';
import { isServed } from './service.ts';
import type { BenchState, Projection } from './state.ts';
import type { Watch } from './watch.ts';

type Running = Extract<CoolingStand, { state: 'running' }>;
type Passed = Extract<CoolingStand, { state: 'passed' }>;

/** What the chosen cooling rules want and will hardly get, or did not get; none where no rules are chosen. */
export function coolingAlarms(
  state: BenchState,
  _projection: Projection,
  watch: Watch,
): readonly WantedAlarm[] {
  return [
    ...watchedIn(state).flatMap((watched) =>
      isUsedUp(state, watched.component) ? [] : clockAlarms(state, watched, watch),
    ),
    ...state.setup.workload.components.flatMap((component) => outAlarms(state, component, watch)),
  ];
}

/** Of several clocks of one component the first that runs out speaks: what helps it helps the others. */
function clockAlarms(state: BenchState, watched: Watched, watch: Watch): readonly WantedAlarm[] {
  const { run, limits } = watched;
  for (const { above, below } of run.clocks) if (above && !below) watch.reached(plus(above.at, FRESH_S + 1));
  const stands = standsOf(run, limits, watch.now);
  const passed = stands.flatMap((stand) =>
    stand.state === 'passed' ? passedAlarm(state, watched, stand) : [],
  );
  const [close] = stands
    .flatMap((stand) => (stand.state === 'running' ? [stand] : []))
    .toSorted((a, b) => a.by - b.by)
    .flatMap((stand) => {
      // The moment after the last at which it could still be met.
      watch.reached(epochMs(stand.by + 1));
      return closeAlarm(state, watched, stand, watch);
    });
  return close ? [...passed, close] : passed;
}

/**
 * A clock that runs and whose limit will hardly be met: predicted too late, or a tenth of its time left and nothing that says
 * otherwise. What comes in time by readings that have grown old is to be read again: only a reading meets the limit.
 */
function closeAlarm(state: BenchState, watched: Watched, stand: Running, watch: Watch): WantedAlarm[] {
  const { component, run } = watched;
  const key = keyOf(watched, stand);
  const expected = coldBy(state, watched, stand.limit.to);
  const stands = state.alarms.some((alarm) => alarm.key === key && alarm.state !== 'returned');
  const slack = stands ? DEAD_BAND * TIME_MARGIN * stand.limit.within : 0;
  const isLate = expected !== undefined && secondsBetween(expected.usual, stand.by) < slack;
  const isShort = watch.reached(stand.warnFrom);
  const comesInTime = expected !== undefined && expected.high <= stand.by;
  if (!isLate && !isShort) return [];
  if (!isLate && comesInTime && run.last && !watch.reached(plus(run.last.at, FRESH_S))) return [];
  const { cause, action } = wordsFor(state, watched, stand, expected);
  return [
    {
      key,
      kind: 'cooling',
      component: component.id,
      cause,
      consequence: `${watched.rules?.title} would not be met: ${limitWords(stand.limit, component)}`,
      action,
      by: stand.by,
      priority: priorityOf(
        'cooling',
        run.last === undefined || (comesInTime && !isLate) ? 'minor' : 'as its kind',
      ),
    },
  ];
}

/** Once told, lateness is told until so much of the time margin is in hand again. */
const DEAD_BAND = 0.5;

function wordsFor(
  state: BenchState,
  { component, name, run, probe }: Watched,
  { limit, by }: Running,
  expected: Expected | undefined,
): Pick<WantedAlarm, 'cause' | 'action'> {
  const clock = clockOf(state);
  const wanted = `${name} is to be read at ${limit.to} C or less by ${clock(by)}`;
  if (run.last === undefined) {
    return {
      cause: `${wanted}, and nothing has been read of it yet`,
      action: `read it in its warmest spot, as the probe ${probe}`,
    };
  }
  const reads = `it read ${degrees(run.last.celsius)} at ${clock(run.last.at)}`;
  if (expected && expected.high <= by) {
    return {
      cause: `${wanted}, as it should be, but nothing has been read for a while: ${reads}`,
      action: `read it again, as the probe ${probe}`,
    };
  }
  return expected
    ? {
        cause: `${wanted}, and as it goes that is about ${clock(expected.usual)}: ${reads}`,
        action: helpFor(state, component, run.last.at, expected),
      }
    : { cause: `${wanted}, and ${reads}`, action: `${helpFor(state, component)}; read it again` };
}

/** What would cool it sooner, the most effective first, with what that would make of the time still to go where it is known. */
function helpFor(state: BenchState, component: Component, from?: EpochMs, expected?: Expected): string {
  const running = componentRun(state, component.id).steps.find((step) => step.state === 'running');
  const step = component.steps.find(({ id }) => id === running?.step);
  const isOnIce = step?.around !== undefined && step.around <= ICE_C;
  const helps = whatHelps(component.depth, isOnIce ? 'ice bath' : 'still air');
  const [best] = helps;
  const words = helps.map(({ what }) => what).join(', ');
  if (!best || from === undefined || !expected) return `cool it faster: ${words}`;
  const left = secondsBetween(from, expected.usual);
  return `cool it faster: ${words}; ${best.what} it takes some ${roughly(seconds(left * best.share))} instead of ${roughly(left)}`;
}

/** Colder than this it stands in ice or in ice water. */
const ICE_C = 2;

/** A limit that is over: until a reading is as cold at last. Where nothing was ever read it stays the question that it was. */
function passedAlarm(state: BenchState, watched: Watched, stand: Passed): WantedAlarm[] {
  const { component, name, rules, run } = watched;
  if (stand.met || !rules) return [];
  const clock = clockOf(state);
  const words = limitWords(stand.limit, component);
  if (run.last === undefined) {
    return [
      {
        key: keyOf(watched, stand),
        kind: 'cooling',
        component: component.id,
        cause: `${name} was to be read at ${stand.limit.to} C or less by ${clock(stand.by)}, and nothing was read of it`,
        consequence: `whether ${rules.title} is met is not known: ${words}`,
        action: `read it, as the probe ${watched.probe}; ${FOLLOW_YOUR_PLAN}`,
        priority: priorityOf('cooling', 'minor'),
      },
    ];
  }
  return [
    {
      key: `passed ${keyOf(watched, stand)}`,
      kind: 'cooling limit passed',
      component: component.id,
      cause: `${name} was to be at ${stand.limit.to} C by ${clock(stand.by)}, and read ${degrees(run.last.celsius)} at ${clock(run.last.at)}`,
      consequence: `${rules.title} is not met: ${words}`,
      action: FOLLOW_YOUR_PLAN,
      priority: priorityOf('cooling limit passed'),
    },
  ];
}

const keyOf = ({ component, attempt, limits }: Watched, { limit }: CoolingStand): string =>
  `cooling ${component.id} ${limits.indexOf(limit) + 1}#${attempt}`;

/** Time out of the cold, all trips together: told before each limit that it comes to, and once the last of them is over. */
function outAlarms(state: BenchState, component: Component, watch: Watch): readonly WantedAlarm[] {
  const out = timeOut(state, component, watch.now);
  if (!out || isServed(state, component.plan)) return [];
  const { attempt } = componentRun(state, component.id);
  const clock = clockOf(state);
  const name = nameIn(state.setup.workload, component.id);
  return out.limits.flatMap(({ after, says, isEnd }, index): WantedAlarm[] => {
    const over = plus(watch.now, after - out.total);
    const about = { component: component.id, consequence: `${out.rules.title}: ${says}` };
    const key = `cooling ${component.id} out ${index + 1}#${attempt}`;
    if (out.total >= after) {
      if (!isEnd || out.limits.slice(index + 1).some((next) => next.isEnd && out.total >= next.after))
        return [];
      return [
        {
          ...about,
          key: `passed ${key}`,
          kind: 'cooling limit passed',
          cause: `${name} has been out of the cold for ${roughly(after)} in all`,
          action: FOLLOW_YOUR_PLAN,
          priority: priorityOf('cooling limit passed'),
        },
      ];
    }
    if (!out.isOut) return [];
    watch.reached(over);
    if (!watch.reached(plus(over, -TIME_MARGIN * after))) return [];
    return [
      {
        ...about,
        key,
        kind: 'cooling',
        cause: `${name} will have been out of the cold for ${roughly(after)} in all at ${clock(over)}`,
        action: 'put it back in the cold, or use it',
        by: over,
        priority: priorityOf('cooling'),
      },
    ];
  });
}

const clockOf =
  (state: BenchState) =>
  (moment: EpochMs): string =>
    wallClock(moment, state.setup.workload.kitchen.timeZone);

const degrees = (value: number): string => `${Math.round(value * 10) / 10} C`;
