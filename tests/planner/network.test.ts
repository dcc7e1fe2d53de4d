import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Network } from '../../src/planner/network.ts';
import type { Edge } from '../../src/planner/problem.ts';

const POINTS = 6;
const newNetwork = (points: number, starts: readonly number[]): Network =>
  new Network(points, starts, { looks: 0 });
const edges = fc.array(
  fc.record({ from: fc.nat(POINTS - 1), to: fc.nat(POINTS - 1), weight: fc.integer({ min: -6, max: 6 }) }),
  { maxLength: 14 },
);

/** The latest times by going over all edges until nothing moves; nothing where they cannot be met. */
function latestByRepetition(all: readonly Edge[]): number[] | undefined {
  const times = Array.from({ length: POINTS }, () => 0);
  for (let round = 0; round <= POINTS; round += 1) {
    let moved = false;
    for (const { from, to, weight } of all) {
      const bound = (times[to] ?? 0) - weight;
      if ((times[from] ?? 0) <= bound) continue;
      times[from] = bound;
      moved = true;
    }
    if (!moved) return times[0] === 0 ? times : undefined;
  }
  return undefined;
}

describe('the network of latest times', () => {
  test('added one by one, distances give the times that repetition gives, or are refused', () => {
    fc.assert(
      fc.property(edges, (all) => {
        const network = newNetwork(POINTS, [2, 3]);
        const sound = network.addAll(all);
        const expected = latestByRepetition(all);
        expect(sound ? [...network.latest] : undefined).toEqual(expected);
        expect(network.sum).toBe(network.at(2) + network.at(3));
      }),
      { numRuns: 500 },
    );
  });

  test('taking back gives exactly what was before, also after a refusal', () => {
    fc.assert(
      fc.property(edges, edges, (first, second) => {
        const network = newNetwork(POINTS, [2, 3]);
        fc.pre(network.addAll(first));
        const before = { times: [...network.latest], sum: network.sum };
        const mark = network.mark();
        network.addAll(second);
        network.undo(mark);
        expect({ times: [...network.latest], sum: network.sum }).toEqual(before);
        const again = newNetwork(POINTS, [2, 3]);
        const both = again.addAll(first) && again.addAll(second);
        const alsoBoth = network.addAll(second);
        expect(alsoBoth ? [...network.latest] : undefined).toEqual(both ? [...again.latest] : undefined);
      }),
      { numRuns: 500 },
    );
  });

  test('a floor for the beginning refuses what would begin earlier', () => {
    const network = newNetwork(3, [2]);
    network.beginNotBefore(-10);
    expect(network.add(1, 2, 10)).toBe(true);
    expect(network.add(2, 0, 1)).toBe(false);
  });
});
