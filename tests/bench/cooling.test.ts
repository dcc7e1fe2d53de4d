import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { coolingViewOf, type Happening, type RunSetup } from '../../src/bench/index.ts';
import type { ComponentId, StepId } from '../../src/plan/index.ts';
import { coolingRecord, coolingRecordText } from '../../src/sheet/index.ts';
import { plus, temperatureOf, type EpochMs } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy } from '../support/plans.ts';

const CREAM = `
components:
  cream:
    cooling: cooked
    steps:
      - thicken: { takes: 5-15 min, hands: busy, uses: [hob, saucepan], until: { cue: a clean track } }
      - cool:    { takes: 30 min - 2 h, until: { probe: cream, falls to: 21 C } }
      - chill:   { rest: 1-20 h, uses: [fridge shelf], until: { probe: cream, falls to: 5 C } }
  buns:
    steps:
      - fill: { takes: 20 min, hands: busy, needs: [cream] }
`;

/** A run of the cream at noon in a kitchen with these rules. */
function cream(rules?: string, plan = CREAM): TestRun {
  const setup = setupBy(plan, '23:00', {
    'cream.thicken': '12:00-12:10',
    'cream.cool': '12:10-13:30',
    'cream.chill': '13:30-21:00',
    'buns.fill': '22:00-22:20',
  });
  return new TestRun(inKitchen(setup, rules));
}

function inKitchen(setup: RunSetup, rules?: string): RunSetup {
  const { kitchen, ...rest } = setup.workload;
  return {
    ...setup,
    workload: { ...rest, kitchen: { ...kitchen, ...(rules === undefined ? {} : { rules }) } },
  };
}

const reads = (figure: number) =>
  ({ kind: 'reading', probe: 'cream', temperature: temperatureOf(figure, 'C') }) as const;
const start = (step: string, clock: string): Happening => ({
  kind: 'start',
  step: step as StepId,
  at: at(clock),
});
const done = (step: string, clock: string): Happening => ({
  kind: 'done',
  step: step as StepId,
  at: at(clock),
});

/** Off the heat at 12:10, and on its way to 21 C. */
const offTheHeat = (rules?: string): TestRun =>
  cream(rules)
    .do('12:00', start('cream.thicken', '12:00'))
    .do('12:10', done('cream.thicken', '12:10'))
    .do('12:11', start('cream.cool', '12:11'));

const clocks = (run: TestRun): string[] =>
  coolingViewOf(run.state, run.state.time).components.flatMap(({ name, clocks: all }) =>
    all.map(({ words, state, isAssumed, isClose }) =>
      [`${name}, ${words}: ${state}`, isAssumed ? 'assumed' : '', isClose ? 'close' : '']
        .filter(Boolean)
        .join(', '),
    ),
  );
const coolingAlarmsOf = (run: TestRun): string[] => run.alarms.filter((alarm) => alarm.startsWith('cooling'));

