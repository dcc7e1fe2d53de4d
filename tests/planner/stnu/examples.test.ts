import { describe, expect, test } from 'vitest';
import {
  decide,
  Executor,
  type OrdinaryLink,
  type Standing,
  type UncertainNetwork,
} from '../../../src/planner/stnu/index.ts';
import { chance } from '../core/support/random-problem.ts';
import { randomNetwork } from './support/random-network.ts';

/** `x[to] - x[from]` lies within these bounds. */
const between = (from: number, to: number, least: number, most: number): OrdinaryLink[] => [
  { from, to, weight: most },
  { from: to, to: from, weight: -least },
];

/**
 * Nature takes 5 to 10 from point 0 to point 1; our own point 2 is to come so much before 1. The three cases of P. Morris, N. Muscettola and T.
 * Vidal, Dynamic control of plans with temporal uncertainty (IJCAI 2001).
 */
const triangle = (least: number, most: number): UncertainNetwork => ({
  points: 3,
  links: between(2, 1, least, most),
  contingent: [{ start: 0, end: 1, low: 5, high: 10 }],
});

function standings(network: UncertainNetwork, ended?: number): Standing | string {
  const answer = decide(network);
  if (answer.kind === 'uncontrollable') return `short by ${answer.short}`;
  const executor = new Executor(answer.dispatch);
  const begun = executor.begin();
  return executor.standing(ended === undefined ? begun : executor.observe(begun, 1, ended), 2);
}

describe('one length of 5 to 10 and one point of our own', () => {
  test('what must come 1 to 6 before the end has one moment that is always right', () => {
    expect(standings(triangle(1, 6))).toEqual({ kind: 'open', notBefore: 4, notAfter: 4, unless: [] });
  });

  test('1 to 5 before the end has none: whoever does not know the end is 1 short', () => {
    expect(standings(triangle(1, 5))).toBe('short by 1');
    expect(decide(triangle(1, 5))).toEqual({
      kind: 'uncontrollable',
      short: 1,
      cycle: expect.arrayContaining([
        { kind: 'contingent', index: 0, side: 'low' },
        { kind: 'contingent', index: 0, side: 'high' },
        { kind: 'ordinary', index: 0 },
        { kind: 'ordinary', index: 1 },
      ]),
    });
  });

  test('from 3 before to 2 after the end: wait for the end, but no longer than to 7', () => {
    expect(standings(triangle(-2, 3))).toEqual({ kind: 'open', notBefore: 7, notAfter: 12, unless: [1] });
    expect(standings(triangle(-2, 3), 6)).toEqual({ kind: 'open', notBefore: 3, notAfter: 8, unless: [] });
  });

  test('what comes 2 to 4 after the end waits for it', () => {
    expect(standings(triangle(-4, -2))).toEqual({ kind: 'blocked', by: [1] });
    expect(standings(triangle(-4, -2), 9)).toEqual({ kind: 'open', notBefore: 11, notAfter: 13, unless: [] });
  });

  test('what would be possible for each length by itself is not, for one who sees it only at the end', () => {
    expect(standings(triangle(1, 1))).toBe('short by 5');
  });

  test('lengths in a row against a window: what nature may take beyond it is missing', () => {
    const network: UncertainNetwork = {
      points: 5,
      links: [...between(2, 3, 0, 2), { from: 0, to: 4, weight: 20 }],
      contingent: [
        { start: 1, end: 2, low: 6, high: 10 },
        { start: 3, end: 4, low: 8, high: 13 },
      ],
    };
    expect(decide(network)).toMatchObject({
      kind: 'uncontrollable',
      short: 3,
      cycle: expect.arrayContaining([
        { kind: 'contingent', index: 0, side: 'high' },
        { kind: 'contingent', index: 1, side: 'high' },
        { kind: 'ordinary', index: 2 },
      ]),
    });
  });
});

describe('special cases', () => {
  test('without uncertain lengths it is the consistency of a simple temporal network', () => {
    let consistent = 0;
    for (let seed = 1; seed <= 1500; seed += 1) {
      const network = randomNetwork(seed, { contingent: 0, own: 5, links: 9, longest: 1, weights: 9 });
      const isConsistent = shortestPathsExist(network);
      if (isConsistent) consistent += 1;
      expect({ seed, kind: decide(network).kind }).toEqual({
        seed,
        kind: isConsistent ? 'controllable' : 'uncontrollable',
      });
    }
    expect(consistent).toBeGreaterThan(200);
    expect(consistent).toBeLessThan(1300);
  });

  test('a length that nature cannot choose is as good as two links', () => {
    for (let seed = 1; seed <= 1500; seed += 1) {
      const random = randomNetwork(seed, { contingent: 3, own: 3, links: 8, longest: 5, weights: 9 });
      const fixed = random.contingent.map((link) => ({ ...link, high: link.low }));
      const links = fixed.flatMap(({ start, end, low }) => between(start, end, low, low));
      expect({ seed, kind: decide({ ...random, contingent: fixed }).kind }).toEqual({
        seed,
        kind: decide({ ...random, contingent: [], links: [...random.links, ...links] }).kind,
      });
    }
  });

  test('wider lengths and tighter links never make an uncontrollable network controllable', () => {
    const below = chance(1);
    for (let seed = 1; seed <= 1500; seed += 1) {
      const network = randomNetwork(seed, { contingent: 3, own: 3, links: 7, longest: 5, weights: 9 });
      if (decide(network).kind === 'controllable') continue;
      const worse = {
        ...network,
        links: network.links.map((link) => ({ ...link, weight: link.weight - below(2) })),
        contingent: network.contingent.map((link) => ({ ...link, high: link.high + below(3) })),
      };
      expect({ seed, kind: decide(worse).kind }).toEqual({ seed, kind: 'uncontrollable' });
    }
  });

  test('no point lies before the zero point', () => {
    expect(decide({ points: 2, links: [{ from: 0, to: 1, weight: -1 }], contingent: [] })).toEqual({
      kind: 'uncontrollable',
      short: 1,
      cycle: [{ kind: 'ordinary', index: 0 }],
    });
  });

  test('what is no network is refused in words', () => {
    const wrong = (part: Partial<UncertainNetwork>) => () =>
      decide({ points: 3, links: [], contingent: [], ...part });
    expect(wrong({ links: [{ from: 0, to: 3, weight: 1 }] })).toThrow('there is no point 3 among 3');
    expect(wrong({ links: [{ from: 0, to: 1, weight: 0.5 }] })).toThrow('the weight 0.5 from 0 to 1');
    const link = { start: 0, end: 1, low: 1, high: 2 };
    expect(wrong({ contingent: [link, { ...link, start: 2 }] })).toThrow('nature decides point 1 twice');
    expect(wrong({ contingent: [{ ...link, low: 0 }] })).toThrow('0 < low <= high');
  });
});

/** Bellman and Ford, with no point before the zero point. */
function shortestPathsExist({ points, links }: UncertainNetwork): boolean {
  const distance = Array.from({ length: points }, () => 0);
  const all = [...links, ...Array.from({ length: points }, (_, from) => ({ from, to: 0, weight: 0 }))];
  for (let round = 0; round <= points; round += 1) {
    let moved = false;
    for (const { from, to, weight } of all)
      if ((distance[from] ?? 0) + weight < (distance[to] ?? 0)) {
        distance[to] = (distance[from] ?? 0) + weight;
        moved = true;
      }
    if (!moved) return true;
  }
  return false;
}
