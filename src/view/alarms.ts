import type { BenchState, Priority } from '../bench/index.ts';
import { countdown, secondsBetween, type EpochMs } from '../units/index.ts';
import { clean } from './text.ts';

/** An alarm as a screen shows it. */
export interface AlarmView {
  readonly key: string;
  readonly mark: string;
  readonly priority: Priority;
  readonly kind: string;
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  /** Time until the harm is done: `12:40 left`, `3:00 past`. */
  readonly left?: string;
  /** `not heard`, `heard`, `over, not heard`. */
  readonly state: string;
  readonly unheard: boolean;
}

const MARKS: Readonly<Record<Priority, string>> = { high: '▲', medium: '△', low: '·' };
const STATES = { unacknowledged: 'not heard', heard: 'heard', returned: 'over, not heard' } as const;

/** The standing alarms, the most urgent first. */
export function alarmViews(state: BenchState, now: EpochMs): AlarmView[] {
  return state.alarms.map((alarm) => {
    const left = alarm.by === undefined ? undefined : secondsBetween(now, alarm.by);
    return {
      key: alarm.key,
      mark: MARKS[alarm.priority],
      priority: alarm.priority,
      kind: clean(alarm.kind),
      cause: clean(alarm.cause),
      consequence: clean(alarm.consequence),
      action: clean(alarm.action),
      ...(left === undefined || alarm.state === 'returned'
        ? {}
        : { left: left >= 0 ? `${countdown(left)} left` : `${countdown(Math.abs(left))} past` }),
      state: STATES[alarm.state],
      unheard: alarm.state === 'unacknowledged',
    };
  });
}
