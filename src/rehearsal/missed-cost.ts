import { answer, apply, nextDeadline, type BenchEvent, type BenchState, type Call } from '../bench/index.ts';
import { epochMs, later, seconds, secondsBetween, type EpochMs, type Seconds } from '../units/index.ts';
import type { Rehearsal } from './rehearsal.ts';

/** A case that has come to no end by then has none. */
const MOST_EVENTS = 4000;

/**
 * What it cost to answer a call late: the run is played on twice by a prompt cook with the same luck, once from when the call was
 * due, answered then, and once from how things stood after it was answered (or stand now). The cost is by how much later everything
 * is ready. What else went slowly in between is in it. Nothing where a case comes to no end.
 */
export function costOf(
  then: BenchState,
  call: Call,
  due: EpochMs,
  after: BenchState,
  prompt: Rehearsal,
): Seconds | undefined {
  const stamp = { id: 'answered when due', time: later(due, then.time), source: 'rehearsal' } as const;
  const inTime = apply(then, { ...stamp, ...answer(call, due) });
  const [good, bad] = [inTime.ok ? readyAt(inTime.state, prompt) : undefined, readyAt(after, prompt)];
  return good === undefined || bad === undefined
    ? undefined
    : seconds(Math.max(0, secondsBetween(good, bad)));
}

/** When everything is ready if a prompt cook goes on from here. */
function readyAt(from: BenchState, prompt: Rehearsal): EpochMs | undefined {
  let state = from;
  for (let count = 1; count < MOST_EVENTS; count += 1) {
    const ready = allReady(state);
    if (ready !== undefined) return ready;
    const act = prompt.nextAct(state, state.time);
    const deadline = nextDeadline(state);
    const id = `cost ${count}`;
    const isClock = deadline !== undefined && (!act || deadline <= act.at);
    if (!isClock && !act) return undefined;
    const event: BenchEvent =
      isClock || !act
        ? { id, source: 'clock', time: later(deadline ?? state.time, state.time), kind: 'clock' }
        : { id, source: act.source, time: act.at, ...act.happening };
    const outcome = apply(state, event);
    if (!outcome.ok) return undefined;
    state = outcome.state;
  }
  return undefined;
}

function allReady({ components }: BenchState): EpochMs | undefined {
  const finished = components.flatMap(({ finishedAt }) => (finishedAt === undefined ? [] : [finishedAt]));
  return finished.length === components.length ? epochMs(Math.max(...finished)) : undefined;
}
