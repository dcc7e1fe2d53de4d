import { setup, transition } from 'xstate';
import { epochMs, plus, type EpochMs } from '../units/index.ts';
import type { WantedAlarm } from './alarms.ts';
import type { WantedCall } from './calls.ts';
import type { Effect, Priority } from './events.ts';
import type { Alarm, Call } from './state.ts';
import type { Watch } from './watch.ts';

/** A call that is not done is raised again so many minutes after it was due, and every hour after the last. */
const RAISE_AGAIN_MINUTES = [0, 2, 5, 10, 20, 40, 60];
/** An alarm whose cause has gone stays in sight so long, so that nobody wonders what rang. */
const RETURNED_STAYS_S = 120;

type AlarmEvent = { readonly type: 'RAISE' | 'HEAR' | 'RETURN' };

/** The life of an alarm after ANSI/ISA-18.2, as far as a bench needs it; gone is gone from the list. */
export const alarmMachine = setup({ types: { events: {} as AlarmEvent } }).createMachine({
  id: 'alarm',
  initial: 'unacknowledged',
  states: {
    unacknowledged: { on: { HEAR: 'heard', RETURN: 'returned' } },
    heard: { on: { RAISE: 'unacknowledged', RETURN: 'gone' } },
    returned: { on: { RAISE: 'unacknowledged', HEAR: 'gone' } },
    gone: {},
  },
});

/** Makes a ring, and counts it. */
export type Bell = (key: string, priority: Priority, text: string) => Effect;

/** What an alarm becomes; nothing once it is gone. */
function stepAlarm(alarm: Alarm, event: AlarmEvent): Alarm | undefined {
  const [next] = transition(
    alarmMachine,
    alarmMachine.resolveState({ value: alarm.state, context: {} }),
    event,
  );
  const state = next.value as Alarm['state'] | 'gone';
  return state === 'gone' ? undefined : { ...alarm, state };
}

/** How often a call that is due since `due` has been raised by now. */
function timesRaised(due: EpochMs, watch: Watch): number {
  const listed = RAISE_AGAIN_MINUTES.findIndex((late) => !watch.reached(plus(due, late * 60)));
  if (listed >= 0) return listed;
  const hour = 3_600_000;
  const hoursLate = Math.floor((watch.now - due) / hour);
  watch.reached(epochMs(due + (hoursLate + 1) * hour));
  return RAISE_AGAIN_MINUTES.length - 1 + hoursLate;
}

/** The standing calls after a look: what is new is raised, what is known keeps what is remembered of it, what is over goes. */
export function standingCalls(
  old: readonly Call[],
  wanted: readonly WantedCall[],
  quiet: (call: WantedCall) => boolean,
  bell: Bell,
  watch: Watch,
): { readonly calls: readonly Call[]; readonly effects: readonly Effect[] } {
  const effects: Effect[] = [];
  const known = new Map(old.map((call) => [call.key, call]));
  const calls = wanted.map((call): Call => {
    const before = known.get(call.key);
    const raised = timesRaised(call.due, watch);
    const isNew = raised > (before?.raised ?? 0);
    if (isNew && !quiet(call)) {
      effects.push(bell(call.key, call.priority, call.text));
    }
    return {
      ...call,
      raised: Math.max(raised, before?.raised ?? 0),
      heard: isNew ? false : (before?.heard ?? false),
    };
  });
  const standing = new Set(wanted.map((call) => call.key));
  for (const call of old)
    if (!standing.has(call.key) && call.raised > 0) effects.push({ kind: 'hush', key: call.key });
  return { calls, effects };
}

const RANK: Record<Priority, number> = { high: 0, medium: 1, low: 2 };

/** The standing alarms after a look, the most urgent first. */
export function standingAlarms(
  old: readonly Alarm[],
  wanted: readonly WantedAlarm[],
  bell: Bell,
  watch: Watch,
): { readonly alarms: readonly Alarm[]; readonly effects: readonly Effect[] } {
  const effects: Effect[] = [];
  const known = new Map(old.map((alarm) => [alarm.key, alarm]));
  const alarms: Alarm[] = [];
  const ring = (alarm: WantedAlarm): void => {
    effects.push(bell(alarm.key, alarm.priority, `${alarm.cause}: ${alarm.action}`));
  };
  for (const alarm of wanted) {
    const before = known.get(alarm.key);
    if (!before) {
      alarms.push({ ...alarm, raisedAt: watch.now, state: 'unacknowledged' });
      ring(alarm);
      continue;
    }
    const worse = RANK[alarm.priority] < RANK[before.priority];
    const again = before.state === 'returned' || worse ? stepAlarm(before, { type: 'RAISE' }) : before;
    const { returnedAt: _, ...kept } = again ?? before;
    const { by: _by, ...rest } = kept;
    alarms.push({ ...rest, ...alarm });
    if (worse) ring(alarm);
  }
  const standing = new Set(wanted.map((alarm) => alarm.key));
  for (const before of old) {
    if (standing.has(before.key)) continue;
    if (before.state === 'returned') {
      if (!watch.reached(plus(before.returnedAt ?? watch.now, RETURNED_STAYS_S))) alarms.push(before);
      continue;
    }
    effects.push({ kind: 'hush', key: before.key });
    const after = stepAlarm(before, { type: 'RETURN' });
    if (!after) continue;
    watch.reached(plus(watch.now, RETURNED_STAYS_S));
    alarms.push({ ...after, returnedAt: watch.now });
  }
  const isGone = (alarm: Alarm): number => (alarm.state === 'returned' ? 1 : 0);
  return {
    alarms: alarms.toSorted(
      (a, b) => isGone(a) - isGone(b) || RANK[a.priority] - RANK[b.priority] || a.raisedAt - b.raisedAt,
    ),
    effects,
  };
}
