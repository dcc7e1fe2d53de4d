import { epochMs, plus, type EpochMs } from '../units/index.ts';
import type { WantedCall } from './calls.ts';
import type { Effect, Priority } from './events.ts';
import type { Call } from './state.ts';
import type { Watch } from './watch.ts';

/** A call that is not done is raised again so many minutes after it was due, and every hour after the last. */
const RAISE_AGAIN_MINUTES = [0, 2, 5, 10, 20, 40, 60];
/** Makes a ring, and counts it. */
export type Bell = (key: string, priority: Priority, text: string) => Effect;

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
