import type { Workload } from '../plan/index.ts';
import { verify, type Progress, type Timetable, type Violation } from '../planner/index.ts';

/**
 * The first rule that a timetable made on the way breaks, in words; nothing where it is sound. What has happened is not
 * judged again, windows that were said to be broken are let pass, and a plan's own margin before service may be used up:
 * it is there for that.
 */
export function brokenRule(
  workload: Workload,
  timetable: Timetable,
  progress: Progress,
  broken: readonly Pick<Violation, 'steps'>[],
): string | undefined {
  const [violation] = verify(workload, timetable, { progress, broken, margins: 'drop' });
  return violation?.message;
}
