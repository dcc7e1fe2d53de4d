import type { Workload } from '../plan/index.ts';
import { formatDuration, seconds, type EpochMs } from '../units/index.ts';
import type { PlanResult, Refusal } from './plan.ts';
import type { Timetable } from './timetable.ts';
import { whenFrom } from './words.ts';

/**
 * Why service can no longer be met: how late the best timetable could have begun, and the soonest service that can still be
 * met (`next`, reckoned from now).
 */
export function tooLate(
  workload: Workload,
  ever: Timetable,
  now: EpochMs,
  next: PlanResult,
  margins: 'keep' | 'drop',
): Refusal {
  const when = whenFrom(workload.kitchen.timeZone, now);
  const [step] = ever.steps;
  const [setting] = ever.settings;
  const oven = setting && (!step || setting.at < step.start) ? setting : undefined;
  const first = oven?.step ?? step?.step;
  const begin = oven?.at ?? step?.start ?? now;
  const what = oven ? `setting ${oven.oven} for ${oven.step}` : (first ?? 'work');
  const margin = Math.max(...workload.plans.map((plan) => plan.margin));
  const before = margin > 0 ? ` with ${formatDuration(seconds(margin))} in hand` : '';
  const service = `${[...new Set(ever.service.map(when))].join(' and ')}${margins === 'keep' ? before : ''}`;
  const soonest =
    'timetable' in next && next.timetable.service[0] !== undefined
      ? `; the soonest service that can be met is ${when(next.timetable.service[0])}`
      : '';
  const place = workload.components
    .flatMap((component) => component.steps)
    .find(({ id }) => id === first)?.place;
  return {
    message: `it is too late for service at ${service}: ${what} would have had to begin by ${when(begin)}, and it is ${when(now)}${soonest}`,
    steps: first === undefined ? [] : [first],
    places: place ? [place] : [],
  };
}
