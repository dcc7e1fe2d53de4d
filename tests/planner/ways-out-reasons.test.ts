import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Component, Place, Step, Workload } from '../../src/plan/index.ts';
import { planTimetable, type Refusal } from '../../src/planner/index.ts';
import { moment } from '../support/workloads.ts';
import { workloads } from './support/arbitraries.ts';

const NOON = moment('2027-05-14 12:00');

const statusOf = (plan: Workload): string =>
  planTimetable(plan, { service: { kind: 'at', moments: plan.plans.map(() => NOON) } }).status;

/** The plan with nothing but its lengths and its order on the lines for which `keeps` says no. */
function withoutDemands(plan: Workload, keeps: (place: Place) => boolean): Workload {
  return {
    ...plan,
    components: plan.components.map((component): Component => {
      const { keeps: limit, ...rest } = component;
      return {
        ...rest,
        ...(limit !== undefined && keeps(component.place) && { keeps: limit }),
        steps: component.steps.map((step) => (keeps(step.place) ? step : bare(step))),
      };
    }),
  };
}

function bare({ within: _within, oven: _oven, ...step }: Step): Step {
  const { length } = step;
  return {
    ...step,
    hands: 'free',
    uses: [],
    holds: [],
    length: length.kind === 'rest' ? { kind: 'rest', atLeast: length.atLeast } : length,
  };
}

/** Demands on the kitchen that clash, as against times that go round in a circle, of which lines say less. */
const isClash = ({ message }: Refusal): boolean =>
  !message.includes(', but ') && !message.includes('cannot all hold');

test('a clash stands on its lines alone, and every line is needed', () => {
  const seen = { clashes: 0, lines: 0 };
  fc.assert(
    fc.property(workloads({ components: 4, stepsEach: 3, ovens: 1, longest: 12 }), (plan) => {
      const result = planTimetable(plan, { service: { kind: 'at', moments: plan.plans.map(() => NOON) } });
      fc.pre(result.status === 'infeasible');
      if (result.status !== 'infeasible') return;
      for (const reason of result.reasons.filter(isClash)) {
        const named = (place: Place): boolean => reason.places.some(({ line }) => line === place.line);
        expect([reason.message, statusOf(withoutDemands(plan, named))]).toEqual([
          reason.message,
          'infeasible',
        ]);
        for (const { line } of reason.places) {
          const others = withoutDemands(plan, (place) => named(place) && place.line !== line);
          expect([reason.message, line, statusOf(others)]).toEqual([reason.message, line, 'optimal']);
          seen.lines += 1;
        }
        seen.clashes += 1;
      }
    }),
    { numRuns: 80, seed: 20270514 },
  );
  expect(seen.clashes).toBeGreaterThan(15);
  expect(seen.lines).toBeGreaterThan(40);
});
