import { describe, expect, test } from 'vitest';
import {
  forecastOf,
  project,
  replay,
  type BenchState,
  type OvenRun,
  type RunSetup,
} from '../../src/bench/index.ts';
import { ovenAlarms } from '../../src/bench/oven-alarms.ts';
import { ovenHears } from '../../src/bench/oven-readings.ts';
import { reckonedHeat } from '../../src/bench/oven-reckoning.ts';
import { watchAt } from '../../src/bench/watch.ts';
import type { Oven, Probe, Step, StepId } from '../../src/plan/index.ts';
import { celsius, epochMs, seconds, temperatureOf, type EpochMs } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, NOON, setupBy } from '../support/plans.ts';

const SHELLS = `
components:
  shells:
    steps:
      - pipe: { takes: 6 min, hands: busy }
      - bake: { takes: 20-26 min, usually: 22 min, within: 40 min, oven: { at: 220 C, door: shut }, until: { cue: firm } }
      - dry:  { takes: 30 min, within: 5 min, oven: { off: true, door: ajar } }
`;

/** Shells that bake at 220 C from 12:20 on, in an oven with these figures and a probe that hangs in it. */
function setup(oven: Partial<Oven> = {}, bake: Partial<Step> = {}): RunSetup {
  const plain = setupBy(
    SHELLS,
    '13:25',
    { 'shells.pipe': '12:14-12:20', 'shells.bake': '12:20-12:42', 'shells.dry': '12:42-13:12' },
    ['12:05 220 C for shells.bake by 12:20', '12:42 off for shells.dry by 12:42'],
  );
  const { kitchen, components } = plain.workload;
  const probe: Probe = {
    name: 'air',
    low: celsius(-50),
    high: celsius(300),
    fastest: 10,
    stale: seconds(120),
    iceWater: celsius(0),
    oven: 'oven',
  };
  return {
    ...plain,
    workload: {
      ...plain.workload,
      kitchen: { ...kitchen, ovens: kitchen.ovens.map((each) => ({ ...each, ...oven })), probes: [probe] },
      components: components.map((component) => ({
        ...component,
        steps: component.steps.map((step) => (step.id === 'shells.bake' ? { ...step, ...bake } : step)),
      })),
    },
  };
}

const ovenOf = ({ state }: { readonly state: BenchState }): OvenRun => state.ovens[0] as OvenRun;
const stands = ({ state }: { readonly state: BenchState }, time: string | EpochMs): number => {
  const { kitchen } = state.setup.workload;
  const moment = typeof time === 'string' ? at(time) : time;
  return reckonedHeat(kitchen.ovens[0] as Oven, kitchen.ambient, state.ovens[0] as OvenRun, moment);
};
const BAKE = 'shells.bake' as StepId;
const hot = (figure: number) =>
  ({
    kind: 'oven set',
    oven: 'oven',
    heat: { kind: 'at', temperature: temperatureOf(figure, 'C') },
  }) as const;
const door = (to: 'open' | 'shut' | 'ajar') => ({ kind: 'door', oven: 'oven', door: to }) as const;

/** What the probe in the oven's air reads: every half minute of a stretch, what `read` makes of the seconds since its beginning. */
function hears(state: BenchState, from: string, to: string, read: (passed: number) => number): BenchState {
  let now = state;
  for (let time: number = at(from); time <= at(to); time += 30_000) {
    const reading = celsius(read((time - at(from)) / 1000));
    now = ovenHears(now, { probe: 'air', celsius: reading, at: epochMs(time), deliberate: false });
  }
  return now;
}

