import { describe, expect, test } from 'vitest';
import { happeningOf, progressOf, wantsReplan, type Offer } from '../../src/bench/index.ts';
import { componentId, stepId, type StepId } from '../../src/plan/index.ts';
import type { ReplanResult } from '../../src/planner/index.ts';
import { TestRun } from '../support/bench.ts';
import { temperatureOf } from '../../src/units/index.ts';
import { at, setupBy } from '../support/plans.ts';
import { postponing } from '../support/replans.ts';

const PLAN = `
components:
  cream:
    steps:
      - thicken: { takes: 9-13 min, usually: 10 min, hands: busy }
      - chill:   { rest: 30 min - 3 h, uses: [fridge shelf] }
  lids:
    steps:
      - stamp: { takes: 10 min, hands: busy }
  shells:
    steps:
      - bake: { takes: 20 min, oven: { at: 220 C, door: shut } }
  finish:
    steps:
      - fill: { takes: 10 min, hands: busy, needs: [cream, lids, shells] }
`;
const SETUP = setupBy(
  PLAN,
  '13:30',
  {
    'cream.thicken': '12:00-12:10',
    'cream.chill': '12:10-13:00',
    'lids.stamp': '12:20-12:30',
    'shells.bake': '12:35-12:55',
    'finish.fill': '13:00-13:10',
  },
  ['12:15 220 C for shells.bake by 12:35', '12:55 off for shells.bake by 12:55'],
);

const step = (name: string): StepId => {
  const [component = '', short = ''] = name.split('.');
  return stepId(componentId(component), short);
};

/** A run of that evening, with what a keeper does about new timetables. */
class Evening extends TestRun {
  constructor() {
    super(SETUP);
  }

  start(name: string, time: string, back = time): this {
    return this.do(time, { kind: 'start', step: step(name), at: at(back) });
  }

  done(name: string, time: string, back = time): this {
    return this.do(time, { kind: 'done', step: step(name), at: at(back) });
  }

  lose(name: string, time: string): this {
    return this.do(time, { kind: 'lost', component: componentId(name) });
  }

  /** What is wanted. */
  get wanted(): string | undefined {
    return wantsReplan(this.state)?.key;
  }

  get situations(): string[] {
    return this.state.replanning.situations.map(({ key }) => key);
  }

  /** The planner answers what is wanted. */
  answer(time: string, result: ReplanResult): this {
    const situation = wantsReplan(this.clock(time).state);
    if (!situation) throw new Error(`nothing is wanted at ${time}`);
    return this.do(time, happeningOf(situation, result), 'clock');
  }

  /** The planner offers everything so many minutes later. */
  offer(time: string, minutes: number): this {
    this.clock(time);
    const request = { progress: progressOf(this.state, at(time)) };
    return this.answer(time, postponing(60 * minutes)(this.state.setup.workload, request));
  }

  take(time: string): this {
    const { proposal } = this.state.replanning;
    if (!proposal) throw new Error('nothing is offered');
    return this.do(time, { kind: 'timetable', timetable: proposal.timetable });
  }

  get offered(): string | undefined {
    return this.state.replanning.proposal?.id;
  }

  get lastLine(): string | undefined {
    return this.state.log.at(-1)?.text;
  }
}

/** The cream was lost at 12:30, and everything else has gone as told. */
const lostCream = (): Evening =>
  new Evening()
    .start('cream.thicken', '12:00')
    .done('cream.thicken', '12:10')
    .start('cream.chill', '12:10')
    .do('12:15', {
      kind: 'oven set',
      oven: 'oven',
      heat: { kind: 'at', temperature: temperatureOf(220, 'C') },
    })
    .do('12:20', { kind: 'start', step: step('lids.stamp'), at: at('12:20') })
    .clock('12:30')
    .lose('cream', '12:30:00') as Evening;

/** The cream is still on the fire at a time when it should be long in the cold, so that it would chill too late. */
const slowCream = (): Evening =>
  new Evening()
    .do('12:01', { kind: 'skip', step: step('lids.stamp') })
    .do('12:01', { kind: 'skip', step: step('shells.bake') })
    .do('12:20', { kind: 'start', step: step('cream.thicken'), at: at('12:20') }) as Evening;

