import { describe, expect, test } from 'vitest';
import { seconds, temperatureOf } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy, setupOf } from '../support/plans.ts';

const BATTER = `
components:
  puffs:
    keeps: 30 min
    steps:
      - beat: { takes: 8-10 min, usually: 9 min, hands: busy }
      - pipe: { takes: 6 min, hands: busy, within: 12 min }
      - rest: { rest: 20 - 40 min }
      - fry:  { takes: 10 min, hands: busy }
`.replace('20 - 40 min', '20-40 min');
const puffs = (): TestRun =>
  new TestRun(
    setupBy(BATTER, '13:00', {
      'puffs.beat': '12:00-12:09',
      'puffs.pipe': '12:09-12:15',
      'puffs.rest': '12:15-12:40',
      'puffs.fry': '12:40-12:50',
    }),
  );

describe('alarms', () => {
  test('a call that nobody answers becomes a nudge, that returns once it is started', () => {
    const run = puffs().clock('12:03');
    expect(run.alarms).toEqual(['not started: unacknowledged']);
    run.space('12:04', '12:00');
    expect(run.alarms).toEqual(['not started: returned']);
    expect(run.clock('12:06').alarms).toEqual([]);
  });

  test('batter that waits is alarmed before its limit, and again worse after it', () => {
    const run = puffs().space('12:00').space('12:09').clock('12:18');
    expect(run.state.alarms[0]).toMatchObject({ kind: 'waits', priority: 'medium', by: at('12:21') });
    run.clock('12:21:30');
    expect(run.state.alarms[0]).toMatchObject({ kind: 'waited too long', priority: 'high' });
  });

  test('what is heard is silent, stays while its cause does, and goes with it', () => {
    const run = puffs().space('12:00').space('12:09').clock('12:18');
    run.do('12:18:10', { kind: 'heard', key: run.state.alarms[0]?.key ?? '' });
    expect(run.alarms[0]).toBe('waits: heard');
    run.space('12:19');
    expect(run.alarms.filter((alarm) => alarm.startsWith('waits'))).toEqual([]);
  });

  test('a step beyond its longest time', () => {
    const run = puffs().space('12:00').clock('12:10:31');
    expect(run.alarms).toContain('runs over: unacknowledged');
    expect(
      run.do('12:10:40', { kind: 'more', step: 'puffs.beat' as never, length: seconds(180) }).alarms,
    ).toContain('runs over: returned');
  });

  test('lateness is told with how much, and taken back when time is made up', () => {
    const run = puffs().clock('12:30');
    expect(run.state.alarms.find((alarm) => alarm.kind === 'late for service')).toMatchObject({
      priority: 'medium',
      by: at('13:00'),
    });
    run
      .do('12:31', { kind: 'skip', step: 'puffs.beat' as never })
      .do('12:31', { kind: 'skip', step: 'puffs.pipe' as never });
    run.do('12:31', { kind: 'skip', step: 'puffs.rest' as never });
    // What is foreseen must be gone for a minute before it is over.
    run.clock('12:32:30');
    expect(run.alarms.filter((alarm) => alarm === 'late for service: unacknowledged')).toEqual([]);
  });

  test('every alarm says cause, consequence and what to do', () => {
    const run = puffs().clock('12:30');
    for (const alarm of run.state.alarms) {
      expect([alarm.cause, alarm.consequence, alarm.action].map((text) => text.length > 5)).toEqual([
        true,
        true,
        true,
      ]);
    }
    expect(run.state.alarms.length).toBeGreaterThan(0);
  });

  test('an alarm rings once, however often the clock comes by', () => {
    const run = puffs();
    for (let minute = 0; minute < 12; minute += 1) run.clock(`12:${String(minute).padStart(2, '0')}`);
    expect(run.rang.filter(({ key }) => key.startsWith('not started'))).toHaveLength(1);
  });
});

