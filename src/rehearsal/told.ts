import type { BenchState } from '../bench/index.ts';

/**
 * Whether something happened between two states that a cook would notice: a line in the log, or a call, an alarm or an
 * offer that came or went. Readings and the passing of time alone are nothing.
 */
export function isTold(before: BenchState, after: BenchState): boolean {
  return before.log.length !== after.log.length || standing(before) !== standing(after);
}

/** Names what stands. A call that may be answered but is not due yet presses nobody. */
function standing({ calls, alarms, replanning, time, undone }: BenchState): string {
  return [
    ...calls.filter(({ due }) => due <= time).map(({ key }) => key),
    ...alarms.map(({ key, state }) => `${key} ${state}`),
    replanning.proposal?.id ?? '',
    undone.length,
  ].join('\n');
}
