import { expect, test } from 'vitest';
import { project, type OvenRun } from '../../src/bench/index.ts';
import { temperatureOf } from '../../src/units/index.ts';
import { axisOf } from '../../src/view/axis.ts';
import { forecastView, lastOpening, openingWords, reckonedCourse } from '../../src/view/oven-heat.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy } from '../support/plans.ts';

const SETUP = setupBy(
  `
components:
  shells:
    steps:
      - pipe: { takes: 6 min, hands: busy }
      - bake: { takes: 22 min, within: 40 min, oven: { at: 220 C, door: shut } }
`,
  '13:25',
  { 'shells.pipe': '12:14-12:20', 'shells.bake': '12:20-12:42' },
  ['12:04 220 C for shells.bake by 12:20', '12:42 off for shells.bake by 12:42'],
);
const heat = (figure: number) => ({ kind: 'at', temperature: temperatureOf(figure, 'C') }) as const;
const hot = (figure: number) => ({ kind: 'oven set', oven: 'oven', heat: heat(figure) }) as const;
const ovenOf = (run: TestRun): OvenRun => run.state.ovens[0] as OvenRun;
const forecast = (run: TestRun, time: string) =>
  forecastView(run.state, project(run.state, at(time)), 'oven', at(time));

// The oven takes 10:29 to 220 C, to be taken from 90 % to 115 % as its rate was given, and soaks five minutes.
test('an oven on its way says when it will be right and who wants it, and whether that is too late', () => {
  const punctual = new TestRun(SETUP).do('12:04', hot(220));
  expect(forecast(punctual, '12:10')).toEqual({
    text: 'right at 12:19 (12:18-12:21), shells: bake wants it at 12:20',
    late: false,
  });
  const late = new TestRun(SETUP).do('12:10', hot(220));
  expect(forecast(late, '12:12')).toMatchObject({
    text: expect.stringMatching(/^right at 12:25 .*, shells: bake wants it at 12:20$/),
    late: true,
  });
  expect(forecast(new TestRun(SETUP).do('12:04', hot(160)), '12:10')?.text).not.toContain('wants it');
});

test('an oven that is right, or off, has nothing ahead', () => {
  const run = new TestRun(SETUP);
  expect(forecast(run, '12:00')).toBeUndefined();
  expect(forecast(run.do('12:00', hot(220)).clock('12:18'), '12:18')).toBeUndefined();
});

test('a door: what it cost, and what it would cost', () => {
  const run = new TestRun(SETUP).do('12:00', hot(220)).clock('12:30');
  expect(lastOpening(run.state, ovenOf(run), at('12:30'))).toBeUndefined();
  expect(openingWords(run.state, ovenOf(run), at('12:30'))).toBe(
    '30 s open costs about 50 degrees, back in 2 min',
  );
  run.do('12:30', { kind: 'door', oven: 'oven', door: 'open' });
  expect(lastOpening(run.state, ovenOf(run), at('12:31'))).toBe('open since 12:30');
  run.do('12:31', { kind: 'door', oven: 'oven', door: 'shut' });
  expect(lastOpening(run.state, ovenOf(run), at('12:32'))).toMatch(
    /^opened 12:30 for 1 min, fell about 6\d degrees$/,
  );
});

test('the curve over the axis follows the knob as it stands and as it is to be turned', () => {
  const run = new TestRun(SETUP).do('12:00', hot(220)).clock('12:20');
  const axis = axisOf(at('12:20'), at('13:20'), [], 60, 'UTC');
  const turns = [{ at: at('12:40'), heat: { kind: 'off' } as const }];
  const curve = reckonedCourse(run.state, ovenOf(run), turns, axis, at('12:20'));
  expect(curve).toHaveLength(axis.width - axis.nowColumn);
  const before = Math.floor((at('12:39') - axis.from) / 1000 / axis.cell) - axis.nowColumn;
  expect(curve.slice(0, before + 1).every((celsius) => celsius === 220)).toBe(true);
  const after = curve.slice(before + 2);
  expect(after.every((celsius, index) => index === 0 || celsius < (after[index - 1] ?? 0))).toBe(true);
});
