import { expect, test } from 'vitest';
import { project } from '../../src/bench/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy } from '../support/plans.ts';

/* A hot load, the oven off for hours, then a cool one: by then it has fallen, and nothing is in anybody's way. */
const PLAN = `
components:
  sponge:
    steps:
      - bake: { takes: 10 min, oven: { at: 220 C } }
  nests:
    keeps: 2 h
    steps:
      - whisk: { takes: 10 min, hands: busy }
      - bake: { takes: 60 min, within: 15 min, oven: { at: 100 C } }
`;
const steps = { 'sponge.bake': '12:30-12:40', 'nests.whisk': '15:30-15:40', 'nests.bake': '15:40-16:40' };
const setup = (...offs: string[]) =>
  setupBy(PLAN, '17:00', steps, [
    '12:10 220 C for sponge.bake by 12:30',
    ...offs,
    '15:28 100 C for nests.bake by 15:40',
  ]);

test('an oven that is off between two loads has fallen by the time of the second', () => {
  const { state } = new TestRun(setup('12:40 off for sponge.bake by 12:40')).clock('12:05');
  expect(project(state, at('12:05')).clashes).toEqual([]);
  expect(state.alarms.map(({ kind }) => kind)).toEqual([]);
});

test('one that stays hot between them has not', () => {
  const { state } = new TestRun(setup()).clock('12:05');
  expect(project(state, at('12:05')).clashes).toMatchObject([
    { kind: 'oven', steps: ['sponge.bake', 'nests.bake'] },
  ]);
});
