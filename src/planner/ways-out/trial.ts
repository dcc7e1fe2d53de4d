import type { Workload } from '../../plan/index.ts';
import { planTimetable, type PlanRequest, type PlanResult, type Refusal } from '../plan.ts';
import type { Timetable } from '../timetable.ts';
import { verify } from '../verify.ts';
import { eased, type Asked, type Easing } from './easing.ts';

/** How much may be tried. Both are counts, so that the same plan gives the same answer on every machine. */
export interface TrialLimits {
  /** How many times a timetable may be asked for. */
  readonly solves: number;
  /** The planner's effort for each (see `PlanRequest.effort`). */
  readonly effort: number;
}

/** Setting up a large problem costs as much as looking for an answer, so that there are fewer tries the more steps there are. */
export function triesFor({ components }: Workload, most: number): number {
  const steps = components.reduce((sum, component) => sum + component.steps.length, 0);
  return Math.max(16, Math.min(most, Math.floor(4000 / Math.max(1, steps))));
}

/** Asks the planner, as often as it may. */
export interface Trial {
  /** Why there is none; nothing where there is one, or none was found. */
  readonly reasons: (asked: Asked) => readonly Refusal[];
  /** A timetable of what is asked with the changes made, checked once more; nothing where there is none, or none was found. */
  readonly with: (asked: Asked, ...easings: readonly Easing[]) => Timetable | undefined;
  /** The same, and the best there is to the last level of the ladder. */
  readonly bestWith: (asked: Asked, ...easings: readonly Easing[]) => Timetable | undefined;
  readonly left: () => number;
}

export function trial({ solves, effort }: TrialLimits): Trial {
  let left = solves;
  const plan = ({ workload, request }: Asked, more: Pick<PlanRequest, 'reasons' | 'upTo'>): PlanResult => {
    if (left <= 0) return { status: 'unknown', work: 0 };
    left -= 1;
    return planTimetable(workload, { ...request, effort, ...more });
  };
  const made = (
    asked: Asked,
    easings: readonly Easing[],
    more: Pick<PlanRequest, 'upTo'>,
  ): Timetable | undefined => {
    const changed = easings.reduce(eased, asked);
    const result = plan(changed, { reasons: 'spare', ...more });
    return 'timetable' in result && holds(changed, result.timetable) ? result.timetable : undefined;
  };
  return {
    reasons(asked) {
      const result = plan(asked, { reasons: 'tell', upTo: 'late' });
      return result.status === 'infeasible' ? result.reasons : [];
    },
    // Most are tried for whether they work and when work begins then: what comes after that on the ladder is spared.
    with: (asked, ...easings) => made(asked, easings, { upTo: 'late' }),
    bestWith: (asked, ...easings) => made(asked, easings, {}),
    left: () => left,
  };
}

/** Whether a timetable passes the verifier for what is asked. */
export function holds({ workload, request }: Asked, timetable: Timetable): boolean {
  const { now, margins } = request;
  return (
    verify(workload, timetable, { ...(now !== undefined && { now }), ...(margins && { margins }) }).length ===
    0
  );
}
