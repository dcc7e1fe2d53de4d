import type { BenchState } from '../../bench/index.ts';
import { natureOf } from '../nature.ts';
import { rehearseToEnd, type RehearsalEnd, type ToEndOptions } from '../to-end.ts';
import type { Course, PlayedRun } from './course.ts';
import { judge } from './windows.ts';

/** Events after which a rehearsal is taken to come to no end: some ten times what the longest day has. */
const MOST_EVENTS = 6000;

/**
 * Plays one rehearsal with the real bench, and writes its outcome where {@link play} does. With `replan` the cook takes new
 * timetables that keep service; without it none are offered, and `leaves` says whether one would have been wanted.
 */
export function playReal(
  course: Course,
  seed: number,
  out: PlayedRun,
  { replan }: Pick<ToEndOptions, 'replan'> = {},
): RehearsalEnd {
  const { played, life } = course;
  const { begunAt } = played;
  let leftAt = NaN;
  const end = rehearseToEnd(played, seed, {
    ...(life && { life }),
    probes: 'once',
    limit: MOST_EVENTS,
    replan: (workload, request) => {
      if (Number.isNaN(leftAt)) leftAt = request.progress.now - begunAt;
      return replan ? replan(workload, request) : { kind: 'as told' };
    },
  });
  out.seed = seed;
  out.leftAt = leftAt;
  out.leaves = Number.isNaN(leftAt) ? 'played' : 'needs bench';
  write(course, end.state, seed, out);
  out.late = end.ended === 'served' ? end.late : Infinity;
  judge(course.windows, out);
  return end;
}

function write({ setup, life, steps }: Course, state: BenchState, seed: number, out: PlayedRun): void {
  const nature = natureOf(seed, life);
  const runs = state.components.flatMap((component) =>
    component.steps.map((run) => ({ run, attempt: component.attempt })),
  );
  const since = (moment: number | undefined): number => (moment ?? NaN) - setup.begunAt;
  for (const [index, { run, attempt }] of runs.entries()) {
    const step = steps[index];
    out.starts[index] = since('startedAt' in run ? run.startedAt : undefined);
    out.ends[index] = since('endedAt' in run ? run.endedAt : undefined);
    out.drawn[index] = step ? nature.duration(step, attempt) : NaN;
  }
  for (const index of out.servedAt.keys()) out.servedAt[index] = since(state.servings[index]);
}
