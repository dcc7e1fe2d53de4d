import { describe, expect, test } from 'vitest';
import { decide } from '../../../src/planner/stnu/index.ts';
import { chance } from '../core/support/random-problem.ts';
import { play, type Habit, type Nature } from './support/play.ts';
import { barelyControllable, type Shape } from './support/random-network.ts';

describe('a network called controllable never breaks', () => {
  const habits: readonly Habit[] = ['early', 'late', 'any', 'any'];
  const natures: readonly Nature[] = ['short', 'long', 'extreme', 'any'];
  const shapes: readonly (readonly [count: number, shape: Shape])[] = [
    [600, { contingent: 1, own: 2, links: 6, longest: 6, weights: 6 }],
    [600, { contingent: 2, own: 3, links: 12, longest: 6, weights: 8 }],
    [400, { contingent: 4, own: 4, links: 24, longest: 9, weights: 12 }],
    [80, { contingent: 10, own: 10, links: 90, longest: 20, weights: 40 }],
    [8, { contingent: 30, own: 30, links: 300, longest: 30, weights: 60 }],
  ];
  test.each(shapes)('%i networks like %o', (count, shape) => {
    const broken: string[] = [];
    let withWaits = 0;
    for (let seed = 1; seed <= count; seed += 1) {
      const network = barelyControllable(seed, shape);
      const answer = decide(network);
      if (answer.kind === 'uncontrollable') throw new Error(`seed ${seed}`);
      if (answer.dispatch.waits.length > 0) withWaits += 1;
      const below = chance(seed);
      for (const habit of habits)
        for (const nature of natures) {
          const { wrong } = play(network, answer.dispatch, below, habit, nature);
          if (wrong.length > 0) broken.push(`seed ${seed}, ${habit}, ${nature}: ${wrong.join('; ')}`);
        }
    }
    expect(broken).toEqual([]);
    expect(withWaits).toBeGreaterThan(count / 25);
  });
});
