import { describe, expect, test } from 'vitest';
import { mermaid, project } from '../../src/bench/index.ts';
import { componentId } from '../../src/plan/index.ts';
import { temperatureOf } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy, workloadOf } from '../support/plans.ts';

const SHELLS = `
components:
  shells:
    steps:
      - pipe:      { takes: 6 min, hands: busy }
      - bake high: { takes: 12 min, within: 10 min, oven: { at: 220 C, door: shut } }
      - bake low:  { takes: 12-17 min, within: 0 min, oven: { at: 180 C, door: shut }, until: { cue: firm } }
      - dry:       { takes: 30 min, within: 5 min, oven: { off: true, door: ajar } }
`;
// The test oven heats 20 C a minute up to 200 C from 20 C and soaks 5 min. By hand: 9 min / ln(380 / 200) = 14.022 min is its
// time constant, times ln(380 / 180) it takes 10:29 to 220 C, and the soak.
const shells = (): TestRun =>
  new TestRun(
    setupBy(
      SHELLS,
      '13:25',
      {
        'shells.pipe': '12:14-12:20',
        'shells.bake high': '12:20-12:32',
        'shells.bake low': '12:32-12:46',
        'shells.dry': '12:46-13:16',
      },
      [
        '12:05 220 C for shells.bake high by 12:20',
        '12:32 180 C for shells.bake low by 12:32',
        '12:46 off for shells.dry by 12:46',
      ],
    ),
  );

describe('ovens', () => {
  test('the knob is called in time, and the oven is reckoned hot after heating and soak', () => {
    const run = shells().clock('12:05');
    expect(run.calls).toEqual(['oven: set to 220 C for shells, right by 12:20']);
    run.space('12:06');
    expect(run.state.ovens[0]).toMatchObject({ phase: 'heating', readyAt: at('12:21:29') });
    expect(run.clock('12:21:29').state.ovens[0]).toMatchObject({ phase: 'at temperature' });
  });

  test('a load is not called before the oven is right', () => {
    const run = shells().space('12:06').space('12:14').clock('12:20:30');
    expect(run.calls).toEqual(['(shells: bake high, door shut)']);
    expect(run.clock('12:21:28').calls).toEqual(['(shells: bake high, door shut)']);
    expect(run.clock('12:21:29').calls).toEqual(['shells: bake high, door shut']);
  });

  test('lowering within a bake is one call with the next step, and drying turns the oven off', () => {
    const run = shells().space('12:05').space('12:14').space('12:20').clock('12:32');
    expect(run.calls).toEqual(['shells: bake low, oven to 180 C, door shut']);
    run.space('12:32');
    expect(run.state.ovens[0]).toMatchObject({
      heat: { kind: 'at', temperature: { figure: 180 } },
      phase: 'cooling',
    });
    run.space('12:46').clock('12:46');
    expect(run.calls).toEqual(['shells: dry, oven off, door ajar']);
    run.space('12:46');
    expect(run.state.ovens[0]).toMatchObject({ heat: { kind: 'off' }, phase: 'off', door: 'ajar' });
  });

  test('the door is locked through both bakes, and an early opening is recorded and alarmed until it is shut', () => {
    const run = shells().space('12:05').space('12:14').space('12:20');
    expect(run.state.ovens[0]?.lockedUntil).toEqual({ at: at('12:44'), step: 'shells.bake high' });
    run.do('12:25', { kind: 'door', oven: 'oven', door: 'open' });
    expect(run.alarms).toEqual(['door opened early: unacknowledged']);
    expect(run.state.ovens[0]?.earlyOpenings).toEqual([at('12:25')]);
    run.do('12:26', { kind: 'door', oven: 'oven', door: 'shut' });
    expect(run.alarms).toEqual(['door opened early: returned']);
    expect(run.clock('12:28').alarms).toEqual([]);
  });

  test('after the shortest time a door may be opened to look', () => {
    const run = shells()
      .space('12:05')
      .space('12:14')
      .space('12:20')
      .space('12:32')
      .do('12:44:01', { kind: 'door', oven: 'oven', door: 'open' });
    expect(run.alarms).toEqual([]);
    expect(run.state.ovens[0]?.earlyOpenings).toEqual([]);
  });

  test('an oven that is set too late is alarmed while there is still time', () => {
    const run = shells().clock('12:09');
    expect(run.alarms).toContain('oven not hot: unacknowledged');
    const [alarm] = run.state.alarms.filter((each) => each.kind === 'oven not hot');
    expect(alarm).toMatchObject({ by: at('12:20') });
  });

  test('an unknown oven is refused in words', () => {
    expect(shells().try('12:01', { kind: 'oven set', oven: 'kiln', heat: { kind: 'off' } })).toBe(
      'the kitchen has no oven called kiln',
    );
  });

  test('a setting by hand is kept, and the call for the right one stays', () => {
    const run = shells().do('12:05', {
      kind: 'oven set',
      oven: 'oven',
      heat: { kind: 'at', temperature: temperatureOf(160, 'C') },
    });
    expect(run.calls).toEqual(['oven: set to 220 C for shells, right by 12:20']);
  });
});

