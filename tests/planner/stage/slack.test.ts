import { describe, expect, test } from 'vitest';
import type { Rundown, Swap } from '../../../src/planner/index.ts';
import { step, type NamedStep } from '../../support/workloads.ts';
import { solvedRundown, staged, type DemonstrationSpec } from './support.ts';

/** One component, of which the last step is shown four minutes into the air, in a plan with a margin of ten minutes. */
const shown = (steps: readonly NamedStep[], more: Partial<DemonstrationSpec> = {}) =>
  staged({
    margin: '10 min',
    kitchen: { ovens: [{}, {}] },
    components: { tart: steps },
    demonstration: {
      lasts: '6 min',
      shows: [{ talk: '4 min' }, { show: `tart.${steps.at(-1)?.name ?? ''}` }, { talk: '60 s' }],
      ...more,
    },
  });

const show = step('show', { takes: '60 s', hands: 'busy' });
const showWithin = (within: string) => step('show', { takes: '60 s', hands: 'busy', within });

/** In seconds from going on air: when the one swap is ready, from when to when it is right, and how much time it has in hand. */
function only({ swaps, begins }: Rundown): { ready: number; from: number; by?: number; slack?: number } {
  const [swap] = swaps;
  if (!swap || swaps.length > 1) throw new Error('not one swap');
  const at = (moment: Swap['ready']): number => (moment - begins) / 1000;
  return {
    ready: at(swap.ready),
    from: at(swap.usableFrom),
    ...(swap.useBy !== undefined && { by: at(swap.useBy) }),
    ...(swap.slack !== undefined && { slack: swap.slack }),
  };
}

const cook = step('cook', { takes: ['4 min', '9 min'], usually: '5 min', hands: 'busy' });

describe('work off view has time in hand', () => {
  test('what may wait is ready the margin before places, also if it takes its longest', () => {
    // A minute for places, ten of margin, half a minute to hand it over, and four that it may take longer.
    expect(only(solvedRundown(shown([cook, show])))).toEqual({ ready: -930, from: -930, slack: 930 });
  });

  test('so is what rests, and what may rest longer rests longer', () => {
    const chill = step('chill', { rest: ['30 min', '20 h'], within: '10 min' });
    expect(only(solvedRundown(shown([cook, chill, show])))).toEqual({
      ready: 240,
      from: -690,
      slack: 930,
    });
  });

  test('what may wait only a short time is made on air, ready half a minute early at its longest', () => {
    const spec = { helper: true };
    // Four minutes longer and half a minute: 270 s, and then it may still be a minute early.
    expect(only(solvedRundown(shown([cook, showWithin('6 min')], spec)))).toEqual({
      ready: -30,
      from: -30,
      by: 330,
      slack: 30,
    });
  });

  test('a window that is too short for that gives half of itself', () => {
    expect(only(solvedRundown(shown([cook, showWithin('2 min')], { helper: true })))).toEqual({
      ready: 180,
      from: 180,
      by: 300,
      slack: -180,
    });
  });

  test('what may not wait hands its slack on to what follows', () => {
    const bake = step('bake', { takes: ['10 min', '13 min'], usually: '11 min', within: '0 min' });
    const pierce = step('pierce', { takes: '1 min', hands: 'busy', within: '0 min' });
    const heat = step('heat', { takes: ['3 min', '4 min'], usually: '3 min' });
    const rundown = solvedRundown(shown([heat, bake, pierce, show]));
    const [start, end] = ['heat', 'pierce'].map((name) =>
      rundown.timetable.steps.find(({ step: id }) => id === `tart A.${name}`),
    );
    // As usual without a wait in between: 3 + 11 + 1 min.
    expect((Number(end?.end) - Number(start?.start)) / 1000).toBe(15 * 60);
    expect(only(rundown).slack).toBe(930);
  });

  test('a copy that is fetched out of a step is right for as long as nature may take', () => {
    const bake = step('bake', {
      takes: ['10 min', '14 min'],
      usually: '11 min',
      oven: { at: '200 C', door: 'usable' },
    });
    const shows = [{ talk: '4 min' }, { show: 'tart.bake', last: '30 s' }, { talk: '60 s' }];
    expect(only(solvedRundown(shown([bake], { lasts: '330 s', shows })))).toEqual({
      ready: 240,
      from: 180,
      by: 420,
      slack: 60,
    });
  });

  test('what is too tight for it takes none from the rest', () => {
    const demo = staged({
      margin: '10 min',
      components: {
        tart: [cook, show],
        // It is over while both hands are on air, and nobody helps.
        foam: [
          step('whip', { takes: ['1 min', '3 min'], usually: '1 min', hands: 'near' }),
          step('set', { takes: '1 min', hands: 'busy', within: '0 min' }),
          step('pour', { takes: '60 s', hands: 'busy', within: '90 s' }),
        ],
      },
      demonstration: {
        lasts: '5 min',
        shows: [
          { talk: '60 s' },
          { break: '60 s' },
          { show: 'foam.pour' },
          { show: 'tart.show' },
          { talk: '60 s' },
        ],
      },
    });
    const { swaps, begins } = solvedRundown(demo);
    expect(swaps.map(({ component, ready, slack }) => [component, (ready - begins) / 1000, slack])).toEqual([
      ['foam', 120, -120],
      ['tart', -930, 870],
    ]);
  });

  test('where nothing is made ahead nobody waits', () => {
    const demo = shown([show], { lasts: '3 min', shows: [{ talk: '2 min' }, { show: 'tart.show' }] });
    const rundown = solvedRundown(demo);
    expect(
      rundown.timetable.steps.map(({ step: id, start }) => [id, (start - rundown.begins) / 1000]),
    ).toEqual([
      ['air.places', -60],
      ['air.on air', 0],
      ['stage.talk 1', 0],
      ['tart.show', 120],
    ]);
  });
});
