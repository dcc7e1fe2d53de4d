import type { Alarm, BenchState, Call } from '../bench/index.ts';
import type { EpochMs } from '../units/index.ts';

/** What the one key answers now, and what stands biggest on the screen. */
export type Topmost =
  /** A high alarm nobody has heard yet: the key says "heard". */
  | { readonly kind: 'alarm'; readonly alarm: Alarm }
  /** A call that is due: the key says "done". */
  | { readonly kind: 'call'; readonly call: Call }
  /** Nothing is due; this may be answered already, by a cook who sees that it is so. */
  | { readonly kind: 'open'; readonly call: Call }
  | { readonly kind: 'nothing' };

/** The topmost thing. High alarms nobody has heard come first, then due calls in the bench's order, then open ones. */
export function topmost(state: BenchState, now: EpochMs): Topmost {
  const alarm = state.alarms.find((each) => each.priority === 'high' && each.state === 'unacknowledged');
  if (alarm) return { kind: 'alarm', alarm };
  const due = state.calls.find((call) => call.due <= now);
  if (due) return { kind: 'call', call: due };
  const open = state.calls[0];
  return open ? { kind: 'open', call: open } : { kind: 'nothing' };
}

/** The topmost call, whatever alarms stand above it: what is dated back. */
export const topmostCall = (state: BenchState, now: EpochMs): Call | undefined =>
  state.calls.find((call) => call.due <= now) ?? state.calls[0];

/** Everything that is sounding: due calls and alarms that nobody has heard. */
export function sounding(state: BenchState, now: EpochMs): readonly (Call | Alarm)[] {
  return [
    ...state.alarms.filter((alarm) => alarm.state === 'unacknowledged'),
    ...state.calls.filter((call) => call.due <= now && !call.heard),
  ];
}
