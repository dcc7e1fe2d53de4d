import { setup, transition } from 'xstate';
import { later, plus, secondsBetween, type EpochMs } from '../units/index.ts';
import { ALARM_TABLE } from './alarm-table.ts';
import type { WantedAlarm } from './alarms.ts';
import type { Effect, Priority } from './events.ts';
import type { Bell } from './standing.ts';
import type { Alarm, AlarmKind, BenchState, Call, Shelved } from './state.ts';
import type { Watch } from './watch.ts';

/** An alarm whose cause has gone stays in sight so long, so that nobody wonders what rang. */
const RETURNED_STAYS_S = 120;
/**
 * No alarm rings twice within this. One that comes back sooner than this after it was over rings only if it then stands for as
 * long, and not at all where it had been heard: so what flutters rings once.
 */
const APART_S = 60;
/**
 * One that still stands so long after it was raised is raised again, it may have been forgotten; and again each time that it has
 * stood twice as long. Not so where little is at stake.
 */
const STALE_S = 1800;
/** Alarms that follow each other this closely belong together, and the first of them is marked. */
const TOGETHER_S = 60;

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

const RANK: Record<Priority, number> = { high: 0, medium: 1, low: 2 };

type Before = Pick<BenchState, 'alarms' | 'arising' | 'lately' | 'shelved' | 'outOfService'>;

/** How alarms stand after a look. */
export interface StandingAlarms extends Before {
  readonly effects: readonly Effect[];
}

/**
 * The standing alarms after a look, the most urgent first. What is out of service, explained by another alarm or set aside is
 * left out. A cause must have stood for its on-delay; what is gone is kept for its off-delay, then in sight for two minutes if
 * nobody heard it, and in mind for a minute in any case, so that it does not ring anew if it comes back.
 */
export function standingAlarms(
  before: Before,
  wanted: readonly WantedAlarm[],
  bell: Bell,
  watch: Watch,
): StandingAlarms {
  const inService = wanted.filter(({ kind }) => !isOut(before, kind));
  const shelved = stillShelved(before.shelved, inService, watch);
  const aside = new Set(shelved.map(({ key }) => key));
  const left = explained(inService).filter(({ key }) => !aside.has(key));
  const { risen, arising } = held(before, left, watch);
  const effects: Effect[] = [];
  const ring = (alarm: WantedAlarm): void => {
    effects.push(bell(alarm.key, alarm.priority, `${alarm.cause}: ${alarm.action}`));
  };
  const mind = before.lately.filter(
    ({ returnedAt }) => !watch.reached(plus(returnedAt ?? watch.now, APART_S)),
  );
  const known = new Map([...mind, ...before.alarms].map((alarm) => [alarm.key, alarm]));
  const present = risen.map((alarm) => raised(alarm, known.get(alarm.key), ring, watch));
  const standing = new Set(risen.map(({ key }) => key));
  const gone: Alarm[] = [];
  const lately = mind.filter(({ key }) => !standing.has(key));
  for (const alarm of before.alarms) {
    if (standing.has(alarm.key)) continue;
    const isAside = aside.has(alarm.key) || isOut(before, alarm.kind);
    const after = leaving(alarm, isAside, effects, watch);
    if (after) gone.push(after);
    else if (!isAside && alarm.state === 'heard' && !watch.reached(plus(watch.now, APART_S)))
      lately.push({ ...alarm, returnedAt: watch.now });
  }
  return {
    alarms: firstOut([...present, ...gone]).toSorted(inOrder),
    arising,
    lately,
    shelved,
    outOfService: before.outOfService,
    effects,
  };
}

const isOut = ({ outOfService }: Before, kind: AlarmKind): boolean =>
  outOfService.some((each) => each.kind === kind);

/** Those whose time is not over, and that have not become graver than they were when they were set aside. */
function stillShelved(
  shelved: readonly Shelved[],
  wanted: readonly WantedAlarm[],
  watch: Watch,
): readonly Shelved[] {
  const kept = shelved.filter(({ key, until, priority }) => {
    const alarm = wanted.find((each) => each.key === key);
    return !watch.reached(until) && !(alarm && RANK[alarm.priority] < RANK[priority]);
  });
  return kept.length === shelved.length ? shelved : kept;
}

/** Without those that another alarm of the same component explains, by the table. */
function explained(wanted: readonly WantedAlarm[]): readonly WantedAlarm[] {
  return wanted.filter(({ kind, component }) => {
    const { suppressedBy } = ALARM_TABLE[kind];
    return !wanted.some((other) => suppressedBy.includes(other.kind) && other.component === component);
  });
}

/** Those whose cause has stood for long enough, and since when the others'. */
function held(
  { alarms, arising, lately, shelved }: Before,
  wanted: readonly WantedAlarm[],
  watch: Watch,
): { readonly risen: readonly WantedAlarm[]; readonly arising: Readonly<Record<string, EpochMs>> } {
  const next: Record<string, EpochMs> = {};
  const known = new Set([...alarms, ...lately, ...shelved].map(({ key }) => key));
  const risen = wanted.filter(({ key, kind }) => {
    const { onDelay } = ALARM_TABLE[kind];
    if (onDelay === 0 || known.has(key)) return true;
    const since = arising[key] ?? watch.now;
    if (watch.reached(plus(since, onDelay))) return true;
    next[key] = since;
    return false;
  });
  return { risen, arising: next };
}

