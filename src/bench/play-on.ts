import { secondsBetween, type EpochMs } from '../units/index.ts';
import { act } from './acts.ts';
import { callsAt } from './calls.ts';
import { clashesIn, isPressing } from './clashes.ts';
import { expectedCourse } from './course.ts';
import type { BenchEvent } from './events.ts';
import { deadlineOf, lockDoors, runClocks } from './settle.ts';
import type { BenchState, Clash } from './state.ts';
import { watchAt } from './watch.ts';

/** What comes of an event in a run that is only supposed. */
export interface Supposed {
  readonly state: BenchState;
  /** Clashes that were there at any of the moments that were lived through, as each was first seen. */
  readonly clashes: readonly Clash[];
}

/** A clash is there once it is expected within so long. */
const THERE_S = 60;

/** A run from which something is to be supposed: as it stands, without its past and without its voice. */
export function supposed(state: BenchState): BenchState {
  const { forecast: _, quietUntil: __, gap: ___, ...rest } = state;
  return { ...rest, history: [], undone: [], log: [], alarms: [], arising: {} };
}

/**
 * Applies an event to a run that is only supposed: the same acts, machines, ovens and calls as {@link apply}, and nothing
 * of what is for people (alarms, offers, what rings, the log and the way back), which is most of the work. Nothing where
 * the bench refuses it.
 */
export function suppose(state: BenchState, event: BenchEvent): Supposed | undefined {
  let now = state;
  const clashes: Clash[] = [];
  while (now.servedAt === undefined && now.deadline !== undefined && now.deadline <= event.time) {
    const moment = now.deadline;
    now = look(now, moment, clashes);
    if (now.deadline !== undefined && now.deadline <= moment)
      throw new Error(`time stands still at ${moment} in run ${now.setup.run}`);
  }
  const done = act(now, event);
  if (!done.ok) return undefined;
  const acted = { ...done.state, time: event.time };
  return { state: event.kind === 'clock' ? acted : look(acted, event.time, clashes), clashes };
}

/** Lets time act at one moment, and looks at what is called and what clashes. */
function look(before: BenchState, moment: EpochMs, clashes: Clash[]): BenchState {
  const { deadline: _, ...run } = before.servedAt === undefined ? runClocks(before, moment) : before;
  if (run.servedAt !== undefined) return { ...run, calls: [] };
  const watch = watchAt(moment);
  const state = { ...run, ovens: lockDoors(run, watch) };
  const course = expectedCourse(state, watch);
  const isNear = ({ at }: Pick<Clash, 'at'>): boolean => secondsBetween(moment, at) <= THERE_S;
  const near = course.steps.filter(({ start }) => isNear({ at: start }));
  for (const clash of [...clashesIn(state, near), ...course.late.filter(isNear)])
    if (isPressing(state, clash, course.endOf)) clashes.push(clash);
  const calls = callsAt(state, course, watch).map((call) => ({ ...call, raised: 0, heard: false }));
  const next = deadlineOf(state, watch);
  return { ...state, calls, ...(next === undefined ? {} : { deadline: next }) };
}