describe('cooling clocks', () => {
  test('nothing runs while it is on the heat, and nothing at all before it was cooked', () => {
    const run = cream('us food code');
    expect(clocks(run)).toEqual([]);
    run.do('12:00', start('cream.thicken', '12:00')).do('12:08', reads(96));
    expect(clocks(run)).toEqual([]);
  });

  test('without a reading they are assumed to run from where it left the heat', () => {
    expect(clocks(offTheHeat('us food code'))).toEqual([
      'cream, 57 to 21 C within 2 h: running, assumed',
      'cream, 57 to 5 C within 6 h: running, assumed',
    ]);
  });

  test('a reading above where they start stops them from starting, and dates their start', () => {
    const run = offTheHeat('us food code').do('12:12', reads(80));
    expect(clocks(run)).toEqual([
      'cream, 57 to 21 C within 2 h: not started',
      'cream, 57 to 5 C within 6 h: not started',
    ]);
    run.do('12:30', reads(58)).do('12:32', reads(56));
    const [component] = coolingViewOf(run.state, at('12:32')).components;
    expect(component?.clocks.map(({ startedAt, by }) => [startedAt, by])).toEqual([
      [at('12:30'), at('14:30')],
      [at('12:30'), at('18:30')],
    ]);
  });

  test('a reading taken on the heat shortly before says at what it left it', () => {
    const run = cream('us food code')
      .do('12:00', start('cream.thicken', '12:00'))
      .do('12:09', reads(96))
      .do('12:10', done('cream.thicken', '12:10'))
      .do('12:20', reads(50));
    const [component] = coolingViewOf(run.state, at('12:20')).components;
    expect(component?.clocks[0]).toMatchObject({ state: 'running', startedAt: at('12:10') });
    expect(component?.clocks[0]?.isAssumed).toBeUndefined();
  });

  test('only a reading in time meets a limit, and one at the limit does', () => {
    const met = offTheHeat('us food code')
      .do('12:11', reads(58))
      .do('12:12', reads(56))
      .do('14:11', reads(21));
    expect(clocks(met)[0]).toBe('cream, 57 to 21 C within 2 h: met');
    const late = offTheHeat('us food code')
      .do('12:11', reads(58))
      .do('12:12', reads(56))
      .do('14:11:01', reads(21));
    expect(clocks(late)[0]).toBe('cream, 57 to 21 C within 2 h: passed');
  });

  test('a missed limit says the rule and points to the own plan, and never passes a verdict on the food', () => {
    const run = offTheHeat('us food code').do('12:12', reads(50)).do('14:00', reads(25)).clock('14:30');
    const [component] = coolingViewOf(run.state, at('14:30')).components;
    expect(component?.clocks[0]?.says).toBe(
      'US Food Code 3-501.14 wants 57 to 21 C within 2 h, and no reading in that time shows it: follow your own food-safety plan',
    );
  });

  test('with none chosen there is a reading, no clock and no alarm', () => {
    const run = offTheHeat().do('12:12', reads(50)).clock('22:00');
    const view = coolingViewOf(run.state, at('22:00'));
    expect(view.rules).toBeUndefined();
    expect(view.components[0]).toMatchObject({ reading: { at: at('12:12'), celsius: 50 }, clocks: [] });
    expect(coolingAlarmsOf(run)).toEqual([]);
  });

  test('it begins anew when it is made again', () => {
    const run = offTheHeat('us food code').do('12:12', reads(50)).clock('14:30');
    run.do('14:31', { kind: 'lost', component: 'cream' as ComponentId });
    expect(clocks(run)).toEqual([]);
    run.do('14:40', start('cream.thicken', '14:40')).do('14:50', done('cream.thicken', '14:50'));
    expect(clocks(run)[0]).toBe('cream, 57 to 21 C within 2 h: running, assumed');
    expect(coolingRecord(run.state)?.components.map(({ attempt, lost }) => [attempt, lost])).toEqual([
      [1, true],
      [2, false],
    ]);
  });

  test('cooked food that no step heats begins with its first reading once work on it has begun', () => {
    const run = cream('us food code', CREAM.replace('uses: [hob, saucepan]', 'uses: [saucepan]'));
    run.do('12:00', reads(20)).do('12:02', start('cream.thicken', '12:02'));
    expect(coolingViewOf(run.state, at('12:02')).components[0]?.reading).toBeUndefined();
    run.do('12:07', reads(50));
    expect(coolingViewOf(run.state, at('12:07')).components[0]?.since).toBe(at('12:07'));
  });

  test('undoing the press that began it takes its clocks back', () => {
    const run = offTheHeat('us food code');
    run.do('12:12', { kind: 'undo' }).do('12:12', { kind: 'undo' });
    expect(clocks(run)).toEqual([]);
  });
});

