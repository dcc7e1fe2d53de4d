import type { Workload } from '../../../src/plan/index.ts';
import {
  planTimetable,
  type PlanRequest,
  type PlanResult,
  type Timetable,
} from '../../../src/planner/index.ts';
import { wallClock, type EpochMs } from '../../../src/units/index.ts';
import { moment } from '../../support/workloads.ts';

export const NOON = moment('2027-05-14 12:00');

/** Plans for service at noon, unless the request says otherwise. */
export function planned(workload: Workload, request: Partial<PlanRequest> = {}): PlanResult {
  return planTimetable(workload, {
    service: { kind: 'at', moments: workload.plans.map(() => NOON) },
    ...request,
  });
}

export function timetableOf(result: PlanResult): Timetable {
  if (!('timetable' in result)) throw new Error(`no timetable: ${JSON.stringify(result)}`);
  return result.timetable;
}

/** The timetable in short: `11:20-11:32 shells.bake`, and `11:05 oven 220 C` for a setting; in order of time. */
export function schedule(workload: Workload, request: Partial<PlanRequest> = {}): string[] {
  return inShort(timetableOf(planned(workload, request)));
}

function inShort(timetable: Timetable): string[] {
  const clock = (at: EpochMs): string => wallClock(at, 'UTC', at % 60_000 === 0 ? 'minute' : 'second');
  const lines = [
    ...timetable.settings.map(({ at, oven, heat }) => ({
      at,
      text: `${clock(at)} ${oven} ${heat.kind === 'off' ? 'off' : `${heat.temperature.figure} ${heat.temperature.scale}`}`,
    })),
    ...timetable.steps.map(({ start, end, step }) => ({
      at: start,
      text: `${clock(start)}-${clock(end)} ${step}`,
    })),
  ];
  return lines.toSorted((a, b) => a.at - b.at).map((line) => line.text);
}

/** Why there is no timetable. */
export function refusals(workload: Workload, request: Partial<PlanRequest> = {}): string[] {
  const result = planned(workload, request);
  if (result.status !== 'infeasible') throw new Error(`not refused: ${result.status}`);
  return result.reasons.map((reason) => reason.message);
}
