import { describe, expect, test } from 'vitest';
import { project, type Happening } from '../../src/bench/index.ts';
import { seconds, wallClock } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { setupBy } from '../support/plans.ts';

const SHOW = `
components:
  show:
    steps:
      - greet: { takes: 60 s, hands: busy }
      - whisk: { takes: 60-180 s, usually: 120 s, hands: busy, within: 0 min }
      - pipe:  { takes: 40-100 s, usually: 60 s, hands: busy, within: 0 min }
      - chill: { rest: 1-5 min }
`;

const show = (): TestRun =>
  new TestRun(
    setupBy(SHOW, '12:10', {
      'show.greet': '12:00-12:01',
      'show.whisk': '12:01-12:03',
      'show.pipe': '12:03-12:04',
      'show.chill': '12:04-12:05',
    }),
  );

const length = (step: string, to: number): Happening => ({
  kind: 'length',
  step: `show.${step}` as never,
  length: seconds(to),
});

/** When a step is expected to end. */
function endOf(run: TestRun, step: string): string {
  const found = project(run.state, run.state.time).steps.find((each) => each.step === `show.${step}`);
  return found ? wallClock(found.end, 'UTC', 'second') : 'over';
}

describe('a step that is cut or stretched', () => {
  test('one to come: what follows moves with it, and it begins with its new length', () => {
    const run = show().space('12:00').do('12:00:30', length('whisk', 60));
    expect([endOf(run, 'whisk'), endOf(run, 'pipe')]).toEqual(['12:02:00', '12:03:00']);
    expect(run.state.log.at(-1)?.text).toBe('show: whisk is cut by 1 min');
    run.clock('12:01').space('12:01');
    expect(run.clock('12:01:59').calls).toEqual(['(show: whisk, done?)']);
    expect(run.clock('12:02').calls).toEqual(['show: whisk, done?']);
  });

  test('one that is going: stretched, then cut again, counts from its beginning', () => {
    const run = show().space('12:00').space('12:01').do('12:01:30', length('whisk', 200));
    expect(endOf(run, 'whisk')).toBe('12:04:20');
    expect(run.state.log.at(-1)?.text).toBe('show: whisk gets 1 min 20 s more');
    run.do('12:01:40', length('whisk', 90));
    expect(endOf(run, 'whisk')).toBe('12:02:30');
  });

  test('cut to less than has passed, a step of the clock is over now and not before', () => {
    const run = show().space('12:00').do('12:00:45', length('greet', 20));
    expect(run.state.components[0]?.steps[0]).toMatchObject({
      state: 'ended',
      by: 'clock',
      endedAt: run.state.time,
    });
  });

  test('taken back, it has the length it had', () => {
    const run = show().space('12:00').do('12:00:10', length('whisk', 60)).do('12:00:20', { kind: 'undo' });
    expect(endOf(run, 'whisk')).toBe('12:03:00');
    expect(run.state.log.at(-1)?.text).toBe('taken back: new length of show: whisk');
  });

  test.each([
    ['greet', 0, 'a step must last longer than nothing'],
    ['whisk', 40_000_000, 'that is over 400 days'],
    ['bow', 10, 'the plan has no step show.bow'],
    ['chill', 90, 'show: chill is a rest: it ends when you end it'],
  ])('refused: %s to %d s', (step, to, why) => {
    expect(show().space('12:00').try('12:00:10', length(step, to))).toBe(why);
  });

  test('refused once it is over', () => {
    const run = show().space('12:00').clock('12:01');
    expect(run.try('12:01:10', length('greet', 90))).toBe('show: greet is over already');
  });
});