describe('cooling alarms', () => {
  test('a tenth of the time before a limit, with what helps', () => {
    const run = offTheHeat('us food code').do('12:12', reads(50)).do('13:40', reads(30)).clock('13:57');
    expect(coolingAlarmsOf(run)).toEqual([]);
    // A minute's delay of what is foreseen on top of 13:58.
    run.clock('13:59:01');
    expect(run.state.alarms.find(({ kind }) => kind === 'cooling')).toMatchObject({
      by: at('14:10'),
      priority: 'medium',
      cause: 'cream is to be read at 21 C or less by 14:10, and it read 30 C at 13:40',
      action: expect.stringContaining('in an ice bath'),
    });
  });

  test('predicted too late in the fridge, it is told hours before the limit', () => {
    const run = offTheHeat('us food code')
      .do('12:12', reads(56), 'cook')
      .do('12:13', done('cream.cool', '12:13'));
    run.do('12:14', start('cream.chill', '12:14'));
    for (let minute = 14; minute <= 59; minute += 1)
      run.do(at(`12:${minute}`), reads(4 + 52 * Math.exp(-(minute - 14) / 240)), 'probe');
    run.clock('13:02');
    expect(run.state.alarms.find(({ kind }) => kind === 'cooling')).toMatchObject({
      by: at('14:10'),
      cause: expect.stringMatching(
        /^cream is to be read at 21 C or less by 14:10, and as it goes that is about 1[67]:/,
      ),
      action: expect.stringMatching(/^cool it faster: in an ice bath, .* instead of /),
    });
  });

  test('one that comes in time raises nothing', () => {
    const run = offTheHeat('us food code').do('12:12', reads(57)).do('12:13', done('cream.cool', '12:13'));
    run.do('12:14', start('cream.chill', '12:14'));
    for (let minute = 14; minute < 110; minute += 1) {
      const clock = `${12 + Math.floor(minute / 60)}:${String(minute % 60).padStart(2, '0')}`;
      run.do(at(clock), reads(4 + 53 * Math.exp(-(minute - 14) / 70)), 'probe');
    }
    expect(coolingAlarmsOf(run)).toEqual([]);
    expect(clocks(run)[0]).toBe('cream, 57 to 21 C within 2 h: met');
  });

  test('what should be cold in time is to be read again where its readings have ended', () => {
    const run = offTheHeat('us food code').do('12:12', reads(57)).do('12:13', done('cream.cool', '12:13'));
    run.do('12:14', start('cream.chill', '12:14'));
    for (let minute = 14; minute < 60; minute += 1)
      run.do(at(`12:${minute}`), reads(4 + 53 * Math.exp(-(minute - 14) / 70)), 'probe');
    run.clock('13:50');
    expect(coolingAlarmsOf(run)).toEqual([]);
    // A tenth of two hours before 14:14, and the delay of what is foreseen.
    run.clock('14:03:30');
    expect(run.state.alarms.find(({ kind }) => kind === 'cooling')).toMatchObject({
      by: at('14:14'),
      priority: 'low',
      action: 'read it again, as the probe cream',
    });
    // What is foreseen goes after a minute too.
    run.do('14:05', reads(17), 'cook').clock('14:06:30');
    expect(coolingAlarmsOf(run)).toEqual(['cooling: returned']);
  });

  test('the second stage has its alarms where the first was read right at its end', () => {
    const run = offTheHeat('australia')
      .do('12:12', reads(70))
      .do('13:12', reads(50))
      .do('14:00', reads(21))
      .clock('18:01');
    expect(clocks(run)).toEqual(['cream, 60 to 21 C within 2 h: met', 'cream, 21 to 5 C within 4 h: passed']);
    expect(run.state.alarms.find(({ kind }) => kind === 'cooling limit passed')).toMatchObject({
      cause: 'cream was to be at 5 C by 18:00, and read 21 C at 14:00',
    });
  });

  test('a limit that is over without a reading in time, until a reading is as cold at last', () => {
    const run = offTheHeat('us food code').do('12:12', reads(50)).do('14:05', reads(25)).clock('14:10:01');
    expect(run.state.alarms[0]).toMatchObject({
      kind: 'cooling limit passed',
      priority: 'high',
      cause: 'cream was to be at 21 C by 14:10, and read 25 C at 14:05',
      action: expect.stringContaining('follow your own food-safety plan'),
    });
    expect(coolingAlarmsOf(run.do('14:30', reads(20.5)))).toEqual(['cooling limit passed: returned']);
    expect(clocks(run)[0]).toBe('cream, 57 to 21 C within 2 h: passed, assumed');
  });

  test('where nothing was ever read it is one quiet question, and no verdict', () => {
    const run = offTheHeat('us food code').clock('15:00');
    expect(run.state.alarms.filter(({ kind }) => kind.startsWith('cooling'))).toMatchObject([
      { kind: 'cooling', priority: 'low', consequence: expect.stringContaining('is not known') },
    ]);
  });

  test('what is used up raises none any more', () => {
    const run = offTheHeat('us food code').do('12:12', reads(50)).do('13:00', done('cream.cool', '13:00'));
    run
      .do('13:00', start('cream.chill', '13:00'))
      .do('13:20', { kind: 'skip', step: 'cream.chill' as StepId });
    run.do('13:30', start('buns.fill', '13:30')).clock('15:00');
    expect(run.stepState('buns.fill')).toBe('ended');
    expect(coolingAlarmsOf(run)).toEqual([]);
  });
});