describe('a door', () => {
  // By hand: tau of cooling is 10 min / ln(200 / 160) = 44.81 min shut, an eighth of that open: 5.602 min.
  test('that is opened costs degrees and time, and both are recorded', () => {
    const run = new TestRun(setup())
      .do('12:00', hot(220))
      .do('12:30', door('open'))
      .do('12:32', door('shut'));
    // 20 + 200 exp(-2 / 5.602) without the heater; with it, towards where it could hold the oven so.
    expect(stands(run, '12:32')).toBeGreaterThan(20 + 200 * Math.exp(-2 / 5.602));
    expect(stands(run, '12:32')).toBeLessThan(195);
    const [opening] = ovenOf(run).openings;
    expect(opening).toMatchObject({ at: at('12:30'), shutAt: at('12:32') });
    // 200 (1 - exp(-2 / 5.602)) = 60.0 in the walls, and a fifth of the 140 that are left of the air.
    expect(opening?.fell).toBe(88);
    // Back: 14.022 ln(240 / 180) = 4.03 min for the walls, a minute for the air.
    expect(opening?.backAt).toBeGreaterThan(at('12:36:30'));
    expect(opening?.backAt).toBeLessThan(at('12:37:30'));
    expect(ovenOf(run).phase).toBe('heating');
    expect(ovenOf(run).readyAt).toBeLessThan(at('12:36'));
    expect(ovenOf(run.clock('12:36')).phase).toBe('at temperature');
  });

  test('that is ajar while the oven is off lets it fall along a curve, faster than shut', () => {
    const run = new TestRun(setup())
      .do('12:00', hot(220))
      .do('12:30', { ...hot(220), heat: { kind: 'off' } });
    const shut = stands(run, '13:00');
    run.do('12:30', door('ajar'));
    // 20 + 200 exp(-30 / 44.81), and with a third of that constant.
    expect(shut).toBeCloseTo(122.4, 0);
    expect(stands(run, '13:00')).toBeCloseTo(46.8, 0);
    expect(stands(run, '12:30')).toBe(220);
  });

  test('that is moved again and again is reckoned on from where the oven then is', () => {
    const run = new TestRun(setup()).do('12:00', hot(220));
    let before = stands(run, '12:30');
    for (const [time, to] of [
      ['12:30', 'open'],
      ['12:31', 'ajar'],
      ['12:33', 'open'],
      ['12:33:30', 'shut'],
    ] as const) {
      before = stands(run, time);
      expect(stands(run.do(time, door(to)), time)).toBeCloseTo(before, 9);
    }
    expect(ovenOf(run).openings.map(({ at: from, shutAt }) => [from, shutAt])).toEqual([
      [at('12:30'), at('12:31')],
      [at('12:33'), at('12:33:30')],
    ]);
  });

  test('that is opened early says what a minute costs', () => {
    const run = new TestRun(setup())
      .do('12:00', hot(220))
      .do('12:14', { kind: 'start', step: 'shells.pipe' as StepId, at: at('12:14') })
      .clock('12:20')
      .do('12:20', { kind: 'start', step: BAKE, at: at('12:20') })
      .do('12:25', door('open'));
    expect(run.state.alarms).toMatchObject([
      {
        kind: 'door opened early',
        consequence: 'what has risen may fall; a minute costs about 65 degrees and 3 min to come back',
      },
    ]);
  });
});

describe('a tray that is to be turned', () => {
  const baking = (): TestRun =>
    new TestRun(setup({}, { turn: seconds(600) }))
      .do('12:00', hot(220))
      .do('12:14', { kind: 'start', step: 'shells.pipe' as StepId, at: at('12:14') })
      .clock('12:20')
      .do('12:20', { kind: 'start', step: BAKE, at: at('12:20') });

  test('is called at its time, and turning it is no early opening', () => {
    const run = baking().clock('12:30');
    expect(run.calls[0]).toBe('shells: turn it round in the oven, and shut the door');
    expect(run.state.calls[0]?.priority).toBe('medium');
    run.space('12:31');
    expect(run.calls).not.toContain('shells: turn it round in the oven, and shut the door');
    expect(ovenOf(run)).toMatchObject({ turned: [BAKE], earlyOpenings: [], door: 'shut' });
    expect(ovenOf(run).openings).toMatchObject([{ shutAt: at('12:31') }]);
    expect(run.try('12:32', { kind: 'turned', step: BAKE })).toBe('shells: bake has been turned already');
    expect(run.alarms).toEqual([]);
  });

  test('may have its door opened for it while the door is locked, and only about then', () => {
    const run = baking().do('12:25', door('open'));
    expect(run.alarms).toEqual(['door opened early: unacknowledged']);
    run.do('12:25:30', door('shut')).do('12:30', door('open'));
    expect(ovenOf(run).earlyOpenings).toEqual([at('12:25')]);
    run.do('12:30:20', { kind: 'turned', step: BAKE }).do('12:30:30', door('shut'));
    expect(ovenOf(run).openings).toHaveLength(2);
    run.do('12:33', door('open'));
    expect(ovenOf(run).earlyOpenings).toEqual([at('12:25'), at('12:33')]);
  });

  test('is alarmed when nobody turns it', () => {
    const run = baking().clock('12:32:59');
    expect(run.alarms).toEqual([]);
    expect(run.clock('12:33').alarms).toEqual(['not turned: unacknowledged']);
    run.do('12:34', { kind: 'turned', step: BAKE });
    expect(run.alarms).toEqual(['not turned: returned']);
  });

  test('is turned only while it is in, and anew when it is made again', () => {
    expect(new TestRun(setup({}, { turn: seconds(600) })).try('12:05', { kind: 'turned', step: BAKE })).toBe(
      'shells: bake is not in the oven',
    );
    expect(new TestRun(setup()).try('12:05', { kind: 'turned', step: BAKE })).toBe(
      'shells: bake is not to be turned',
    );
    const run = baking()
      .do('12:31', { kind: 'turned', step: BAKE })
      .do('12:32', { kind: 'lost', component: 'shells' as never })
      .do('12:33', { kind: 'start', step: 'shells.pipe' as StepId, at: at('12:33') })
      .clock('12:39')
      .do('12:40', { kind: 'start', step: BAKE, at: at('12:40') });
    expect(run.clock('12:50').calls[0]).toBe('shells: turn it round in the oven, and shut the door');
  });
});

