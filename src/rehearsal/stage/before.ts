import type { StepId } from '../../plan/index.ts';
import type { Rundown } from '../../planner/index.ts';
import { courseOf, createPlayedRun, play, type Course, type PlayedRun } from '../fast/index.ts';
import { readingsAreSimple } from '../fast/probes-alone.ts';

/** The work before a demonstration, made ready to be rehearsed. */
export interface Before {
  readonly course: Course;
  readonly out: PlayedRun;
  /** Going on air, in ms since the work begins. */
  readonly onAir: number;
  /** Of the steps that are told to be over by then: their indexes in the course. */
  readonly steps: readonly number[];
  /** Whether a rehearsal takes a fraction of a millisecond, and not many. */
  readonly isFast: boolean;
}

/** How the work before went once: how long after going on air the last of it was done (negative: before), and what that was. */
export interface BeforeAir {
  readonly late: number;
  readonly last: StepId;
}

/** Nothing where there is no work before. */
export function beforeOf({ workload, timetable, begins, swaps }: Rundown): Before | undefined {
  const made = new Set(swaps.flatMap((swap) => swap.made));
  const own = new Set(
    workload.components.filter(({ id }) => made.has(id)).flatMap(({ steps }) => steps.map(({ id }) => id)),
  );
  const told = new Set(
    timetable.steps.filter(({ step, end }) => own.has(step) && end <= begins).map(({ step }) => step),
  );
  const moments = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  if (told.size === 0 || moments.length === 0) return undefined;
  const begunAt = moments.reduce((a, b) => (a < b ? a : b));
  const course = courseOf({ run: 'before', workload, timetable, begunAt });
  return {
    course,
    out: createPlayedRun(course),
    onAir: begins - begunAt,
    steps: course.steps.flatMap(({ id }, index) => (told.has(id) ? [index] : [])),
    isFast: readingsAreSimple(workload),
  };
}

/** Plays the work before once, without new timetables. */
export function playBefore({ course, out, onAir, steps }: Before, seed: number): BeforeAir | undefined {
  play(course, seed, out);
  let last: number | undefined;
  const end = (index: number): number => {
    const moment = out.ends[index] ?? NaN;
    return Number.isNaN(moment) ? Infinity : moment;
  };
  for (const index of steps) if (last === undefined || end(index) > end(last)) last = index;
  const step = last === undefined ? undefined : course.steps[last];
  if (last === undefined || !step) return undefined;
  return { late: Math.round((end(last) - onAir) / 1000), last: step.id };
}