describe('time out of the cold', () => {
  /** Cold from 14:00 to 15:00, then out. */
  const out = (rules: string): TestRun =>
    offTheHeat(rules)
      .do('12:12', reads(50))
      .do('13:30', reads(20))
      .do('14:00', start('cream.chill', '14:00'))
      .do('14:50', reads(4))
      .do('15:00', done('cream.chill', '15:00'));
  const total = (run: TestRun, clock: string): number | undefined =>
    coolingViewOf(run.state, at(clock)).components[0]?.out?.total;

  test('counts from where the cook took it out of the cold', () => {
    const run = out('australia');
    expect(total(run, '15:00')).toBe(0);
    expect(total(run, '16:30')).toBe(5400);
  });

  test('is told before each limit, and once the last is over', () => {
    const run = out('australia').clock('16:49:30');
    const kinds = (): string[] =>
      run.state.alarms
        .filter(({ key, state }) => key.includes('out') && state !== 'returned')
        .map(({ kind }) => kind);
    expect(kinds()).toEqual(['cooling']);
    expect(run.state.alarms.find(({ key }) => key.includes('out'))).toMatchObject({ by: at('17:00') });
    run.clock('19:01:30');
    expect(kinds()).toEqual(['cooling limit passed']);
  });

  test('says nothing where the rules say nothing of it', () => {
    expect(total(out('france'), '18:00')).toBeUndefined();
  });
});