const TWO_BAKES = `
components:
  tarts:
    steps:
      - fill: { takes: 5-20 min, usually: 5 min, hands: busy }
      - bake: { takes: 20-40 min, usually: 20 min, oven: { at: 180 C } , until: { cue: golden } }
  wafers:
    steps:
      - spread: { takes: 5 min, hands: busy }
      - bake:   { takes: 8 min, within: 10 min, oven: { at: 220 C } }
`;
const bakes = (): TestRun =>
  new TestRun(
    setupBy(
      TWO_BAKES,
      '13:30',
      {
        'tarts.fill': '12:15-12:20',
        'tarts.bake': '12:20-12:40',
        'wafers.spread': '12:45-12:50',
        'wafers.bake': '12:50-12:58',
      },
      ['12:07 180 C for tarts.bake by 12:20', '12:40 220 C for wafers.bake by 12:47'],
    ),
  );

describe('clashes, before they happen', () => {
  test('nothing clashes while all goes as planned', () => {
    const run = bakes().space('12:07').space('12:15').space('12:20').space('12:20');
    expect(project(run.state, run.state.time).clashes).toEqual([]);
    expect(run.state.alarms).toEqual([]);
  });

  test('tarts that go in late raise the clash with the wafers while there is half an hour left', () => {
    const run = bakes()
      .space('12:07')
      .space('12:15')
      .do('12:20', { kind: 'more', step: 'tarts.fill' as never, length: 840 as never });
    run.space('12:34').space('12:34');
    const [clash] = project(run.state, run.state.time).clashes;
    expect(clash).toMatchObject({ steps: expect.arrayContaining(['wafers.bake']) });
    expect(run.state.alarms.map((alarm) => alarm.kind)).toEqual(
      expect.arrayContaining([expect.stringMatching(/^oven/)]),
    );
    const alarm = run.state.alarms.find((each) => each.kind.startsWith('oven'));
    expect(alarm?.by).toBeGreaterThan(at('12:50') - 1);
    expect(alarm?.action).not.toBe('');
  });

  test('the same temperature on two shelves is no clash, a door that must stay shut is', () => {
    const shared = TWO_BAKES.replace('220 C', '180 C');
    const plan = {
      'tarts.fill': '12:15-12:20',
      'tarts.bake': '12:20-12:40',
      'wafers.spread': '12:20-12:25',
      'wafers.bake': '12:25-12:33',
    };
    const settings = ['12:07 180 C for tarts.bake by 12:20'];
    const start = (text: string) =>
      project(new TestRun(setupBy(text, '13:30', plan, settings)).clock('12:00').state, at('12:00')).clashes;
    expect(start(shared)).toEqual([]);
    expect(
      start(
        shared
          .replace('at: 180 C }  ,', 'at: 180 C, door: shut },')
          .replace('at: 180 C } ,', 'at: 180 C, door: shut },'),
      ),
    ).toMatchObject([
      { kind: 'oven', steps: ['tarts.bake', 'wafers.bake'], why: expect.stringContaining('must stay shut') },
    ]);
    expect(start(shared.replaceAll('at: 180 C', 'shelves: 2, at: 180 C'))).toMatchObject([
      { kind: 'oven', why: expect.stringContaining('shelves') },
    ]);
  });

  test('two busy steps at once are seen ahead', () => {
    const text = `
components:
  a: { steps: [{ stir: { takes: 20 min, hands: busy } }] }
  b: { steps: [{ fold: { takes: 20 min, hands: busy } }] }
`;
    const run = new TestRun(
      setupBy(text, '13:30', { 'a.stir': '12:10-12:30', 'b.fold': '12:20-12:40' }),
    ).clock('12:01');
    expect(project(run.state, at('12:01')).clashes).toMatchObject([
      { kind: 'hands', at: at('12:20'), steps: ['a.stir', 'b.fold'] },
    ]);
    expect(run.clock('12:06').state.alarms).toMatchObject([{ kind: 'hands clash', by: at('12:20') }]);
  });
});