const CREAM = `
components:
  cream:
    steps:
      - cook:  { takes: 9-13 min, hands: busy, until: { all: [{ probe: cream, reaches: 82 C }, { cue: a clean track }] } }
      - cool:  { takes: 10-30 min, until: { probe: cream, falls to: 20 C } }
      - chill: { rest: 10 min - 2 h, until: { probe: cream, falls to: 5 C } }
      - whisk: { takes: 2 min, hands: busy }
`;
const cream = (): TestRun =>
  new TestRun(
    setupBy(CREAM, '13:30', {
      'cream.cook': '12:00-12:11',
      'cream.cool': '12:11-12:31',
      'cream.chill': '12:31-13:00',
      'cream.whisk': '13:00-13:02',
    }),
  );
const reading = (figure: number) =>
  ({ kind: 'reading', probe: 'cream', temperature: temperatureOf(figure, 'C') }) as const;

describe('temperatures', () => {
  test('one spike of a probe ends nothing, a reading that lasts does', () => {
    const run = cream().space('12:00').space('12:11').space('12:11');
    run.do('12:20', reading(19), 'probe').do('12:20:05', reading(25), 'probe');
    expect(run.stepState('cream.cool')).toBe('running');
    run.do('12:21', reading(19.5), 'probe').do('12:21:10', reading(19), 'probe');
    expect(run.stepState('cream.cool')).toBe('ended');
  });

  test('a reading that the cook takes counts at once', () => {
    const run = cream().space('12:00').space('12:11').space('12:11').do('12:20', reading(19));
    expect(run.stepState('cream.cool')).toBe('ended');
  });

  test('where a cue is wanted too, the temperature alone ends nothing, and calls the cook', () => {
    const run = cream().space('12:00').do('12:07', reading(83));
    expect(run.stepState('cream.cook')).toBe('running');
    expect(run.calls).toEqual([expect.stringContaining('a clean track')]);
  });

  test('where a cue alone would do, a reading that is not there yet makes nothing ready', () => {
    const plan = CREAM.replace(
      'all: [{ probe: cream, reaches: 82 C }',
      'any: [{ probe: cream, reaches: 82 C }',
    );
    const times = {
      'cream.cook': '12:00-12:11',
      'cream.cool': '12:11-12:31',
      'cream.chill': '12:31-13:00',
      'cream.whisk': '13:00-13:02',
    };
    const run = new TestRun(setupBy(plan, '13:30', times))
      .space('12:00')
      .do('12:01', reading(40))
      .clock('12:05');
    expect(run.state.log.map((line) => line.text)).not.toContain('cream: cook is at its temperature');
    expect(run.calls).toEqual(['(cream: cook, done when cream at 82 C, or a clean track)']);
    expect(run.do('12:08', reading(83)).stepState('cream.cook')).toBe('ended');
  });

  test('the cook overrules a probe, and that is recorded', () => {
    const run = cream()
      .space('12:00')
      .do('12:08', reading(70))
      .do('12:09', { kind: 'done', step: 'cream.cook' as never, at: at('12:09') });
    expect(run.state.components[0]?.steps[0]).toMatchObject({ state: 'ended', by: 'cook', overruled: true });
    expect(run.state.log.some((line) => line.text.includes('against its probe'))).toBe(true);
  });

  test('probes that no step asks for are not taken without end', () => {
    const run = cream().clock('12:00');
    for (let index = 0; index < 20; index += 1) {
      run.do('12:00', { kind: 'reading', probe: `p${index}`, temperature: temperatureOf(20, 'C') }, 'probe');
    }
    const one = { kind: 'reading', probe: 'p20', temperature: temperatureOf(20, 'C') } as const;
    expect(run.try('12:01', one, 'probe')).toContain('20 probes');
    expect(run.try('12:01', { ...one, probe: 'p3' }, 'probe')).toBeUndefined();
    expect(run.try('12:01', reading(40), 'probe')).toBeUndefined();
  });

  test('without any probe the cook goes on by hand', () => {
    const run = cream();
    for (const time of ['12:00', '12:11', '12:11', '12:31', '12:31', '13:00', '13:00', '13:30'])
      run.space(time);
    expect(run.state.servedAt).toBe(at('13:30'));
  });
});

