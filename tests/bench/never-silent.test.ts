import { describe, expect, test } from 'vitest';
import type { OvenHeat } from '../../src/plan/index.ts';
import { temperatureOf } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { setupBy } from '../support/plans.ts';

/* Whatever came in another order than told: nobody sits before a board that calls nothing while something waits. */

const at180: OvenHeat = { kind: 'at', temperature: temperatureOf(180, 'C') };

describe('an oven that is not left as the timetable has it', () => {
  const run = (): TestRun =>
    new TestRun(
      setupBy(
        `
components:
  rolls: { steps: [{ bake: { takes: 20 min, oven: { at: 180 C, door: usable } } }] }
  buns: { steps: [{ bake: { takes: 20 min, oven: { at: 180 C, door: usable } } }] }
`,
        '14:00',
        { 'rolls.bake': '12:30-12:50', 'buns.bake': '13:00-13:20' },
        ['12:10 180 C for rolls.bake by 12:25'],
      ),
    );

  test('switched off between two loads that were told one heat, it is called for the second', () => {
    const off = run()
      .space('12:10')
      .space('12:30')
      .clock('12:50')
      .do('12:52', { kind: 'oven set', oven: 'oven', heat: { kind: 'off' } });
    expect(off.clock('12:54:59').calls).toEqual([]);
    expect(off.clock('12:55').calls).toEqual(['(oven: set to 180 C for buns)']);
    expect(off.space('13:00').clock('13:00').state.ovens[0]?.heat).toEqual(at180);
    expect(off.clock('13:20').calls).toEqual(['buns: bake']);
  });

  test('while it is right, or is still to be set for the first, nothing is called for the second', () => {
    expect(run().clock('12:20').calls).toEqual(['oven: set to 180 C for rolls, right by 12:25']);
    expect(run().space('12:10').space('12:30').clock('12:58').calls).toEqual(['(buns: bake)']);
  });
});

test('what rests in an oven and is told to come out before it is used is called out', () => {
  const run = new TestRun(
    setupBy(
      `
components:
  brioche:
    steps:
      - prove: { rest: 30 min - 2 h, oven: { at: 30 C, door: shut } }
      - glaze: { takes: 5 min, hands: busy }
  nuts: { steps: [{ toast: { takes: 10 min, oven: { at: 160 C, door: usable } } }] }
`,
      '14:00',
      { 'brioche.prove': '12:10-12:40', 'brioche.glaze': '13:30-13:35', 'nuts.toast': '13:00-13:10' },
      ['12:00 30 C for brioche.prove by 12:08', '12:45 160 C for nuts.toast by 12:58'],
    ),
  );
  run.space('12:00').space('12:10');
  expect(run.clock('12:39').calls).toEqual([]);
  expect(run.clock('12:40').calls).toEqual(['brioche: prove, out of the oven']);
  expect(run.space('12:41').stepState('brioche.prove')).toBe('ended');
  expect(run.clock('12:45').calls).toEqual(['oven: set to 160 C for nuts, right by 12:58']);
});

test('two rests that wait for one step are not called the later for each other', () => {
  const run = new TestRun(
    setupBy(
      `
components:
  jelly: { steps: [{ set: { rest: at least 20 min, until: { cue: it does not run } } }] }
  cake:
    steps:
      - cool: { rest: at least 20 min }
      - cover: { takes: 5 min, hands: busy, needs: [jelly] }
`,
      '13:00',
      { 'jelly.set': '12:00-12:20', 'cake.cool': '12:00-12:20', 'cake.cover': '12:20-12:25' },
    ),
  );
  run.space('12:00').space('12:00');
  expect(run.clock('12:30').calls).toEqual(['jelly: set, done when it does not run']);
});
