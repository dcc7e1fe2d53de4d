import type { StepId } from '../../plan/index.ts';
import type { Rundown } from '../../planner/index.ts';
import { earlier, plus, seconds, type EpochMs } from '../../units/index.ts';
import { courseOf, createPlayedRun, play, type Course, type PlayedRun } from '../fast/index.ts';
import { readingsAreSimple } from '../fast/probes-alone.ts';

/** The work before a demonstration, made ready to be rehearsed. */
export interface Before {
  readonly course: Course;
  readonly out: PlayedRun;
  /** The steps that are told to be over by then: their indexes in the course, and by when they must be, in ms since the work begins. */
  readonly steps: readonly { readonly index: number; readonly by: number }[];
  /** Whether a rehearsal takes a fraction of a millisecond, and not many. */
  readonly isFast: boolean;
}

/**
 * How the work before went once: how long after going on air the last of it was done (negative: before), and what that was. What
 * can still be finished on air is held against the moment at which it must be over for that.
 */
export interface BeforeAir {
  readonly late: number;
  readonly last: StepId;
}

/** Nothing where there is no work before. */
export function beforeOf(rundown: Rundown): Before | undefined {
  const { workload, timetable, begins, swaps } = rundown;
  const made = new Set(swaps.flatMap((swap) => swap.made));
  const own = new Set(
    workload.components.filter(({ id }) => made.has(id)).flatMap(({ steps }) => steps.map(({ id }) => id)),
  );
  const due = dueOf(rundown);
  const told = new Map(
    timetable.steps.flatMap(({ step, end }) =>
      own.has(step) && end <= begins ? [[step, due.get(step) ?? begins] as const] : [],
    ),
  );
  const moments = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  if (told.size === 0 || moments.length === 0) return undefined;
  const begunAt = moments.reduce((a, b) => (a < b ? a : b));
  const course = courseOf({ run: 'before', workload, timetable, begunAt });
  return {
    course,
    out: createPlayedRun(course),
    steps: course.steps.flatMap(({ id }, index) => {
      const by = told.get(id);
      return by === undefined ? [] : [{ index, by: by - begunAt }];
    }),
    isFast: readingsAreSimple(workload),
  };
}

/**
 * By when each step that makes a swap must be over, if those after it take their usual lengths: the swap is wanted on air. Without a
 * helper the hands are on air by then, so what takes both of them must be over before.
 */
function dueOf({ workload, timetable, begins, swaps, helper }: Rundown): Map<StepId, EpochMs> {
  const ends = new Map(timetable.steps.map(({ step, end }) => [step, end]));
  const due = new Map<StepId, EpochMs>();
  for (const { made, ready, at, for: use, state } of swaps) {
    const steps = workload.components.find(({ id }) => id === made[0])?.steps ?? [];
    const user = steps.findIndex(({ id }) => id === use);
    const last = steps.findLastIndex(
      ({ id }, place) => place !== user && (ends.get(id) ?? Infinity) <= ready,
    );
    let by = at;
    for (const [place, { id, length, after, hands }] of steps
      .slice(0, last + 1)
      .toReversed()
      .entries()) {
      due.set(id, helper || hands !== 'busy' ? by : earlier(by, begins));
      // What is fetched on its way is right as soon as it may be so far.
      const isFetched = state.kind === 'inside' && place === 0;
      const needs =
        length.kind === 'rest' ? length.atLeast : isFetched ? length.range.low : length.range.usual;
      by = plus(by, seconds(0 - Math.ceil(needs) - after));
    }
  }
  return due;
}

/** Plays the work before once, without new timetables. */
export function playBefore({ course, out, steps }: Before, seed: number): BeforeAir | undefined {
  play(course, seed, out);
  let worst: BeforeAir | undefined;
  for (const { index, by } of steps) {
    const end = out.ends[index] ?? NaN;
    // What never came to an end is as late as can be.
    const late = Number.isNaN(end) ? Infinity : Math.round((end - by) / 1000);
    const step = course.steps[index];
    if (step && (!worst || late > worst.late)) worst = { late, last: step.id };
  }
  return worst;
}