describe('what lies ahead', () => {
  test('an oven on its way says when it will be right, between which moments, and who wants it', () => {
    const run = new TestRun(setup({ given: ['heats', 'soak'] })).do('12:06', hot(220));
    const ahead = forecastOf(run.state, project(run.state, at('12:10')), 'oven', at('12:10'));
    // 10:29 of heating, to be taken from 90 % to 115 %, and the soak of five minutes.
    expect(ahead).toMatchObject({
      right: { at: at('12:21:29'), soonest: expect.any(Number), latest: expect.any(Number) },
      wanted: { step: BAKE, at: at('12:20') },
    });
    expect(Math.abs((ahead?.right?.soonest ?? 0) - at('12:20:26'))).toBeLessThan(2000);
    expect(Math.abs((ahead?.right?.latest ?? 0) - at('12:23:03'))).toBeLessThan(2000);
    expect(
      forecastOf(run.clock('12:22').state, project(run.state, at('12:22')), 'oven', at('12:22'))?.right,
    ).toBeUndefined();
    expect(forecastOf(run.state, project(run.state, at('12:22')), 'kiln', at('12:22'))).toBeUndefined();
  });
});

describe('a cold load', () => {
  test('takes an oven down where it is known by how much', () => {
    const into = (oven: Partial<Oven>): TestRun =>
      new TestRun(setup(oven))
        .do('12:00', hot(220))
        .do('12:14', { kind: 'start', step: 'shells.pipe' as StepId, at: at('12:14') })
        .clock('12:20')
        .do('12:20', { kind: 'start', step: BAKE, at: at('12:20') });
    expect(stands(into({ load: celsius(24), given: ['load'] }), '12:20')).toBe(196);
    expect(ovenOf(into({ load: celsius(24), given: ['load'] })).phase).toBe('heating');
    expect(stands(into({}), '12:20')).toBe(220);
  });
});

