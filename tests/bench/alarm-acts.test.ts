import { describe, expect, test } from 'vitest';
import { minutes, seconds } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy } from '../support/plans.ts';

const BATTER = `
components:
  puffs:
    keeps: 30 min
    steps:
      - beat: { takes: 8-10 min, usually: 9 min, hands: busy }
      - pipe: { takes: 6 min, hands: near, within: 12 min }
`;
/** Batter that was beaten and waits: at 12:18 that becomes an alarm. */
const waiting = (): TestRun =>
  new TestRun(setupBy(BATTER, '13:00', { 'puffs.beat': '12:00-12:09', 'puffs.pipe': '12:09-12:15' }))
    .space('12:00')
    .space('12:09')
    .clock('12:18');

const KEY = 'waits puffs.pipe#1';
const shelved = (length: number, reason = 'the hob is cleaned first') =>
  ({ kind: 'shelved', key: KEY, length: seconds(length), reason }) as const;
const waits = (run: TestRun): string[] => run.alarms.filter((alarm) => alarm.startsWith('waits'));
const rings = (run: TestRun, key: string): number => run.rang.filter((ring) => ring.key === key).length;

describe('set aside', () => {
  test('it does not show, and comes back with a ring when its time is over', () => {
    const run = waiting().do('12:18:30', shelved(60));
    expect(waits(run)).toEqual([]);
    expect(run.state.shelved).toMatchObject([{ kind: 'waits', priority: 'medium', until: at('12:19:30') }]);
    expect(waits(run.clock('12:19:30'))).toEqual(['waits: unacknowledged']);
    expect([run.state.shelved, rings(run, KEY)]).toEqual([[], 2]);
  });

  test('it is taken up again before that, or the setting aside is taken back', () => {
    const again = waiting().do('12:18:30', shelved(120)).do('12:19', { kind: 'unshelved', key: KEY });
    expect(waits(again)).toEqual(['waits: unacknowledged']);
    const back = waiting().do('12:18:30', shelved(120)).do('12:19', { kind: 'undo' });
    expect([waits(back), back.state.shelved]).toEqual([['waits: unacknowledged'], []]);
  });

  test('for two hours at most, a high one for ten minutes, and never without a reason', () => {
    const run = waiting();
    expect(run.try('12:18:30', shelved(7201))).toContain('2 h at most');
    expect(run.try('12:18:30', shelved(0))).toContain('longer than nothing');
    expect(run.try('12:18:30', shelved(60, ' '))).toContain('why it is set aside');
    const [high] = run.clock('12:22').state.alarms;
    const graver = { ...shelved(601), key: high?.key ?? '' };
    expect([high?.priority, run.try('12:22', graver)]).toEqual([
      'high',
      expect.stringContaining('10 min at most'),
    ]);
    expect(run.try('12:22', { ...graver, length: minutes(10) })).toBeUndefined();
    expect(run.try('12:22', { kind: 'unshelved', key: 'nothing' })).toContain('not set aside');
  });
});

test('a kind that is out of service is not raised until it is put back', () => {
  const run = waiting().do('12:18:30', {
    kind: 'out of service',
    alarm: 'waits',
    reason: 'piped from the fridge',
  });
  expect(waits(run)).toEqual([]);
  expect(run.try('12:19', { kind: 'out of service', alarm: 'waits', reason: 'r' })).toContain('already');
  expect(waits(run.do('12:19', { kind: 'in service', alarm: 'waits' }))).toEqual(['waits: unacknowledged']);
  expect(run.try('12:19', { kind: 'in service', alarm: 'waits' })).toContain('in service');
});

describe('quiet', () => {
  const quiet = (length: number) => ({ kind: 'quiet', length: seconds(length) }) as const;

  test('nothing rings, everything shows; when it is over what stands unheard rings once', () => {
    const run = waiting().do('12:18:30', quiet(600));
    const before = run.rang.length;
    run.clock('12:22');
    expect(run.alarms[0]).toBe('waited too long: unacknowledged');
    expect(run.rang).toHaveLength(before);
    run.clock('12:28:30');
    expect(rings(run, 'waited too long puffs.pipe#1')).toBe(1);
    expect(run.state.quietUntil).toBeUndefined();
  });

  test('it can be ended, and what was heard meanwhile stays silent', () => {
    const run = waiting().do('12:18:30', quiet(600)).clock('12:22');
    const key = run.state.alarms[0]?.key ?? '';
    run.do('12:22:10', { kind: 'heard', key }).do('12:22:20', quiet(0));
    expect([rings(run, key), run.state.quietUntil]).toEqual([0, undefined]);
    expect(run.try('12:23', quiet(0))).toBe('it is not quiet');
  });

  test('an hour at most', () => {
    expect(waiting().try('12:18:30', quiet(3601))).toContain('1 h at most');
  });
});

test('a test of the sound rings also while it is quiet, each time', () => {
  const run = waiting().do('12:18:30', { kind: 'quiet', length: minutes(10) });
  const before = run.rang.length;
  run
    .do('12:19', { kind: 'sound test', priority: 'high' })
    .do('12:19', { kind: 'sound test', priority: 'low' });
  const rang = run.rang.slice(before);
  expect(rang.map(({ priority }) => priority)).toEqual(['high', 'low']);
  expect(new Set(rang.map(({ key }) => key)).size).toBe(2);
});