describe('when a new timetable is wanted', () => {
  test('not while things go as told, nor for lateness that does no harm', () => {
    const run = new Evening().start('cream.thicken', '12:00').clock('12:09') as Evening;
    expect(run.situations).toEqual([]);
    // Chilled from 12:20: nine minutes late, and cold long before it is wanted.
    run.done('cream.thicken', '12:19').start('cream.chill', '12:20').clock('12:20');
    expect(run.situations).toEqual([]);
  });

  test('when a component is lost and made again, until it is finished', () => {
    const run = lostCream();
    expect([run.wanted, wantsReplan(run.state)?.reason]).toEqual([
      'lost cream#2',
      'cream is to be made again',
    ]);
    run.answer('12:31', { kind: 'as told' });
    expect(run.wanted).not.toBe('lost cream#2');
    expect(run.situations).toContain('lost cream#2');
  });

  test('when things that hang together are expected much later than told, once for each doubling', () => {
    const run = slowCream();
    // Usually done at 12:30, cold at 13:00: on time. Then each minute on the fire is one later.
    expect(run.clock('12:30').state.replanning.situations).toEqual([]);
    run.clock('12:40:30');
    expect([run.wanted, wantsReplan(run.state)?.reason]).toEqual([
      'slips 1',
      'finish: fill would begin 13 min later than told',
    ]);
    run.answer('12:41', { kind: 'as told' });
    expect([run.wanted, run.lastLine]).not.toContain('slips 1');
    expect((run.clock('12:47') as Evening).wanted).toBe(undefined);
    // Service is missed: another situation than a slip.
    run.clock('12:55');
    expect(run.situations).toEqual(['late for service 1', 'late for service 0', 'slips 2', 'slips 1']);
  });

  test('a slip that has been answered does not come back when it falls and rises', () => {
    const run = slowCream().clock('12:40:30') as Evening;
    run.answer('12:41', { kind: 'as told' });
    run.done('cream.thicken', '12:42', '12:31').start('cream.chill', '12:42', '12:31');
    expect(run.situations).toEqual([]);
    run.do('12:43', { kind: 'undo' }).do('12:43', { kind: 'undo' }).clock('12:44');
    expect([run.situations, run.wanted]).toEqual([['slips 1'], undefined]);
  });

  test('when the oven will be wanted for two things at once, and once for that clash', () => {
    const run = new TestRun(
      setupBy(
        `
components:
  tarts:
    steps:
      - bake: { takes: 30 min, oven: { at: 180 C, door: shut } }
  puffs:
    steps:
      - bake: { takes: 20 min, oven: { at: 220 C, door: shut } }
`,
        '14:00',
        { 'tarts.bake': '12:20-12:50', 'puffs.bake': '13:10-13:30' },
        ['12:05 180 C for tarts.bake by 12:20', '12:50 220 C for puffs.bake by 13:10'],
      ),
    );
    const heat = { kind: 'at', temperature: temperatureOf(180, 'C') } as const;
    run.do('12:05', { kind: 'oven set', oven: 'oven', heat }).clock('12:30');
    expect(wantsReplan(run.state)).toBeUndefined();
    run.do('12:55', { kind: 'start', step: step('tarts.bake'), at: at('12:55') });
    const clash = wantsReplan(run.state);
    if (!clash) throw new Error('nothing is wanted');
    expect(clash.key).toBe('oven clash tarts.bake#1 | puffs.bake#1');
    expect(clash.reason).toContain('puffs: bake wants the oven right at 13:10');
    run.do('12:55', happeningOf(clash, { kind: 'as told' }), 'clock').clock('13:00');
    expect(wantsReplan(run.state)).toBeUndefined();
  });

  test('when the cook asks; asking changes nothing else and is not taken back', () => {
    const run = new Evening()
      .start('cream.thicken', '12:00')
      .do('12:05', { kind: 'timetable asked' }) as Evening;
    expect([run.wanted, wantsReplan(run.state)?.reason]).toEqual(['asked e2', 'you asked for one']);
    run.answer('12:05', { kind: 'as told' });
    expect([run.wanted, run.lastLine]).toEqual([
      undefined,
      'no new timetable is needed: the one you have holds',
    ]);
    run.do('12:06', { kind: 'undo' });
    expect(run.stepState('cream.thicken')).toBe('waiting');
  });

  test.each<[ReplanResult, string]>([
    [{ kind: 'unknown' }, 'no new timetable was found in the time allowed'],
    [
      { kind: 'none', reasons: [{ message: 'the shelf is full', steps: [], places: [] }] },
      'there is no timetable that would do any more: the shelf is full',
    ],
  ])('the cook who asked hears why there is none: %j', (result, words) => {
    const run = new Evening().do('12:00', { kind: 'timetable asked' }) as Evening;
    expect(run.answer('12:00', result).lastLine).toBe(words);
  });

  test('nobody is told that all is well who did not ask', () => {
    const run = slowCream().clock('12:40:30') as Evening;
    const before = run.state.log.length;
    run.answer('12:41', { kind: 'as told' });
    expect(run.state.log).toHaveLength(before);
  });

  test('not after service', () => {
    const run = new Evening();
    for (const { step: id } of SETUP.timetable.steps) run.do('12:01', { kind: 'skip', step: id });
    run.do('12:02', { kind: 'served' });
    expect(run.try('12:03', { kind: 'timetable asked' })).toBe('the run is over: it has been served');
  });
});