/** An alarm whose cause stands: new, as it was, graver, come back, or forgotten. */
function raised(
  alarm: WantedAlarm,
  before: Alarm | undefined,
  ring: (alarm: WantedAlarm) => void,
  watch: Watch,
): Alarm {
  if (!before) {
    ring(alarm);
    isStale(alarm, { raisedAt: watch.now, rangAt: watch.now }, watch);
    return { ...alarm, raisedAt: watch.now, rangAt: watch.now, state: 'unacknowledged' };
  }
  const { returnedAt: _, goneSince: __, by: ___, owesFrom: ____, ...kept } = before;
  const owesFrom = ringOwed(alarm, before, watch);
  const isWoken = before.state === 'returned' || (owesFrom !== undefined && before.owesFrom === undefined);
  const state = (isWoken ? stepAlarm(before, { type: 'RAISE' }) : before)?.state ?? before.state;
  const next = { ...kept, ...alarm, state };
  if (owesFrom === undefined) return next;
  if (!watch.reached(owesFrom)) return { ...next, owesFrom };
  ring(alarm);
  isStale(alarm, { ...before, rangAt: watch.now }, watch);
  return { ...next, rangAt: watch.now };
}

function isStale(
  { priority }: WantedAlarm,
  { raisedAt, rangAt }: Pick<Alarm, 'raisedAt' | 'rangAt'>,
  watch: Watch,
): boolean {
  const wait = Math.max(STALE_S, secondsBetween(raisedAt, rangAt));
  return priority !== 'low' && watch.reached(plus(rangAt, wait));
}

/** From when on a standing alarm is to ring once more; nothing where it is not. */
function ringOwed(alarm: WantedAlarm, before: Alarm, watch: Watch): EpochMs | undefined {
  const apart = plus(before.rangAt, APART_S);
  if (RANK[alarm.priority] < RANK[before.priority]) return apart;
  if (before.owesFrom !== undefined) return before.owesFrom;
  if (before.state === 'returned') {
    const isSoon = watch.now < plus(before.returnedAt ?? watch.now, APART_S);
    return later(apart, isSoon ? plus(watch.now, APART_S) : watch.now);
  }
  return isStale(alarm, before, watch) ? watch.now : undefined;
}

/**
 * An alarm whose cause is gone: kept for its off-delay, then in sight while nobody has heard it. One that was set aside goes at
 * once. Nothing, once it is gone.
 */
function leaving(alarm: Alarm, isAside: boolean, effects: Effect[], watch: Watch): Alarm | undefined {
  if (isAside) {
    effects.push({ kind: 'hush', key: alarm.key });
    return undefined;
  }
  if (alarm.state === 'returned') {
    return watch.reached(plus(alarm.returnedAt ?? watch.now, RETURNED_STAYS_S)) ? undefined : alarm;
  }
  const since = alarm.goneSince ?? watch.now;
  if (!watch.reached(plus(since, ALARM_TABLE[alarm.kind].offDelay))) return { ...alarm, goneSince: since };
  effects.push({ kind: 'hush', key: alarm.key });
  const { goneSince: _, owesFrom: __, ...rest } = alarm;
  const after = stepAlarm(rest, { type: 'RETURN' });
  if (!after) return undefined;
  watch.reached(plus(watch.now, RETURNED_STAYS_S));
  return { ...after, returnedAt: watch.now };
}

/** Marks the first of alarms that were raised closely one after another. */
function firstOut(alarms: readonly Alarm[]): readonly Alarm[] {
  const standing = alarms.filter(({ state }) => state !== 'returned');
  return alarms.map((alarm) => {
    const { firstOut: _, ...plain } = alarm;
    if (alarm.state === 'returned') return plain;
    const followed = standing.some(
      (other) =>
        other.raisedAt > alarm.raisedAt && secondsBetween(alarm.raisedAt, other.raisedAt) <= TOGETHER_S,
    );
    const led = standing.some(
      (other) =>
        other.raisedAt < alarm.raisedAt && secondsBetween(other.raisedAt, alarm.raisedAt) <= TOGETHER_S,
    );
    return followed && !led ? { ...plain, firstOut: true } : plain;
  });
}

const isGone = ({ state }: Alarm): number => (state === 'returned' ? 1 : 0);
const inOrder = (a: Alarm, b: Alarm): number =>
  isGone(a) - isGone(b) || RANK[a.priority] - RANK[b.priority] || a.raisedAt - b.raisedAt;

/** When quiet is over, what still stands unheard rings once, but for calls that ring for nobody anyway. */
export function afterQuiet(
  { alarms, calls }: Pick<BenchState, 'alarms' | 'calls'>,
  isQuiet: (call: Call) => boolean,
  bell: Bell,
): Effect[] {
  const unheard = alarms.filter((alarm) => alarm.state === 'unacknowledged');
  const due = calls.filter((call) => !call.heard && call.raised > 0 && !isQuiet(call));
  return [
    ...unheard.map((alarm) => bell(alarm.key, alarm.priority, `${alarm.cause}: ${alarm.action}`)),
    ...due.map((call) => bell(call.key, call.priority, call.text)),
  ];
}