describe('taking back', () => {
  test('a press is taken back, and the log says so', () => {
    const run = cream().space('12:00').do('12:00:05', { kind: 'undo' });
    expect(run.stepState('cream.cook')).toBe('waiting');
    expect(run.calls).toEqual(['cream: cook']);
    expect(run.state.log.at(-1)?.text).toBe('taken back: start of cream: cook');
  });

  test('again and again, to the beginning; then there is nothing', () => {
    const run = cream().space('12:00').space('12:11').space('12:11');
    run.do('12:12', { kind: 'undo' }).do('12:12', { kind: 'undo' }).do('12:12', { kind: 'undo' });
    expect(run.stepState('cream.cook')).toBe('waiting');
    expect(run.try('12:12', { kind: 'undo' })).toBe('there is nothing to take back');
    expect(run.state.log.map((line) => line.text).filter((text) => text.startsWith('taken back'))).toEqual([
      'taken back: start of cream: cool',
      'taken back: end of cream: cook',
      'taken back: start of cream: cook',
    ]);
  });

  test('service itself can be taken back', () => {
    const run = cream();
    for (const time of ['12:00', '12:11', '12:11', '12:31', '12:31', '13:00', '13:00', '13:30'])
      run.space(time);
    run.do('13:31', { kind: 'undo' });
    expect(run.state.servedAt).toBeUndefined();
    expect(run.calls).toEqual(['serve: Test']);
  });
});

test('after an hour without a keeper, what fell due stands there with its own time', () => {
  const run = cream().space('12:00');
  run.do('13:05', { kind: 'gap', from: at('12:02'), reason: 'keeper stopped' }, 'clock');
  expect(run.state.gap).toEqual({ from: at('12:02'), to: at('13:05'), reason: 'keeper stopped' });
  expect(run.state.calls[0]).toMatchObject({ due: at('12:11') });
  expect(run.state.alarms.find((alarm) => alarm.kind === 'runs over')?.raisedAt).toBe(at('12:13:30'));
  expect(run.space('13:06').state.gap).toBeUndefined();
});

describe('a new timetable', () => {
  const plan = `
components:
  tart:
    steps:
      - line: { takes: 10 min, hands: busy }
      - bake: { takes: 20 min, within: 30 min, oven: { at: 180 C } }
`;
  const run = (): TestRun => new TestRun(setupOf(plan, '15:00')).clock('12:00');

  test('moves what is to come', () => {
    const { timetable } = setupOf(plan, '16:00');
    const changed = run().do('12:01', { kind: 'timetable', timetable });
    expect(changed.state.timetable.service).toEqual([at('16:00')]);
    expect(changed.do('12:02', { kind: 'undo' }).state.timetable.service).toEqual([at('15:00')]);
  });

  test('is refused where it is for another plan', () => {
    const { timetable } = setupOf(plan, '16:00');
    const [first, ...others] = timetable.steps;
    expect(run().try('12:01', { kind: 'timetable', timetable: { ...timetable, steps: others } })).toBe(
      'that timetable is not one for this plan',
    );
    const [twice] = others;
    const doubled = { ...timetable, steps: [...(twice ? [twice] : []), ...others] };
    expect(run().try('12:01', { kind: 'timetable', timetable: doubled })).toContain('not one for this plan');
    const backwards = timetable.steps.map((step) =>
      step === first ? { ...step, start: step.end, end: step.start } : step,
    );
    expect(
      run().try('12:01', { kind: 'timetable', timetable: { ...timetable, steps: backwards } }),
    ).toContain('not one');
    const astray = timetable.settings.map((setting) => ({ ...setting, step: 'tart.line' as never }));
    expect(
      run().try('12:01', { kind: 'timetable', timetable: { ...timetable, settings: astray } }),
    ).toContain('not one');
  });
});
