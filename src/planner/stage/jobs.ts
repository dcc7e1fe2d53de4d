import type { StepId } from '../../plan/index.ts';
import type { PlannedStep, Timetable } from '../timetable.ts';
import type { Derived } from './derive.ts';
import type { Job } from './rundown.ts';

/**
 * Who does what with both hands. Showings are the presenter's, and so is everything that the presenter is free for; what is
 * left is the helper's.
 */
export function jobsOf({ workload, showings, onAir }: Derived, { steps }: Timetable): Job[] {
  const busy = new Set(
    workload.components.flatMap((component) =>
      component.steps.filter(({ hands }) => hands === 'busy').map(({ id }) => id),
    ),
  );
  const shown = new Set<StepId>(showings);
  const air = steps.find(({ step }) => step === onAir);
  const jobs: Job[] = [];
  const taken: PlannedStep[] = steps.filter(({ step }) => shown.has(step) && busy.has(step));
  const others = steps.filter(({ step }) => !shown.has(step) && busy.has(step));
  const job = (who: Job['who'], { step, start, end }: PlannedStep): void => {
    jobs.push({ who, step, start, end, onView: shown.has(step) });
  };
  for (const each of taken) job('presenter', each);
  let helperUntil = -Infinity;
  for (const each of others) {
    const meets = taken.some(({ start, end }) => each.start < end && start < each.end);
    // Off view while on air is helper's work, but where there is none it is done in a break.
    const offView = air !== undefined && each.start < air.end && each.end > air.start;
    if ((meets || (offView && workload.kitchen.cooks > 1)) && each.start >= helperUntil) {
      helperUntil = each.end;
      job('helper', each);
    } else {
      taken.push(each);
      job('presenter', each);
    }
  }
  return jobs.toSorted((a, b) => a.start - b.start || a.end - b.end);
}
