import {
  decide,
  type ContingentLink,
  type OrdinaryLink,
  type UncertainNetwork,
} from '../../../../src/planner/stnu/index.ts';
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

/**
 * A random network that is controllable and only just so: for as long as there is a circle, one of its links, taken by chance, is
 * loosened by what is missing.
 */
export function barelyControllable(seed: number, shape: Shape): UncertainNetwork {
  const below = chance(seed + 1);
  const { points, contingent, links: given } = randomNetwork(seed, shape);
  const links = [...given];
  for (let round = 0; round < 1000; round += 1) {
    const answer = decide({ points, contingent, links });
    if (answer.kind === 'controllable') return { points, contingent, links };
    const ordinary = answer.cycle.filter(({ kind }) => kind === 'ordinary');
    const index = ordinary[below(ordinary.length)]?.index ?? -1;
    const link = links[index];
    if (!link) throw new Error(`seed ${seed}: a circle without a link that could be loosened`);
    links[index] = { ...link, weight: link.weight + answer.short };
  }
  throw new Error(`seed ${seed}: there is no end to loosening`);
}