describe('an offer', () => {
  test('stands beside the timetable that is told, and changes nothing', () => {
    const run = lostCream();
    const calls = run.state.calls.map(({ key, due }) => [key, due]);
    run.offer('12:30:10', 40);
    expect(run.state.timetable).toBe(SETUP.timetable);
    expect(run.state.calls.map(({ key, due }) => [key, due])).toEqual(calls);
    expect(run.state.replanning.proposal).toMatchObject({
      reason: 'cream is to be made again',
      serviceMoved: [{ plan: 0, from: at('13:30'), to: at('14:10') }],
    });
    expect([run.wanted, run.lastLine]).toEqual([
      undefined,
      'a new timetable is offered: service would be 14:10 instead of 13:30',
    ]);
  });

  test('once taken, calls, course and margin go by it at once; undo brings the old one back, and the offer', () => {
    const run = lostCream().offer('12:30:10', 40);
    const offered = run.offered;
    run.take('12:31');
    expect(run.state.timetable.service).toEqual([at('14:10')]);
    expect([run.offered, run.wanted]).toEqual([undefined, undefined]);
    expect(run.state.calls.find(({ key }) => key === 'start shells.bake#1')).toBeUndefined();
    run.do('12:31:30', { kind: 'undo' });
    expect([run.state.timetable, run.offered]).toEqual([SETUP.timetable, offered]);
    expect(run.state.log.map(({ text }) => text)).toContain('taken back: the new timetable');
  });

  test('once left, it is not offered again for the same situation; leaving can be taken back', () => {
    const run = lostCream().offer('12:30:10', 40).do('12:30:40', { kind: 'declined' }) as Evening;
    expect([run.offered, run.wanted, run.lastLine]).toEqual([
      undefined,
      undefined,
      'the new timetable was not taken',
    ]);
    expect(run.clock('12:32')).toMatchObject({ wanted: undefined });
    // The cook may always ask.
    expect((run.do('12:33', { kind: 'timetable asked' }) as Evening).wanted).toMatch(/^asked /);
    run.do('12:34', { kind: 'undo' });
    expect(run.offered).toBeDefined();
  });

  test('what stands when a timetable is taken was known to whoever made it, and asks no more', () => {
    const run = lostCream().offer('12:30:10', 40).take('12:31');
    expect([run.situations, run.wanted]).toEqual([['lost cream#2'], undefined]);
  });

  test('goes by itself when what it was for is over', () => {
    const run = slowCream().clock('12:40:30') as Evening;
    run.offer('12:41', 40).done('cream.thicken', '12:42');
    expect(run.offered).toBeDefined();
    // The cream is cold already, for whatever reason.
    run.do('12:43', { kind: 'skip', step: step('cream.chill') });
    expect([run.offered, run.wanted]).toEqual([undefined, undefined]);
    expect(run.lastLine).toBe('the new timetable is withdrawn: it is no longer needed');
  });

  test.each<[string, (run: Evening) => Evening, string]>([
    ['a component that is lost', (run) => run.lose('lids', '12:32'), 'lids was lost'],
    [
      'a step that begins long before its new time',
      (run) => run.start('shells.bake', '12:32'),
      'shells: bake began at another time',
    ],
    [
      'a new time that has passed',
      (run) => run.start('shells.bake', '12:35').clock('12:45:01') as Evening,
      'cream: thicken was to begin at 12:40',
    ],
    [
      'a step that is left out',
      (run) => run.do('12:31', { kind: 'skip', step: step('shells.bake') }) as Evening,
      'shells: bake was left out',
    ],
  ])('is withdrawn by %s, and says so', (_name, happens, why) => {
    const run = lostCream().answer('12:30:10', creamAt('12:40'));
    expect(happens(run).offered).toBeUndefined();
    expect(run.state.log.map(({ text }) => text)).toContain(`the new timetable is withdrawn: ${why}`);
    // The situation stands and was not answered, so another one is wanted.
    expect(run.wanted).toBeDefined();
  });

  test('is not withdrawn by what goes its way, a minute more or less', () => {
    const run = lostCream()
      .answer('12:30:10', creamAt('12:32'))
      .start('cream.thicken', '12:33')
      .start('shells.bake', '12:35');
    expect(run.clock('12:40')).toMatchObject({ offered: run.offered });
    expect(run.offered).toBeDefined();
  });

  test('that comes too late, or for what is over, or for another plan is refused', () => {
    const run = lostCream();
    const situation = wantsReplan(run.state);
    if (!situation) throw new Error('nothing is wanted');
    const offer = happeningOf(situation, creamAt('12:32'));
    expect(run.try('12:38', offer, 'clock')).toBe(
      'the new timetable comes too late: cream: thicken was to begin at 12:32',
    );
    const other = { ...(offer as Offer), kind: 'proposed', because: 'slips 4' } as const;
    expect(run.try('12:38', other, 'clock')).toBe('what the new timetable was for is over');
    const bare = { ...(offer as Offer), kind: 'proposed', because: situation.key } as const;
    expect(run.try('12:38', { ...bare, timetable: { ...bare.timetable, service: [] } }, 'clock')).toBe(
      'that timetable is not one for this plan',
    );
    expect(run.try('12:38', { kind: 'declined' })).toBe('no new timetable is offered');
  });

  test('a graver situation asks again while an offer stands, and the newer offer takes its place', () => {
    const run = lostCream().answer('12:30:10', creamAt('12:40'));
    const first = run.offered;
    run.start('shells.bake', '12:35').clock('12:42');
    expect([run.wanted, run.offered]).toEqual(['late for service 0', first]);
    run.answer('12:42', creamAt('12:45'));
    expect([run.wanted, run.offered === first]).toEqual([undefined, false]);
  });
});

/** The told timetable with the cream made again from a given time. */
function creamAt(time: string): ReplanResult {
  const { timetable } = SETUP;
  const from = at(time);
  const minute = (count: number) => (from + count * 60_000) as typeof from;
  const times: Record<string, readonly [typeof from, typeof from]> = {
    'cream.thicken': [from, minute(10)],
    'cream.chill': [minute(10), minute(40)],
    'finish.fill': [minute(40), minute(50)],
  };
  const steps = timetable.steps.map((planned) => {
    const [start, end] = times[planned.step] ?? [planned.start, planned.end];
    return { ...planned, start, end };
  });
  return {
    kind: 'proposal',
    timetable: { ...timetable, steps },
    changes: [],
    serviceMoved: [],
    broken: [],
  };
}
