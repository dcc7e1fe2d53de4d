import { describe, expect, test } from 'vitest';
import { TestRun } from '../support/bench.ts';
import { setupBy } from '../support/plans.ts';

const TWO = `
components:
  cream:
    keeps: 2 h
    steps:
      - warm:    { takes: 5-9 min, usually: 6 min, hands: near, uses: [hob] }
      - thicken: { takes: 9-13 min, usually: 11 min, hands: busy, within: 2 min, uses: [hob], until: { cue: a spoon leaves a clean track } }
      - chill:   { rest: at least 30 min, uses: [fridge shelf] }
  lids:
    steps:
      - mix:   { takes: 6 min, hands: busy, uses: [mixer] }
      - fold:  { takes: 3 min, hands: busy, within: 10 min, needs: [cream] }
`;

const two = (): TestRun =>
  new TestRun(
    setupBy(TWO, '13:10', {
      'cream.warm': '12:00-12:06',
      'cream.thicken': '12:06-12:17',
      'cream.chill': '12:17-13:00',
      'lids.mix': '12:50-12:56',
      'lids.fold': '13:00-13:03',
    }),
  );

describe('calls', () => {
  test('the first step is called when it is planned, and rings once', () => {
    const run = two().clock('12:00').clock('12:01');
    expect(run.calls).toEqual(['cream: warm']);
    expect(run.rang.map(({ key, nth }) => [key, nth])).toEqual([['start cream.warm#1', 1]]);
  });

  test('a range is ended by the cook: open from half its shortest time, called at its usual one', () => {
    const run = two().space('12:00');
    expect(run.clock('12:02').calls).toEqual([]);
    expect(run.clock('12:02:30').calls).toEqual(['(cream: warm, done?)']);
    expect(run.clock('12:06').calls).toEqual(['cream: warm, done?']);
    expect(run.space('12:07').stepState('cream.warm')).toBe('ended');
    expect(run.clock('12:07').calls).toEqual(['cream: thicken']);
  });

  test('a cue stands in the call', () => {
    const run = two().space('12:00').space('12:06').space('12:06:30').clock('12:18');
    expect(run.calls).toEqual(['cream: thicken, done when a spoon leaves a clean track']);
  });

  test('a single figure is ended by the clock, at its own moment', () => {
    const run = two()
      .space('12:00')
      .space('12:06')
      .space('12:06:30')
      .space('12:17')
      .space('12:17:10')
      .space('12:50')
      .clock('12:58');
    const [mix] = run.state.components[1]?.steps ?? [];
    expect(mix).toMatchObject({
      state: 'ended',
      by: 'clock',
      endedAt: run.state.timetable.steps.find((s) => s.step === 'lids.mix')?.end,
    });
  });

  test('a rest without a trigger is over when what follows it starts, and not before its time', () => {
    const run = two().space('12:00').space('12:06').space('12:06:30').space('12:17').space('12:17:10');
    expect(run.try('12:30', { kind: 'start', step: 'lids.fold' as never, at: run.state.time })).toContain(
      'must wait',
    );
    run.space('12:50').clock('13:00');
    expect(run.calls).toEqual(['lids: fold']);
    expect(run.space('13:00').stepState('cream.chill')).toBe('ended');
  });

  test('a busy step is not called while the hands are taken', () => {
    const run = two()
      .space('12:00')
      .space('12:06')
      .space('12:06:30')
      .space('12:17')
      .space('12:17:10')
      .clock('12:49');
    run.do('12:49', { kind: 'start', step: 'lids.mix' as never, at: run.state.time });
    expect(run.clock('12:50').calls).toEqual([]);
  });

  test('space alone goes from the first call to service', () => {
    const run = two();
    for (const time of ['12:00', '12:06', '12:06', '12:17', '12:17', '12:50', '13:00', '13:10'])
      run.space(time);
    expect(run.state.log.at(-1)?.text).toBe('served at 13:10, on time');
    expect(run.state.servedAt).toBe(run.state.time);
    expect(run.calls).toEqual([]);
    expect(run.state.alarms).toEqual([]);
    expect(run.state.deadline).toBeUndefined();
  });

  test('dated back: a start four minutes ago counts from then', () => {
    const run = two().space('12:04', '12:00').clock('12:06');
    expect(run.calls).toEqual(['cream: warm, done?']);
    expect(run.state.log.find((line) => line.text.includes('started'))).toMatchObject({
      text: 'cream: warm started',
    });
  });

  test('a call that is heard falls silent, and is raised again while it is not done', () => {
    const run = two().clock('12:00').do('12:00:30', { kind: 'heard', key: 'start cream.warm#1' });
    expect(run.state.calls[0]).toMatchObject({ heard: true, raised: 1 });
    run.clock('12:02');
    expect(run.state.calls[0]).toMatchObject({ heard: false, raised: 2 });
    expect(run.rang.filter(({ key }) => key.startsWith('start')).map(({ nth }) => nth)).toEqual([1, 2]);
  });

  test('more time moves the call', () => {
    const run = two()
      .space('12:00')
      .do('12:05', { kind: 'more', step: 'cream.warm' as never, length: 180 as never });
    expect(run.clock('12:06').calls).toEqual(['(cream: warm, done?)']);
    expect(run.clock('12:09').calls).toEqual(['cream: warm, done?']);
  });

  test('a quick timer is called once it is over', () => {
    const run = two().do('12:00', { kind: 'timer', name: 'tea', length: 240 as never });
    expect(run.clock('12:03:59').state.calls.map((call) => call.key)).not.toContain(
      expect.stringContaining('tea'),
    );
    expect(run.clock('12:04').calls).toContain('timer tea: 4 min are over');
  });

  test('a timer without a name of its own is called by its number, once', () => {
    const run = two().do('12:00', { kind: 'timer', name: 'timer 1', length: 60 as never });
    expect(run.state.log.at(-1)?.text).toBe('timer 1: 1 min');
    expect(run.clock('12:01').calls).toContain('timer 1: 1 min are over');
  });

  test('a skip goes on to the next step', () => {
    const run = two().do('12:00', { kind: 'skip', step: 'cream.warm' as never });
    expect(run.calls).toEqual(['cream: thicken']);
  });

  test('a component that is lost begins again, with calls of its own', () => {
    const run = two()
      .space('12:00')
      .space('12:06')
      .do('12:08', { kind: 'lost', component: 'cream' as never });
    expect(run.calls).toEqual(['cream: warm']);
    expect(run.state.components[0]).toMatchObject({ attempt: 2, at: 'warm.waiting' });
  });
});

test('a rest that is planned to last no time may stand after the step that needs it in the timetable', () => {
  const plan = `
components:
  finish: { steps: [{ fold: { takes: 3 min, hands: busy, needs: [cream] } }] }
  cream:  { steps: [{ cook: { takes: 9 min, hands: busy } }, { chill: { rest: at most 2 h } }] }
`;
  const run = new TestRun(
    setupBy(plan, '12:20', {
      'finish.fold': '12:10-12:13',
      'cream.cook': '12:01-12:10',
      'cream.chill': '12:10-12:10',
    }),
  );
  for (const time of ['12:01', '12:10', '12:10', '12:20']) run.space(time);
  expect(run.state.servedAt).toBe(run.state.time);
});