describe('the record', () => {
  test('prints each clock with its start, the reading that met it or did not, and the caution', () => {
    const run = offTheHeat('us food code')
      .do('12:20', reads(60))
      .do('12:24', reads(55))
      .do('13:54', reads(20.4))
      .clock('18:30');
    expect(coolingRecordText(run.state)).toEqual([
      'cooling, by US Food Code 3-501.14 (United States; as adopted by Delaware (2014/2024), Wisconsin (2020) and Minnesota (2019))',
      '  cream (probe cream), since 12:10, with thicken',
      '    57 to 21 C within 2 h  met: 20.4 C read at 13:54, 1 h 34 after its start; from 12:20 (60 C)',
      '    57 to 5 C within 6 h   not met by 18:20: no reading at or below 5 C, the last 20.4 C at 13:54; from 12:20 (60 C)',
      '    read 60 C at 12:20, 55 C at 12:24, 20.4 C at 13:54',
      expect.stringContaining('Your local food code'),
    ]);
    expect(coolingRecord(run.state)?.components[0]?.clocks).toMatchObject([
      { figure: 'met', startedBy: 'reading', reading: { celsius: 20.4 } },
      { figure: 'not met', startedBy: 'reading', reading: null },
    ]);
  });

  test('without rules it is measurements alone', () => {
    const lines = coolingRecordText(offTheHeat('none chosen').do('12:20', reads(60)).state);
    expect(lines[0]).toBe('cooling, as measured (no rules are chosen, so nothing is held to any)');
    expect(lines.join(' ')).not.toMatch(/\bmet:|not met/);
  });

  test('is nothing where no cooling is watched', () => {
    const run = cream('us food code', CREAM.replace('    cooling: cooked\n', ''));
    expect(coolingRecord(run.state)).toBeUndefined();
    expect(coolingRecordText(run.state)).toEqual([]);
  });

  test.each([
    'us food code',
    'australia',
    'france',
    'ireland',
    'canada',
    'hong kong',
    'uk guidance',
    'none chosen',
  ])('never calls food safe, by %s', (rules) => {
    const run = offTheHeat(rules)
      .do('12:12', reads(64))
      .do('12:14', reads(50))
      .do('13:00', reads(9))
      .clock('20:00');
    const words = JSON.stringify([
      coolingViewOf(run.state, at('20:00')),
      coolingRecord(run.state),
      coolingRecordText(run.state),
      run.state.alarms,
    ]);
    expect(words.replaceAll(/food-safety plan|Food Safety(?: Authority)?/g, '')).not.toMatch(/\bsafe/i);
  });
});

describe('laws', () => {
  const readings = fc
    .array(fc.tuple(fc.integer({ min: 11, max: 600 }), fc.double({ min: 0, max: 70, noNaN: true })), {
      maxLength: 8,
    })
    .map((all) => all.toSorted(([a], [b]) => a - b));
  const moment = (minute: number): EpochMs => plus(at('12:00'), minute * 60);
  const rules = fc.constantFrom('us food code', 'australia', 'ireland', 'none chosen');

  test('looking more often changes neither clocks nor alarms', () => {
    fc.assert(
      fc.property(
        rules,
        readings,
        fc.array(fc.integer({ min: 11, max: 620 }), { maxLength: 8 }),
        (name, all, looks) => {
          const after = (more: readonly number[]): TestRun => {
            const run = offTheHeat(name);
            const acts = [
              ...all.map(([minute, figure]) => ({
                minute,
                act: () => run.do(moment(minute), reads(figure)),
              })),
              ...more.map((minute) => ({ minute, act: () => run.clock(moment(minute)) })),
            ];
            for (const { act } of acts.toSorted((a, b) => a.minute - b.minute)) act();
            return run.clock(moment(640));
          };
          const [once, often] = [after([]), after(looks)];
          expect(often.state.cooling).toEqual(once.state.cooling);
          expect(often.state.alarms).toEqual(once.state.alarms);
          expect(often.rang.length).toBe(once.rang.length);
        },
      ),
      { numRuns: 40 },
    );
  });

  test('a limit is met on the board only if somebody read it so cold in its time', () => {
    fc.assert(
      fc.property(rules, readings, (name, all) => {
        const run = offTheHeat(name);
        for (const [minute, figure] of all) run.do(moment(minute), reads(figure));
        for (const { clocks: shown } of coolingViewOf(run.state, moment(640)).components) {
          for (const { state, to, by = 0, startedAt = Infinity } of shown) {
            const inTime = all.some(
              ([minute, figure]) => figure <= to && moment(minute) <= by && moment(minute) >= startedAt,
            );
            expect(state !== 'met' || inTime).toBe(true);
          }
        }
      }),
      { numRuns: 60 },
    );
  });

  test('where no rules are chosen there is never a cooling alarm', () => {
    fc.assert(
      fc.property(readings, (all) => {
        const run = offTheHeat('none chosen');
        for (const [minute, figure] of all) run.do(moment(minute), reads(figure));
        run.clock(moment(640));
        expect(run.rang.filter(({ key }) => key.includes('cooling'))).toEqual([]);
      }),
      { numRuns: 30 },
    );
  });
});
