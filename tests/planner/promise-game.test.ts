import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Workload } from '../../src/plan/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { promiseNetwork } from '../../src/planner/promise-network.ts';
import { decide } from '../../src/planner/stnu/index.ts';
import { epochMs, plus } from '../../src/units/index.ts';
import { moment, step, workload, type ComponentSpec, type StepSpec } from '../support/workloads.ts';
import { canBeKept } from './support/kitchen-game.ts';

const SERVICE = moment('2027-05-14 19:30');

const minutes = (count: number): string => `${count} min`;
const maybe = <T>(value: fc.Arbitrary<T>): fc.Arbitrary<T | undefined> =>
  fc.option(value, { nil: undefined });

/** A step that takes one to four minutes, by the clock or within a range, or a rest. */
const spec = fc
  .record({
    low: fc.integer({ min: 1, max: 2 }),
    usual: fc.integer({ min: 0, max: 1 }),
    more: fc.integer({ min: 0, max: 2 }),
    rest: maybe(
      fc.record({ least: fc.integer({ min: 0, max: 1 }), more: maybe(fc.integer({ min: 0, max: 2 })) }),
    ),
    within: maybe(fc.integer({ min: 0, max: 2 })),
    after: fc.constantFrom(0, 0, 1),
    hands: fc.constantFrom('busy' as const, 'busy' as const, 'free' as const),
  })
  .map(({ low, usual, more, rest, within, after, hands }): StepSpec => ({
    ...(rest
      ? {
          rest:
            rest.more === undefined
              ? [minutes(rest.least)]
              : [minutes(rest.least), minutes(rest.least + rest.more)],
        }
      : {
          takes: [minutes(low), minutes(low + usual + more)] as const,
          usually: minutes(low + usual),
          hands,
        }),
    ...(within !== undefined && { within: minutes(Math.max(within, after)) }),
    ...(after > 0 && { after: minutes(after) }),
  }));

/** Two or three components of one or two steps; a later one may need the first. */
const plans: fc.Arbitrary<Workload> = fc
  .array(
    fc.record({
      steps: fc.array(spec, { minLength: 1, maxLength: 2 }),
      keeps: maybe(fc.integer({ min: 1, max: 2 })),
      needsFirst: fc.boolean(),
    }),
    { minLength: 1, maxLength: 3 },
  )
  .map((drawn) =>
    workload({
      components: Object.fromEntries(
        drawn.map(({ steps, keeps, needsFirst }, index): [string, ComponentSpec] => [
          'abc'[index] ?? 'z',
          {
            ...(keeps !== undefined && { keeps: minutes(keeps) }),
            steps: steps.map(({ within, after, ...bare }, place) =>
              step(`s${place}`, {
                ...bare,
                ...(place > 0 && within !== undefined && { within }),
                // A rest is over when what follows it begins, so nothing need pass between the two.
                ...(place > 0 && after !== undefined && !steps[place - 1]?.rest && { after }),
                ...(place === 0 && index > 0 && needsFirst && { needs: ['a'] }),
              }),
            ),
          },
        ]),
      ),
    }),
  );

test('a promise holds exactly where a cook who tries everything can win against nature', () => {
  const seen = { keptByBoth: 0, brokenByBoth: 0 };
  fc.assert(
    fc.property(plans, fc.integer({ min: 0, max: 1 }), (of, earlier) => {
      const planned = planTimetable(of, {
        service: { kind: 'at', moments: [SERVICE] },
        effort: 50_000,
        reasons: 'spare',
      });
      if (!('timetable' in planned)) return;
      const { timetable } = planned;
      const first = Math.min(...timetable.steps.map(({ start }) => start));
      const begin = plus(epochMs(first), -60 * earlier);
      const isPromised = decide(promiseNetwork(of, timetable, 0, begin).network).kind === 'controllable';
      expect(isPromised).toBe(canBeKept({ workload: of, timetable, begin }));
      seen[isPromised ? 'keptByBoth' : 'brokenByBoth'] += 1;
    }),
    {
      numRuns: Number(process.env['RUNS'] ?? 300),
      seed: Number(process.env['SEED'] ?? 3),
      endOnFailure: true,
    },
  );
  expect(Math.min(seen.keptByBoth, seen.brokenByBoth)).toBeGreaterThan(20);
});
