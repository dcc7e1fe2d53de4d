import { describe, expect, test } from 'vitest';
import {
  laidTogether,
  step,
  workload,
  type ComponentSpec,
  type KitchenSpec,
  type PlanSpec,
} from '../support/workloads.ts';
import { planned } from './support/schedule.ts';

const kitchen: KitchenSpec = {
  items: { hob: 2, saucepan: 2, tray: 6, 'fridge shelf': 3 },
  ovens: [{ heats: 10, cools: 3, shelves: 3 }],
};

const filled: PlanSpec = {
  makes: 40,
  margin: '10 min',
  components: {
    cream: {
      keeps: '20 h',
      steps: [
        step('warm', { takes: '6 min', hands: 'near', uses: ['hob', 'saucepan'] }),
        step('thicken', { takes: '11 min', hands: 'busy', within: '2 min', uses: ['hob', 'saucepan'] }),
        step('chill', { rest: ['3 h', '20 h'], uses: ['fridge shelf'] }),
      ],
    },
    lids: [
      step('mix', { takes: '6 min', hands: 'busy', uses: ['mixer'] }),
      step('stamp', { each: '6 s', hands: 'busy' }),
      step('freeze', { rest: ['45 min', '7 d'] }),
    ],
    shells: {
      keeps: '6 h',
      steps: [
        step('boil', { takes: '4 min', hands: 'near', uses: ['hob', 'saucepan'] }),
        step('dry panade', { takes: '3 min', hands: 'busy', within: '1 min' }),
        step('beat', { takes: '4 min', hands: 'busy', within: '3 min', uses: ['mixer'] }),
        step('pipe', {
          each: '8 s',
          hands: 'busy',
          within: '15 min',
          uses: { tray: 2 },
          holds: [{ item: 'tray', count: 2, until: 'shells.dry' }],
        }),
        step('lid', { each: '4 s', hands: 'busy', needs: ['lids'] }),
        step('bake high', {
          takes: '12 min',
          within: '10 min',
          oven: { at: '220 C', shelves: 2 },
          uses: { tray: 2 },
        }),
        step('bake low', {
          takes: '15 min',
          within: '0 min',
          oven: { at: '180 C', shelves: 2 },
          uses: { tray: 2 },
        }),
        step('pierce', { each: '3 s', hands: 'busy', within: '1 min' }),
        step('dry', {
          takes: '30 min',
          within: '5 min',
          oven: { off: true, door: 'ajar', shelves: 2 },
          uses: { tray: 2 },
        }),
      ],
    },
    finish: {
      keeps: '4 h',
      steps: [
        step('whip', { takes: '5 min', hands: 'busy', uses: ['mixer'] }),
        step('fold', { takes: '3 min', hands: 'busy', within: '10 min', needs: ['cream'] }),
        step('fill', { each: '12 s', hands: 'busy', needs: ['shells'], within: '20 min' }),
      ],
    },
  },
};

describe('plans of the size that kitchens have', () => {
  test.each([
    [1, 'optimal', 100_000],
    [2, 'optimal', 3_000_000],
    [3, 'feasible', 5_000_000],
  ])('%i plan(s) of 18 steps on one oven and one cook', (count, status, most) => {
    const plans = Object.fromEntries(['a', 'b', 'c'].slice(0, count).map((name) => [name, filled]));
    const result = planned(laidTogether(kitchen, plans));
    expect(result.status).toBe(status);
    expect('work' in result ? result.work : Infinity).toBeLessThan(most);
  });

  const lengthOf = (index: number, place: number): string => `${((index * 7 + place * 3) % 11) + 1} min`;
  const fives = (steps: number, five: (index: number) => ComponentSpec): PlanSpec => ({
    components: Object.fromEntries(
      Array.from({ length: steps / 5 }, (_, index) => [`c${index}`, five(index)]),
    ),
  });
  /** Shapes of plans far beyond a kitchen: each is more than the search can settle. */
  const beyond: Readonly<Record<string, (steps: number) => PlanSpec>> = {
    'all of it by hand, one thing soon after the other': (steps) =>
      fives(steps, (index) => ({
        steps: [0, 1, 2, 3, 4].map((place) =>
          step(`s${place}`, {
            takes: lengthOf(index, place),
            hands: 'busy',
            ...(place > 0 && { within: '30 min' }),
          }),
        ),
      })),
    'every component in one oven, each at its own heat': (steps) =>
      fives(steps, (index) => ({
        steps: [0, 1, 2, 3, 4].map((place) =>
          step(`s${place}`, { takes: lengthOf(index, place), oven: { at: `${120 + index}.${place} C` } }),
        ),
      })),
    'tools that are held, and a cook who is near': (steps) =>
      fives(steps, (index) => ({
        steps: [0, 1, 2, 3, 4].map((place) =>
          step(`s${place}`, {
            takes: lengthOf(index, place),
            hands: 'near',
            uses: ['saucepan'],
            ...(place === 0 && { holds: [{ item: 'tray', until: `c${index}.s4` }] }),
          }),
        ),
      })),
  };

  test.each(Object.keys(beyond).flatMap((shape) => [100, 400, 2000].map((steps) => [shape, steps] as const)))(
    '%s, %i steps: the search looks at little more than it may',
    (shape, steps) => {
      const workload = laidTogether(kitchen, { crowd: beyond[shape]?.(steps) ?? { components: {} } });
      const result = planned(workload, { effort: 1_000_000 });
      expect(['feasible', 'unknown', 'optimal']).toContain(result.status);
      expect('work' in result ? result.work : Infinity).toBeLessThan(1_500_000);
    },
  );

  test('whatever the effort, a plan that can be met is never called impossible', () => {
    // Every choice is forced, so that the effort ends before anything was branched on.
    const forced = workload({
      components: Object.fromEntries(
        Array.from({ length: 8 }, (_, index) => [
          `c${index}`,
          [
            step('do', { takes: '10 min', hands: 'busy' }),
            step('set', { rest: [`${8 * index} min`, `${8 * index + 16} min`], within: '0 min' }),
            step('end', { takes: '1 min', hands: 'near', within: '0 min' }),
          ],
        ]),
      ),
      kitchen: { near: 8 },
    });
    expect(planned(forced).status).toBe('optimal');
    for (let effort = 1; effort < 5000; effort += 37)
      expect(planned(forced, { effort }).status).not.toBe('infeasible');
  });
});
