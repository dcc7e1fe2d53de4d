import { describe, expect, test } from 'vitest';
import { stageOf, type BenchEvent } from '../../src/bench/index.ts';
import { rehearseToEnd } from '../../src/rehearsal/index.ts';
import { seconds } from '../../src/units/index.ts';
import { stageSetup } from '../support/stage-fixture.ts';

const kinds = (events: readonly BenchEvent[], kind: BenchEvent['kind']): number =>
  events.filter((event) => event.kind === kind).length;

/** How long after its time the demonstration was off air, in seconds. */
function over(seed: number): { readonly over: number; readonly changes: number; readonly ended: string } {
  const end = rehearseToEnd(stageSetup(), seed);
  const stage = stageOf(end.state, end.state.time);
  return {
    over: stage?.phase === 'over' ? stage.over : NaN,
    changes: kinds(end.events, 'length'),
    ended: end.ended,
  };
}

describe('a demonstration that is rehearsed', () => {
  const seeds = Array.from({ length: 40 }, (_, index) => index + 1);
  const runs = seeds.map(over);

  test('follows the rundown from one showing to the next, to its end', () => {
    expect(runs.map(({ ended }) => ended)).toEqual(seeds.map(() => 'served'));
    // The puffs are baked live, and the cook may be 20 s late with the tray; cuts and stretches give that back.
    for (const [index, { over: off }] of runs.entries())
      expect(Math.abs(off), `seed ${seeds[index]}`).toBeLessThan(30);
  });

  test('the presenter takes cuts and stretches on the way, where they are offered', () => {
    expect(runs.some(({ changes }) => changes > 0)).toBe(true);
    expect(runs.every(({ changes }) => changes <= 12)).toBe(true);
  });

  test('the same seed is the same demonstration', () => {
    const [one, other] = [rehearseToEnd(stageSetup(), 7), rehearseToEnd(stageSetup(), 7)];
    expect(JSON.stringify(one.events)).toBe(JSON.stringify(other.events));
  });

  test('one showing goes on to the next within two seconds', () => {
    const { state } = rehearseToEnd(stageSetup(), 3);
    const runsOf = new Map(state.components.flatMap((run) => run.steps).map((run) => [run.step, run]));
    const [welcome, stamp] = ['stage.welcome', 'discs A.stamp'].map((step) => runsOf.get(step as never));
    if (welcome?.state !== 'ended' || stamp?.state !== 'ended') throw new Error('not shown');
    expect(seconds((stamp.startedAt - welcome.endedAt) / 1000)).toBe(0);
  });
});
