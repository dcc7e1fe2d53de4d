import { progressOf } from './progress.ts';
import { promiseStanding, toldIn } from './promise.ts';
import type { BenchState, LogLine } from './state.ts';
import type { Watch } from './watch.ts';

/**
 * With whether what is told holds now whatever happens. Where it does not, it is reckoned anew from how far the run has come, each time
 * another step is over, a component is to be made again, or another timetable is told: what is known by then cannot go wrong any more.
 */
export function withPromise(before: BenchState, watch: Watch): BenchState {
  if (before.setup.keeps !== 'promise') return before;
  let state = before;
  let standing = promiseStanding(state, watch);
  const why = standing.kind === 'off' ? standing.why : undefined;
  if (standing.kind === 'off' && hasComeOn(state)) {
    const since = {
      progress: progressOf(state, watch.now),
      attempts: state.components.map(({ attempt }) => attempt),
    };
    state = { ...state, promise: { holds: false, since } };
    standing = promiseStanding(state, watch);
  }
  const [held, holds] = [before.promise?.holds ?? false, standing.kind === 'holds'];
  if (held === holds) return state;
  const text = holds
    ? `${state.promise?.since ? 'promised from here: what is left' : 'promised: it'} holds whatever happens within the ranges`
    : `no longer promised: ${why ?? 'the new timetable may break'}`;
  const line: LogLine = { at: watch.now, kind: 'note', text };
  return { ...state, promise: { ...state.promise, holds }, log: [...state.log, line] };
}

/** Whether there is more to go by than when it was last reckoned. */
function hasComeOn({ setup, timetable, components, promise }: BenchState): boolean {
  const since = promise?.since;
  const then = Object.values(since?.progress.steps ?? {}).filter(({ kind }) => kind === 'ended').length;
  const now = components
    .flatMap(({ steps }) => steps)
    .filter(({ state }) => state === 'ended' || state === 'skipped').length;
  return (
    now !== then ||
    toldIn(setup, since) !== timetable ||
    components.some(({ attempt }, index) => attempt !== (since?.attempts[index] ?? 1))
  );
}
