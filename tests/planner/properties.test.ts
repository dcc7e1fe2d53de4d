import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Workload } from '../../src/plan/index.ts';
import { planTimetable, verify, type PlanResult, type Timetable } from '../../src/planner/index.ts';
import { celsius, seconds, type Seconds } from '../../src/units/index.ts';
import { moment } from '../support/workloads.ts';
import { workloads } from './support/arbitraries.ts';
import { bestByTrying } from './support/brute-force.ts';

const SERVICE = moment('2027-05-14 19:30');
/** How many minutes before service trying everything looks. */
const HORIZON = 8;

const plan = (workload: Workload): PlanResult =>
  planTimetable(workload, { service: { kind: 'at', moments: [SERVICE] }, effort: 4_000_000 });

/** When work begins, in minutes to service: the first start or oven setting. */
const begins = ({ steps, settings }: Timetable): number =>
  (Math.min(...steps.map((entry) => entry.start), ...settings.map((setting) => setting.at)) - SERVICE) /
  60_000;

interface Objective {
  readonly first: number;
  readonly sum: number;
}

const rounded = ({ first, sum }: Objective): Objective => ({
  first: Math.round(first * 10) / 10,
  sum: Math.round(sum * 10) / 10,
});

/** What was reached, or that nothing can be. */
function reached(result: PlanResult): Objective | 'impossible' {
  if (result.status === 'infeasible') return 'impossible';
  if (result.status !== 'optimal') throw new Error(`a case this small was not solved: ${result.status}`);
  const sum = result.timetable.steps.reduce((total, entry) => total + (entry.start - SERVICE) / 60_000, 0);
  return rounded({ first: begins(result.timetable), sum });
}

/** Cases in which the search had budget enough, and how late work begins in them. */
function beginsAtBest(workload: Workload): number | 'impossible' {
  const result = plan(workload);
  fc.pre(result.status === 'optimal' || result.status === 'infeasible');
  return 'timetable' in result ? begins(result.timetable) : 'impossible';
}

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
  test.each([1, 2])('on small cases with %i oven(s) it reaches what trying everything reaches', (ovens) => {
    const seen = { solved: 0, impossible: 0 };
    fc.assert(
      fc.property(workloads({ components: 3, stepsEach: 2, ovens, longest: 3 }), (workload) => {
        fc.pre(workload.components.flatMap((component) => component.steps).length <= 5 - ovens);
        const result = plan(workload);
        // What begins before the horizon cannot be found by trying.
        fc.pre(
          !('timetable' in result) ||
            result.timetable.steps.every((entry) => SERVICE - entry.start <= HORIZON * 60_000),
        );
        const tried = bestByTrying(workload, SERVICE, HORIZON);
        expect(reached(result)).toEqual(tried ? rounded(tried) : 'impossible');
        seen[tried ? 'solved' : 'impossible'] += 1;
      }),
      { numRuns: 60 },
    );
    expect(seen.solved).toBeGreaterThan(10);
    expect(seen.impossible).toBeGreaterThan(0);
  });

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

  test.each([
    ['a cook', (workload: Workload) => ({ ...workload.kitchen, cooks: workload.kitchen.cooks + 1 })],
    [
      'room for a near step',
      (workload: Workload) => ({ ...workload.kitchen, near: workload.kitchen.near + 1 }),
    ],
    [
      'a pot',
      (workload: Workload) => ({
        ...workload.kitchen,
        items: workload.kitchen.items.map((item) => ({ ...item, count: item.count + 1 })),
      }),
    ],
    [
      'an oven',
      (workload: Workload) => ({
        ...workload.kitchen,
        ovens: [
          ...workload.kitchen.ovens,
          ...workload.kitchen.ovens.map((oven) => ({ ...oven, name: 'another' })),
        ],
      }),
    ],
  ])('%s more never makes work begin earlier', (_what, richer) => {
    fc.assert(
      fc.property(workloads({ components: 4, stepsEach: 3, ovens: 1, longest: 9 }), (workload) => {
        const before = beginsAtBest(workload);
        fc.pre(before !== 'impossible');
        const after = beginsAtBest({ ...workload, kitchen: richer(workload) });
        expect(after).not.toBe('impossible');
        expect(after).toBeGreaterThanOrEqual(Number(before));
      }),
      { numRuns: 60 },
    );
  });
});
