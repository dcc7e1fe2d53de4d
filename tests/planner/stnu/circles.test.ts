import { describe, expect, test } from 'vitest';
import { decide, type CycleLink, type UncertainNetwork } from '../../../src/planner/stnu/index.ts';
import { bounded, randomNetwork, type Shape } from './support/random-network.ts';

/** The network with some of its links alone, of which one may be looser. */
function alone(
  { points, links, contingent }: UncertainNetwork,
  cycle: readonly CycleLink[],
  looser?: { readonly index: number; readonly by: number },
): UncertainNetwork {
  const has = (kind: CycleLink['kind'], index: number): boolean =>
    cycle.some((link) => link.kind === kind && link.index === index);
  return {
    points,
    links: links.flatMap((link, index) => {
      if (!has('ordinary', index)) return [];
      return [{ ...link, weight: link.weight + (looser?.index === index ? looser.by : 0) }];
    }),
    contingent: contingent.filter((_, index) => has('contingent', index)),
  };
}

describe('a circle is the reason', () => {
  const shapes: readonly (readonly [count: number, horizon: number, shape: Shape])[] = [
    [1500, 12, { contingent: 1, own: 2, links: 6, longest: 6, weights: 6 }],
    [1000, 20, { contingent: 3, own: 3, links: 12, longest: 6, weights: 8 }],
    [400, 60, { contingent: 6, own: 6, links: 30, longest: 9, weights: 20 }],
    [60, 400, { contingent: 20, own: 20, links: 100, longest: 30, weights: 100 }],
  ];
  test.each(shapes)(
    '%i networks that end by %i, like %o: its links alone cannot be kept, without any of them they can, and so they can when one is loosened by what is missing',
    (count, horizon, shape) => {
      const wrong: string[] = [];
      let [circles, uncertain] = [0, 0];
      for (let seed = 1; seed <= count; seed += 1) {
        const network = bounded(randomNetwork(seed, shape), horizon);
        const answer = decide(network);
        if (answer.kind === 'controllable') continue;
        const { cycle, short } = answer;
        circles += 1;
        if (cycle.some(({ kind }) => kind === 'contingent')) uncertain += 1;
        if (!(short >= 1)) wrong.push(`seed ${seed}: short by ${short}`);
        if (decide(alone(network, cycle)).kind === 'controllable') wrong.push(`seed ${seed}: no reason`);
        for (const link of cycle) {
          if (link.kind === 'contingent') continue;
          const rest = cycle.filter((other) => other !== link);
          if (decide(alone(network, rest)).kind === 'uncontrollable')
            wrong.push(`seed ${seed}: link ${link.index} is not needed`);
          const looser = alone(network, cycle, { index: link.index, by: short });
          if (decide(looser).kind === 'uncontrollable')
            wrong.push(`seed ${seed}: link ${link.index} looser by ${short} is not enough`);
        }
      }
      expect(wrong).toEqual([]);
      expect(circles).toBeGreaterThan(count / 2);
      expect(uncertain).toBeGreaterThan(count / 4);
    },
  );
});
