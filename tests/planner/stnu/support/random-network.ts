import type { ContingentLink, OrdinaryLink, UncertainNetwork } from '../../../../src/planner/stnu/index.ts';
import { chance } from '../../core/support/random-problem.ts';

export interface Shape {
  readonly contingent: number;
  /** Points besides the zero point and the ends of contingent links. */
  readonly own: number;
  readonly links: number;
  /** The longest that nature may take. */
  readonly longest: number;
  /** Weights lie between the negative of this and this. */
  readonly weights: number;
}

/** A random network; contingent links may start at any point, the end of another included. */
export function randomNetwork(seed: number, shape: Shape): UncertainNetwork {
  const below = chance(seed);
  const points = 1 + shape.own + shape.contingent;
  const contingent: ContingentLink[] = Array.from({ length: shape.contingent }, (_, index) => {
    const end = 1 + shape.own + index;
    const start = below(4) === 0 ? below(end) : below(1 + shape.own);
    const low = 1 + below(shape.longest);
    return { start, end, low, high: low + below(shape.longest - low + 1) };
  });
  const links: OrdinaryLink[] = [];
  while (links.length < shape.links) {
    const from = below(points);
    const to = below(points);
    if (from !== to) links.push({ from, to, weight: below(2 * shape.weights + 1) - shape.weights });
  }
  return { points, links, contingent };
}

/** The same network, all of it over at the horizon. */
export function bounded(network: UncertainNetwork, horizon: number): UncertainNetwork {
  const over = Array.from({ length: network.points - 1 }, (_, i) => ({
    from: 0,
    to: i + 1,
    weight: horizon,
  }));
  return { ...network, links: [...network.links, ...over] };
}
