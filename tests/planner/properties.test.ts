import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Workload } from '../../src/plan/index.ts';
import { planTimetable, verify, type PlanResult } from '../../src/planner/index.ts';
import { celsius, seconds, type Seconds } from '../../src/units/index.ts';
import { moment } from '../support/workloads.ts';
import { workloads } from './support/arbitraries.ts';

const SERVICE = moment('2027-05-14 19:30');
const plan = (workload: Workload): PlanResult =>
  planTimetable(workload, { service: { kind: 'at', moments: [SERVICE] }, effort: 4_000_000 });

/** The workload with lengths and rates that come out at fractions of a second. */
function crooked(workload: Workload): Workload {
  const bend = (length: Seconds): Seconds => seconds(length * 1.01371);
  return {
    ...workload,
    kitchen: {
      ...workload.kitchen,
      ambient: celsius(21.7),
      ovens: workload.kitchen.ovens.map((oven) => ({
        ...oven,
        heats: 7.3,
        cools: 3.1,
        soak: seconds(oven.soak * 1.59),
      })),
    },
    components: workload.components.map((component) => ({
      ...component,
      ...(component.keeps !== undefined && { keeps: bend(component.keeps) }),
      steps: component.steps.map((step) => ({
        ...step,
        after: bend(step.after),
        ...(step.within !== undefined && { within: bend(step.within) }),
        length:
          step.length.kind === 'rest'
            ? {
                ...step.length,
                atLeast: bend(step.length.atLeast),
                ...(step.length.atMost !== undefined && { atMost: bend(step.length.atMost) }),
              }
            : {
                ...step.length,
                range: {
                  low: bend(step.length.range.low),
                  usual: bend(step.length.range.usual),
                  high: bend(step.length.range.high),
                },
              },
      })),
    })),
  };
}

describe('laws of the planner', () => {
  test('every timetable passes the verifier, and every refusal names steps', () => {
    const seen = { timetables: 0, refusals: 0 };
    fc.assert(
      fc.property(
        workloads({ components: 4, stepsEach: 3, ovens: 2, longest: 12 }),
        fc.boolean(),
        (workload, odd) => {
          const result = plan(odd ? crooked(workload) : workload);
          const wrong =
            'timetable' in result ? verify(odd ? crooked(workload) : workload, result.timetable) : [];
          expect(wrong).toEqual([]);
          const mute =
            result.status === 'infeasible'
              ? result.reasons.filter((reason) => reason.steps.length === 0)
              : [];
          expect(mute).toEqual([]);
          seen[result.status === 'infeasible' ? 'refusals' : 'timetables'] += 1;
        },
      ),
      { numRuns: 400 },
    );
    expect(seen.timetables).toBeGreaterThan(100);
    expect(seen.refusals).toBeGreaterThan(20);
  });

  test('the soonest service begins at now or after, and a minute sooner is refused', () => {
    const now = moment('2027-05-14 08:00:17');
    fc.assert(
      fc.property(workloads({ components: 3, stepsEach: 3, ovens: 1, longest: 9 }), (workload) => {
        const soonest = planTimetable(workload, { service: { kind: 'soonest' }, now });
        fc.pre(soonest.status === 'optimal');
        const [service = SERVICE] = 'timetable' in soonest ? soonest.timetable.service : [];
        expect(service % 60_000).toBe(0);
        expect(
          verify(
            workload,
            'timetable' in soonest ? soonest.timetable : { service: [], steps: [], settings: [] },
            { now },
          ),
        ).toEqual([]);
        const sooner = moment(new Date(service - 60_000).toISOString().slice(0, 19));
        expect(planTimetable(workload, { service: { kind: 'at', moments: [sooner] }, now }).status).toBe(
          'infeasible',
        );
      }),
      { numRuns: 100 },
    );
  });
});
