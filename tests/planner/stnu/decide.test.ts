import { describe, expect, test } from 'vitest';
import { decide } from '../../../src/planner/stnu/index.ts';
import { isControllable } from './support/brute-force.ts';
import { bounded, randomNetwork, type Shape } from './support/random-network.ts';

describe('small networks against a game in which everything is tried', () => {
  const shapes: readonly (readonly [count: number, horizon: number, shape: Shape])[] = [
    [3000, 12, { contingent: 1, own: 3, links: 6, longest: 4, weights: 5 }],
    [3000, 12, { contingent: 2, own: 2, links: 5, longest: 4, weights: 5 }],
    [2000, 10, { contingent: 3, own: 2, links: 5, longest: 3, weights: 4 }],
    [1500, 10, { contingent: 4, own: 1, links: 5, longest: 3, weights: 4 }],
  ];
  test.each(shapes)('%i networks that end by %i, like %o', (count, horizon, shape) => {
    const wrong: number[] = [];
    let controllable = 0;
    for (let seed = 1; seed <= count; seed += 1) {
      const network = bounded(randomNetwork(seed, shape), horizon);
      const won = isControllable(network, horizon);
      if (won) controllable += 1;
      if (won !== (decide(network).kind === 'controllable')) wrong.push(seed);
    }
    expect(wrong).toEqual([]);
    expect(controllable).toBeGreaterThan(count / 20);
    expect(controllable).toBeLessThan(count / 2);
  });
});
