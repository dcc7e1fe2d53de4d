import type { Alarm, BenchState, OutOfService, Priority, Shelved } from '../bench/index.ts';
import { countdown, roughly, seconds, secondsBetween, type EpochMs } from '../units/index.ts';
import { lookupIn } from './lookup.ts';
import { isSoon } from './soon.ts';
import { clean, clockWords } from './text.ts';

/** An alarm as a screen shows it. */
export interface AlarmView {
  readonly key: string;
  readonly mark: string;
  readonly priority: Priority;
  readonly kind: string;
  /** The component it is about, as a screen calls it; empty where it is about none. */
  readonly who: string;
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  /** The harm is done within ten minutes, or is done already; or there is no saying when. Not of one whose cause is gone. */
  readonly soon: boolean;
  /** Time until the harm is done: `12:40 left`, `3:00 past`. */
  readonly left?: string;
  /** `not heard`, `heard`, `over, not heard`. */
  readonly state: string;
  readonly unheard: boolean;
  /** It came first of several that may be its consequences. */
  readonly firstOut: boolean;
}

/** An alarm that was set aside, or a kind of alarm that is out of service. */
export interface AsideView {
  readonly kind: string;
  /** What is wrong; nothing for a whole kind. */
  readonly cause?: string;
  /** `set aside till 18:40, 12 min more`, `out of service since 17:50`. */
  readonly state: string;
  readonly reason: string;
}

/** A row of the alarms page, in its order: what its number is about. */
export type AlarmRow =
  | { readonly kind: 'standing'; readonly alarm: Alarm }
  | { readonly kind: 'shelved'; readonly shelved: Shelved }
  | { readonly kind: 'out of service'; readonly out: OutOfService };

/** Standing alarms first, then what was set aside, then what is out of service. */
export const alarmRows = (state: BenchState): readonly AlarmRow[] => [
  ...state.alarms.map((alarm) => ({ kind: 'standing', alarm }) as const),
  ...state.shelved.map((shelved) => ({ kind: 'shelved', shelved }) as const),
  ...state.outOfService.map((out) => ({ kind: 'out of service', out }) as const),
];

/** What was set aside and what is out of service, in the order of the page. */
export function asideViews(state: BenchState, now: EpochMs): AsideView[] {
  const clock = (moment: EpochMs): string => clockWords(moment, now, state.setup.workload.kitchen.timeZone);
  return [
    ...state.shelved.map((shelved) => {
      const left = roughly(seconds(Math.max(1, secondsBetween(now, shelved.until))));
      return {
        kind: clean(shelved.kind),
        cause: clean(shelved.cause),
        state: `set aside till ${clock(shelved.until)}, ${left} more`,
        reason: clean(shelved.reason),
      };
    }),
    ...state.outOfService.map((out) => ({
      kind: clean(out.kind),
      state: `out of service since ${clock(out.since)}`,
      reason: clean(out.reason),
    })),
  ];
}

const MARKS: Readonly<Record<Priority, string>> = { high: '▲', medium: '△', low: '·' };
const STATES = { unacknowledged: 'not heard', heard: 'heard', returned: 'over, not heard' } as const;

/** The standing alarms, the most urgent first. */
export function alarmViews(state: BenchState, now: EpochMs): AlarmView[] {
  const { nameOf } = lookupIn(state.setup.workload);
  return state.alarms.map((alarm) => {
    const left = alarm.by === undefined ? undefined : secondsBetween(now, alarm.by);
    return {
      key: alarm.key,
      mark: MARKS[alarm.priority],
      priority: alarm.priority,
      kind: clean(alarm.kind),
      who: alarm.component === undefined ? '' : nameOf(alarm.component),
      soon: alarm.state !== 'returned' && (alarm.by === undefined || isSoon(alarm.by, now)),
      cause: clean(alarm.cause),
      consequence: clean(alarm.consequence),
      action: clean(alarm.action),
      ...(left === undefined || alarm.state === 'returned'
        ? {}
        : { left: left >= 0 ? `${countdown(left)} left` : `${countdown(Math.abs(left))} past` }),
      state: STATES[alarm.state],
      unheard: alarm.state === 'unacknowledged',
      firstOut: alarm.firstOut === true,
    };
  });
}