describe('a probe that hangs in an oven', () => {
  const heating = (oven: Partial<Oven> = {}): BenchState =>
    new TestRun(setup(oven)).do('12:00', hot(220)).state;

  test('changes nothing while the oven does what its model says, cycling and all', () => {
    const before = heating();
    const after = hears(before, '12:00', '12:40', (passed) => {
      const mean = stands({ state: before }, epochMs(NOON + passed * 1000));
      return mean + 14 * Math.sin(passed / 60);
    });
    expect(ovenOf({ state: after })).toMatchObject({ readyAt: ovenOf({ state: before }).readyAt });
    expect(ovenOf({ state: after }).since).toBeUndefined();
  });

  test('tells that an oven heats half as fast: it will be right so much later', () => {
    const before = heating();
    const slowly = (passed: number): number => 400 - 380 * Math.exp(-passed / (2 * 14.022 * 60));
    const after = hears(before, '12:00', '12:08', slowly);
    const run = ovenOf({ state: after });
    expect(run.since).toMatchObject({ by: 'reading', soaks: true });
    expect(run.since?.pace).toBeGreaterThan(1.7);
    expect(run.since?.pace).toBeLessThan(2.3);
    // In truth it is there at 12:20:57 and soaked at 12:25:57; by the model alone it was to be right at 12:15:29.
    expect(Math.abs(run.readyAt - at('12:25:57'))).toBeLessThan(150_000);
    expect(Math.abs(stands({ state: after }, '12:12') - slowly(720))).toBeLessThan(15);
  });

  test('tells that an oven which was hot has fallen', () => {
    const before = new TestRun(setup()).do('12:00', hot(220)).clock('12:30').state;
    const after = hears(before, '12:30', '12:36', () => 180);
    expect(ovenOf({ state: after })).toMatchObject({ phase: 'heating', since: { by: 'reading' } });
    expect(stands({ state: after }, '12:33')).toBeLessThan(200);
  });

  test('is not believed by a single reading, unless the cook took it', () => {
    const before = new TestRun(setup()).do('12:00', hot(220)).clock('12:30').state;
    const one = { probe: 'air', celsius: celsius(180), at: at('12:30') };
    expect(ovenOf({ state: ovenHears(before, { ...one, deliberate: false }) }).since).toBeUndefined();
    expect(stands({ state: ovenHears(before, { ...one, deliberate: true }) }, '12:30')).toBe(180);
    expect(ovenHears(before, { ...one, probe: 'cream', deliberate: true })).toBe(before);
  });

  test('raises an alarm where the oven is off its mark and something wants it, with a dead band', () => {
    const run = new TestRun(setup()).do('12:00', hot(220)).clock('12:18');
    const alarmsAfter = (state: BenchState, time: string): string[] =>
      ovenAlarms(state, project(state, at(time)), watchAt(at(time))).map(({ cause }) => cause);
    const low = hears(run.state, '12:05', '12:18', (passed) =>
      Math.min(180, 400 - 380 * Math.exp(-(300 + passed) / (14.022 * 60))),
    );
    expect(alarmsAfter(low, '12:18')).toEqual(['the oven reads about 40 C less than it should']);
    const usual = hears(
      run.state,
      '12:05',
      '12:18',
      (passed) =>
        Math.min(220, 400 - 380 * Math.exp(-(300 + passed) / (14.022 * 60))) + 14 * Math.sin(passed / 70),
    );
    expect(alarmsAfter(usual, '12:18')).toEqual([]);
    // The air shoots past the goal the first time: that is no fault.
    const over = hears(run.state, '12:10', '12:16', () => 250);
    expect(alarmsAfter(over, '12:16')).toEqual([]);
    const hotter = hears(run.state, '12:22', '12:30', () => 255);
    expect(alarmsAfter(hotter, '12:30')).toEqual(['the oven reads about 35 C more than it should']);
  });

  test('raises none where nothing wants the oven soon', () => {
    const early = new TestRun(setup()).do('12:00', hot(220)).state;
    const cold = hears(early, '12:00', '12:06', () => 20);
    expect(ovenAlarms(cold, { ...project(cold, at('12:06')), steps: [] }, watchAt(at('12:06')))).toEqual([]);
  });

  test('is heard through the run: forecast, clash and alarm come from its readings', () => {
    const run = new TestRun(setup()).do('12:04', hot(220));
    const slowly = (passed: number): number => 400 - 380 * Math.exp(-passed / (2.5 * 14.022 * 60));
    for (let passed = 20; passed <= 600; passed += 20) {
      const temperature = temperatureOf(Math.round(slowly(passed)), 'C');
      run.do(epochMs(at('12:04') + passed * 1000), { kind: 'reading', probe: 'air', temperature }, 'probe');
    }
    expect(ovenOf(run).since?.by).toBe('reading');
    expect(ovenOf(run).readyAt).toBeGreaterThan(at('12:30'));
    expect(run.alarms).toContain('oven off its mark: unacknowledged');
    expect(replay(run.state.setup, run.events)).toEqual(run.state);
  });

  test('keeps a few minutes of readings, however many come', () => {
    let state = heating();
    for (let second = 0; second < 2000; second += 1)
      state = ovenHears(state, {
        probe: 'air',
        celsius: celsius(20),
        at: epochMs(NOON + second * 1000),
        deliberate: false,
      });
    expect(ovenOf({ state }).air?.length).toBeLessThanOrEqual(15);
  });
});
