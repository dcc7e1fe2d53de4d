import { expect, test } from 'vitest';
import { temperatureOf } from '../../src/units/index.ts';
import { boardView } from '../../src/view/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy, setupOf } from '../support/plans.ts';

/* What an oven is asked over time: hot before its load, and off once the last one is out. */
const SETUP = setupBy(
  `
components:
  cake:
    steps:
      - bake: { takes: 20 min, oven: { at: 200 C, door: shut } }
      - cool: { rest: 2-4 h }
`,
  '15:40',
  { 'cake.bake': '12:30-12:50', 'cake.cool': '12:50-15:00' },
  ['12:15 200 C for cake.bake by 12:30', '12:50 off for cake.bake by 12:50'],
);

/** The oven's line as signs, four columns to the hour from 12:00 on: `0` off, `1` hot. */
function asked(run: TestRun, now: string): string {
  const view = boardView(run.clock(now).state, at(now), { axisWidth: 16 });
  const [oven] = view.ovens;
  const signs = Array.from({ length: 16 }, () => '.');
  for (const { from, to, level } of oven?.asked ?? [])
    for (let column = from; column < to; column += 1) signs[column] = String(level);
  expect(oven?.levels).toEqual(['off', '200 C']);
  return signs.join('');
}

test('the oven is off again after its last load, and that is seen ahead', () => {
  const run = new TestRun(SETUP);
  const ahead = asked(run, '12:00');
  expect(ahead).toMatch(/^\.*0+1+0+$/);
  expect(ahead.lastIndexOf('1')).toBeLessThan(8);
  run.space('12:15').space('12:30');
  expect(asked(run, '12:40')).toMatch(/^[.01]*1+0+$/);
  run.clock('12:55');
  expect(run.calls).toContain('oven: off');
  expect(asked(run, '12:56')).toMatch(/1+0{5,}$/);
});

test('an oven that nothing goes into takes no row, until it is turned on', () => {
  const kitchen = `
thirdhand: 1
kitchen: test
time zone: UTC
room: 20 C
ovens:
  deck: { shelves: 2, heats: 20 C/min, cools: 4 C/min, tolerance: 5 C }
  small oven: { shelves: 1, heats: 20 C/min, cools: 4 C/min, tolerance: 5 C }
cold: {}
tools: {}
`;
  const plan =
    'components: { cake: { steps: [{ bake: { takes: 20 min, oven: { oven: deck, at: 200 C } } }] } }';
  const run = new TestRun(setupOf(plan, '15:00', kitchen));
  const names = (): string[] =>
    boardView(run.state, run.state.time, { axisWidth: 16 }).ovens.map(({ name }) => name);
  expect(names()).toEqual(['deck']);
  const heat = { kind: 'at', temperature: temperatureOf(180, 'C') } as const;
  run.do('12:05', { kind: 'oven set', oven: 'small oven', heat });
  expect(names()).toEqual(['deck', 'small oven']);
});
