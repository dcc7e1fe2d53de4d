import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { RunSetup } from '../../src/bench/index.ts';
import type { Workload } from '../../src/plan/index.ts';
import { planTimetable, type Timetable } from '../../src/planner/index.ts';
import { decidePromise } from '../../src/planner/promise-decision.ts';
import { chance } from '../../src/rehearsal/chance.ts';
import { epochMs } from '../../src/units/index.ts';
import { brokenIn, obey, type Fate } from '../support/obedient.ts';
import { moment } from '../support/workloads.ts';
import { demoWorkload } from '../demo-plans/demo-plans.ts';
import { workloads } from '../planner/support/arbitraries.ts';
import { ranged, ranges } from '../planner/support/ranged.ts';

const SERVICE = moment('2027-05-14 19:30');
const ANSWER = 20;

/** Nature and the cook at their worst: each length is one end of its range, or anything between, and each answer as late as may be, or at once. */
const worst = (seed: number): Fate => ({
  length({ id, length }) {
    if (length.kind === 'rest') return length.atLeast;
    const { low, high } = length.range;
    return Math.round(low + extreme(seed, id) * (high - low));
  },
  delay: (about) => Math.round(ANSWER * extreme(seed, about)),
});

function extreme(seed: number, about: string): number {
  const luck = chance(seed, 'worst', about);
  return luck < 0.4 ? 0 : luck > 0.6 ? 1 : (luck - 0.4) / 0.2;
}

/** A run that begins so early that its promise holds; nothing where no beginning is early enough. */
function promising(of: Workload, timetable: Timetable): RunSetup | undefined {
  const first = Math.min(
    ...timetable.steps.map(({ start }) => start),
    ...timetable.settings.filter(({ heat }) => heat.kind === 'at').map(({ at }) => at),
  );
  for (let earlier = 0; earlier <= 1800; earlier += 60) {
    const begunAt = epochMs(first - earlier * 1000);
    if (decidePromise(of, timetable, begunAt).kind === 'holds')
      return { run: 'promise', workload: of, timetable, begunAt, keeps: 'promise' };
  }
  return undefined;
}

test('a run whose promise holds breaks no window, whatever nature does within the ranges', () => {
  let played = 0;
  fc.assert(
    fc.property(
      workloads({ components: 3, stepsEach: 3, ovens: 1, longest: 12 }),
      ranges,
      fc.integer(),
      (plain, luck, seed) => {
        const of = ranged(plain, luck);
        const planned = planTimetable(of, {
          service: { kind: 'at', moments: [SERVICE] },
          effort: 200_000,
          reasons: 'spare',
        });
        const setup = 'timetable' in planned ? promising(of, planned.timetable) : undefined;
        if (!setup) return;
        for (let round = 0; round < 6; round += 1) {
          const end = obey(setup, worst(seed + round));
          played += 1;
          expect([end.servedAt === undefined ? 'stuck' : 'served', ...brokenIn(end, of, ANSWER)]).toEqual([
            'served',
          ]);
        }
      },
    ),
    { numRuns: 60, seed: 5, endOnFailure: true },
  );
  expect(played).toBeGreaterThan(100);
});

test('terrace tea, begun as early as its promise asks, is in time where the usual calls are late', () => {
  const of = demoWorkload('terrace-tea');
  const planned = planTimetable(of, { service: { kind: 'soonest' }, now: moment('2027-02-01 06:00') });
  const setup = 'timetable' in planned ? promising(of, planned.timetable) : undefined;
  if (!setup) throw new Error('no promise');
  const { keeps: _, ...usual } = setup;
  const breaches = (run: RunSetup): number =>
    Array.from({ length: 16 }, (_each, seed) => brokenIn(obey(run, worst(seed)), of, ANSWER)).filter(
      (found) => found.length > 0,
    ).length;
  expect(breaches(setup)).toBe(0);
  expect(breaches(usual)).toBeGreaterThan(0);
});