test('the statecharts can be printed, each step with its states', () => {
  const text = mermaid(workloadOf(SHELLS));
  expect(text.startsWith('stateDiagram-v2\n')).toBe(true);
  for (const word of [
    '"pipe"',
    '"bake high"',
    '"dry"',
    '"finished"',
    ': start',
    ': done',
    ': clock',
    ': skip',
  ])
    expect(text).toContain(word);
});

test('an oven that is heated for a later load is not called off for the one before', () => {
  const run = new TestRun(
    setupBy(
      `
components:
  sponge:
    steps:
      - bake: { takes: 10 min, oven: { at: 220 C, door: shut } }
  puffs:
    steps:
      - bake: { takes: 20 min, oven: { at: 220 C, door: shut } }
`,
      '16:00',
      { 'sponge.bake': '12:20-12:30', 'puffs.bake': '15:00-15:20' },
      [
        '12:05 220 C for sponge.bake by 12:20',
        '12:30 off for sponge.bake by 12:30',
        '14:45 220 C for puffs.bake by 15:00',
        '15:20 off for puffs.bake by 15:20',
      ],
    ),
  );
  run.space('12:05').space('12:20').clock('12:30');
  expect(run.calls).toEqual(['oven: off']);
  run.space('12:31').clock('14:45');
  expect(run.calls).toEqual(['oven: set to 220 C for puffs, right by 15:00']);
  run.space('14:45').clock('14:56');
  expect(run.calls).toEqual(['(puffs: bake, door shut)']);
  run.space('15:00').clock('15:20');
  expect(run.calls).toEqual(['oven: off']);
});

describe('a knob that another load wants otherwise', () => {
  const twoLoads = (): TestRun =>
    new TestRun(
      setupBy(
        `
components:
  wafers:
    steps:
      - bake: { takes: 10 min, oven: { at: 200 C, door: usable } }
      - cool: { rest: at least 5 min }
  cases:
    steps:
      - bake: { takes: 20 min, oven: { at: 180 C, door: usable } }
`,
        '14:00',
        { 'wafers.bake': '12:20-12:30', 'wafers.cool': '12:30-13:30', 'cases.bake': '12:45-13:05' },
        [
          '12:05 200 C for wafers.bake by 12:20',
          '12:35 180 C for cases.bake by 12:45',
          '13:05 off for cases.bake by 13:05',
        ],
      ),
    )
      .space('12:05')
      .space('12:20')
      .clock('12:30')
      .space('12:30')
      .space('12:35')
      .space('12:45');

  const knobs = (run: TestRun): string[] => run.calls.filter((call) => call.startsWith('oven: set'));

  test('is not called for while that is in the oven', () => {
    const run = twoLoads();
    run.do('12:50', { kind: 'lost', component: componentId('wafers') });
    expect(knobs(run)).toEqual([]);
    expect(knobs(run.clock('13:05'))).toEqual([expect.stringContaining('set to 200 C for wafers')]);
  });

  test('is called back for what is in the oven where a new timetable says so', () => {
    const run = twoLoads();
    const { timetable } = run.state;
    const heat = (celsius: number) => ({ kind: 'at', temperature: temperatureOf(celsius, 'C') }) as const;
    run.do('12:50', { kind: 'oven set', oven: 'oven', heat: heat(200) });
    expect(knobs(run)).toEqual([]);
    const settings = timetable.settings.map((setting) =>
      setting.hotBy === at('12:45') ? { ...setting, at: at('12:52') } : setting,
    );
    run.do('12:51', { kind: 'timetable', timetable: { ...timetable, settings } }).clock('12:52');
    expect(knobs(run)).toEqual(['oven: set to 180 C for cases, which is in it']);
    expect(knobs(run.space('12:52'))).toEqual([]);
  });
});
