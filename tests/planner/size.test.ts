import { describe, expect, test } from 'vitest';
import { laidTogether, step, type KitchenSpec, type PlanSpec } from '../support/workloads.ts';
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
    [1, 'optimal', 1000],
    [2, 'optimal', 5000],
    [3, 'optimal', 40_000],
  ])('%i plan(s) of 18 steps on one oven and one cook', (count, status, most) => {
    const plans = Object.fromEntries(['a', 'b', 'c'].slice(0, count).map((name) => [name, filled]));
    const result = planned(laidTogether(kitchen, plans));
    expect(result.status).toBe(status);
    expect('nodes' in result ? result.nodes : Infinity).toBeLessThan(most);
  });

  test('a plan far beyond a kitchen ends within its budget, with a schedule or without', () => {
    const crowd = Object.fromEntries(
      Array.from({ length: 60 }, (_, index) => [
        `c${index}`,
        Array.from({ length: 5 }, (_each, place) =>
          step(`s${place}`, { takes: `${((index * 7 + place * 3) % 11) + 1} min`, hands: 'busy' }),
        ),
      ]),
    );
    const result = planned(laidTogether(kitchen, { crowd: { components: crowd } }), { nodeBudget: 2000 });
    expect(['feasible', 'unknown']).toContain(result.status);
    expect('nodes' in result ? result.nodes : Infinity).toBeLessThan(2 * 2000 + 200);
  });
});
