import { expect, test } from 'vitest';
import { progressOf } from '../../src/bench/index.ts';
import { componentId, stepId, type StepId } from '../../src/plan/index.ts';
import { minutes, temperatureOf } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy } from '../support/plans.ts';

const PLAN = `
components:
  cream:
    steps:
      - warm:    { takes: 5-9 min, usually: 6 min, hands: near }
      - thicken: { takes: 9-13 min, usually: 10 min, hands: busy, within: 2 min }
      - chill:   { rest: 30 min - 3 h, uses: [fridge shelf] }
  shells:
    steps:
      - bake: { takes: 12 min, oven: { at: 220 C, door: shut } }
  finish:
    steps:
      - fill: { takes: 5 min, hands: busy, needs: [cream, shells] }
`;

const begun = (): TestRun =>
  new TestRun(
    setupBy(
      PLAN,
      '14:30',
      {
        'cream.warm': '12:00-12:06',
        'cream.thicken': '12:06-12:16',
        'cream.chill': '12:16-14:00',
        'shells.bake': '12:40-12:52',
        'finish.fill': '14:00-14:05',
      },
      ['12:25 220 C for shells.bake by 12:40', '12:52 off for shells.bake by 12:52'],
    ),
  );
const step = (name: string): StepId => {
  const [component = '', short = ''] = name.split('.');
  return stepId(componentId(component), short);
};
const start = (name: string, time: string) => ({ kind: 'start', step: step(name), at: at(time) }) as const;
const done = (name: string, time: string) => ({ kind: 'done', step: step(name), at: at(time) }) as const;

/** How a step stands, as clock times. */
function stands(run: TestRun, name: string): string {
  const standing = progressOf(run.state).steps[step(name)];
  const clock = (moment: number): string => new Date(moment).toISOString().slice(11, 19);
  if (standing?.kind === 'going')
    return `going ${[standing.start, standing.soonest, standing.likely].map(clock).join(' ')}${standing.oven === undefined ? '' : ` in ${standing.oven}`}`;
  return standing?.kind === 'ended'
    ? `ended ${clock(standing.start)} ${clock(standing.end)}`
    : `${standing?.kind}`;
}

test('what is done is as it was, what waits is open, and the timetable told goes with it', () => {
  const run = begun().do('12:01', start('cream.warm', '12:00:30')).do('12:08', done('cream.warm', '12:07'));
  expect(stands(run, 'cream.warm')).toBe('ended 12:00:30 12:07:00');
  expect(stands(run, 'cream.thicken')).toBe('open');
  const progress = progressOf(run.state, at('12:08:30'));
  expect(Object.keys(progress.steps)).toHaveLength(5);
  expect([progress.now, progress.told, progress.served]).toEqual([at('12:08:30'), run.state.timetable, []]);
  expect(JSON.parse(JSON.stringify(progress))).toEqual(progress);
});

test('a step that was left out has ended, and took no time', () => {
  const run = begun().do('12:05', { kind: 'skip', step: step('cream.warm') });
  expect(stands(run, 'cream.warm')).toBe('ended 12:05:00 12:05:00');
});

test.each([
  // Its shortest time is ahead, then it is past; its usual end is ahead, then minutes are added.
  ['12:07', 'going 12:06:00 12:15:00 12:16:00'],
  ['12:15:30', 'going 12:06:00 12:15:30 12:16:00'],
  ['12:16:30', 'going 12:06:00 12:16:30 12:17:00'],
  ['12:18:30', 'going 12:06:00 12:18:30 12:19:00'],
  // It has outrun its range (12:19): one minute more, then two, three, five.
  ['12:19:30', 'going 12:06:00 12:19:30 12:20:00'],
  ['12:22:30', 'going 12:06:00 12:22:30 12:24:00'],
])('a range at %s still allows %s', (time, words) => {
  const run = begun().do('12:00', start('cream.warm', '12:00')).do('12:06', done('cream.warm', '12:06'));
  expect(stands(run.do('12:06', start('cream.thicken', '12:06')).clock(time), 'cream.thicken')).toBe(words);
});

test('more time that was given moves all of it', () => {
  const run = begun()
    .do('12:00', start('cream.warm', '12:00'))
    .do('12:06', done('cream.warm', '12:06'))
    .do('12:06', start('cream.thicken', '12:06'))
    .do('12:07', { kind: 'more', step: step('cream.thicken'), length: minutes(5) });
  expect(stands(run, 'cream.thicken')).toBe('going 12:06:00 12:20:00 12:21:00');
});

test('a rest is likely to end when it was told to, and no sooner than it may', () => {
  const run = begun()
    .do('12:00', start('cream.warm', '12:00'))
    .do('12:06', done('cream.warm', '12:06'))
    .do('12:06', start('cream.thicken', '12:06'))
    .do('12:16', done('cream.thicken', '12:16'))
    .do('12:16', start('cream.chill', '12:16'));
  expect(stands(run, 'cream.chill')).toBe('going 12:16:00 12:46:00 14:00:00');
  expect(stands(run.clock('14:20'), 'cream.chill')).toBe('going 12:16:00 14:20:00 14:20:00');
});

test('what the clock ends has one end; the oven is as the bench reckons it', () => {
  const run = begun()
    .do('12:25', {
      kind: 'oven set',
      oven: 'oven',
      heat: { kind: 'at', temperature: temperatureOf(220, 'C') },
    })
    .clock('12:30');
  // By hand: 400 - 380 exp(-5 / 14.022) after five minutes; 10:29 of heating in all, then five minutes of soaking.
  expect(progressOf(run.state, at('12:30')).ovens).toEqual([
    { oven: 'oven', celsius: expect.closeTo(133.98, 1), knob: 220, readyAt: at('12:40:29') },
  ]);
  run.do('12:41', start('shells.bake', '12:41'));
  expect(stands(run, 'shells.bake')).toBe('going 12:41:00 12:53:00 12:53:00 in oven');
});

test('a lost component is open again from its first step', () => {
  const run = begun()
    .do('12:00', start('cream.warm', '12:00'))
    .do('12:06', done('cream.warm', '12:06'))
    .do('12:10', { kind: 'lost', component: componentId('cream') });
  expect(['cream.warm', 'cream.thicken', 'cream.chill'].map((name) => stands(run, name))).toEqual([
    'open',
    'open',
    'open',
  ]);
});

test('plans whose service went out are named', () => {
  const run = begun();
  for (const name of ['cream.warm', 'cream.thicken', 'cream.chill', 'shells.bake', 'finish.fill'])
    run.do('12:10', { kind: 'skip', step: step(name) });
  expect(progressOf(run.state).served).toEqual([]);
  expect(progressOf(run.do('12:11', { kind: 'served' }).state).served).toEqual([0]);
});
