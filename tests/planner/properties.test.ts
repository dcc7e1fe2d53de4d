import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { planTimetable } from '../../src/planner/index.ts';
import { moment } from '../support/workloads.ts';
import { workloads } from './support/arbitraries.ts';
import { bestByTrying } from './support/brute-force.ts';

const SERVICE = moment('2027-05-14 19:30');

describe('laws of the planner', () => {
  test('on small cases it finds what trying everything finds: whether it can be done, and how late', () => {
    const HORIZON = 9;
    let [solved, refused] = [0, 0];
    fc.assert(
      fc.property(workloads({ components: 3, stepsEach: 2, ovens: 1, longest: 3 }), (workload) => {
        fc.pre(workload.components.flatMap((component) => component.steps).length <= 4);
        const result = planTimetable(workload, { service: { kind: 'at', moments: [SERVICE] } });
        const tried = bestByTrying(workload, SERVICE, HORIZON);
        if (result.status === 'infeasible') {
          expect(tried).toBeUndefined();
          refused += 1;
          return;
        }
        expect(result.status).toBe('optimal');
        if (!('timetable' in result)) return;
        const earliest = Math.min(...result.timetable.steps.map((entry) => entry.start));
        // What lies beyond the horizon cannot be found by trying.
        if (SERVICE - earliest > HORIZON * 60_000) return;
        const first = Math.min(earliest, ...result.timetable.settings.map((setting) => setting.at));
        const sum = result.timetable.steps.reduce(
          (total, entry) => total + (entry.start - SERVICE) / 60_000,
          0,
        );
        expect({ first: (first - SERVICE) / 60_000, sum }).toEqual({
          first: expect.closeTo(tried?.first ?? NaN, 1) as number,
          sum: tried?.sum,
        });
        solved += 1;
      }),
      { numRuns: 150 },
    );
    expect(solved).toBeGreaterThan(40);
    expect(refused).toBeGreaterThan(5);
  });
});
