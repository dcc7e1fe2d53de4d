import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { standingAlarms, type StandingAlarms } from '../../src/bench/alarm-life.ts';
import { priorityOf } from '../../src/bench/alarm-table.ts';
import type { WantedAlarm } from '../../src/bench/alarms.ts';
import type { AlarmKind, Priority } from '../../src/bench/index.ts';
import { watchAt } from '../../src/bench/watch.ts';
import { componentId } from '../../src/plan/index.ts';
import { epochMs, plus, secondsBetween, type EpochMs } from '../../src/units/index.ts';

const START = epochMs(0);

/** A cause that stands: its kind, and of which component it is. */
const cause = (kind: AlarmKind, component = 'cream', priority: Priority = priorityOf(kind)): WantedAlarm => ({
  key: `${kind} ${component}`,
  kind,
  component: componentId(component),
  cause: 'c',
  consequence: 'c',
  action: 'a',
  priority,
});

/** Alarms under causes that come and go at moments in seconds, with a look at every moment that one of them asked for. */
class Life {
  stands: Omit<StandingAlarms, 'effects'> = {
    alarms: [],
    arising: {},
    lately: [],
    shelved: [],
    outOfService: [],
  };
  /** Second and key of every ring. */
  readonly rang: string[] = [];
  readonly hushed: string[] = [];
  private wanted: readonly WantedAlarm[] = [];
  private next: EpochMs | undefined;

  /** From that second on these causes stand. */
  at(second: number, ...wanted: readonly WantedAlarm[]): this {
    this.until(second);
    this.wanted = wanted;
    return this.look(plus(START, second));
  }

  /** Time comes to that second. */
  until(second: number): this {
    const end = plus(START, second);
    while (this.next !== undefined && this.next <= end) this.look(this.next);
    return this;
  }

  hear(): this {
    const alarms = this.stands.alarms.map((alarm) => ({ ...alarm, state: 'heard' as const }));
    this.stands = { ...this.stands, alarms };
    return this;
  }

  get shown(): string[] {
    return this.stands.alarms.map(
      ({ key, state, firstOut }) => `${key}: ${state}${firstOut ? ', first' : ''}`,
    );
  }

  private look(now: EpochMs): this {
    const watch = watchAt(now);
    const { effects, ...stands } = standingAlarms(
      this.stands,
      this.wanted,
      (key, priority, text) => ({ kind: 'ring', key, nth: 1, priority, text }),
      watch,
    );
    for (const effect of effects) {
      const line = `${secondsBetween(START, now)} ${effect.key}`;
      if (effect.kind === 'ring') this.rang.push(line);
      else this.hushed.push(line);
    }
    this.stands = stands;
    this.next = watch.next();
    return this;
  }
}

const waits = cause('waits');
const clash = cause('oven clash');

describe('raised and over', () => {
  test('what is there rings at once, what is foreseen once it has been for a minute', () => {
    const life = new Life().at(0, waits, clash).until(59);
    expect(life.shown).toEqual(['waits cream: unacknowledged']);
    expect(life.until(60).rang).toEqual(['0 waits cream', '60 oven clash cream']);
  });

  test('what is foreseen for less than a minute is never raised', () => {
    expect(new Life().at(0, clash).at(50).at(55, clash).at(100).until(500).rang).toEqual([]);
  });

  test('unheard, it stays in sight for two minutes after it is over; heard, it is gone', () => {
    expect(new Life().at(0, waits).at(10).until(129).shown).toEqual(['waits cream: returned']);
    expect(new Life().at(0, waits).at(10).until(130).shown).toEqual([]);
    const heard = new Life().at(0, waits).hear().at(10);
    expect([heard.shown, heard.hushed]).toEqual([[], ['10 waits cream']]);
  });

  test('what was foreseen must be gone for a minute to be over', () => {
    const life = new Life().at(0, clash).at(100).until(159);
    expect(life.shown).toEqual(['oven clash cream: unacknowledged']);
    expect(life.until(160).shown).toEqual(['oven clash cream: returned']);
  });
});

describe('no chatter', () => {
  test('heard, over, and back within the minute: shown again as heard, without a ring', () => {
    const life = new Life().at(0, waits).hear().at(300).at(340, waits).until(900);
    expect([life.rang, life.shown]).toEqual([['0 waits cream'], ['waits cream: heard']]);
  });

  test('back after more than a minute, it is new', () => {
    expect(new Life().at(0, waits).hear().at(300).at(361, waits).rang).toHaveLength(2);
  });

  test('unheard, over, and back within the minute: it rings only if it then stands for a minute', () => {
    const life = new Life().at(0, waits).at(300).at(340, waits);
    expect(life.shown).toEqual(['waits cream: unacknowledged']);
    expect(life.until(1000).rang).toEqual(['0 waits cream', '400 waits cream']);
  });

  test('what comes and goes every twenty seconds rings once', () => {
    const life = new Life();
    for (let second = 0; second < 900; second += 40) life.at(second, waits).at(second + 20);
    expect(life.until(2000).rang).toEqual(['0 waits cream']);
  });

  test('graver, it rings again, and not within a minute of the ring before', () => {
    const [low, medium] = [cause('keeps', 'cream', 'low'), cause('keeps', 'cream', 'medium')];
    const life = new Life().at(0, low).until(60).hear().at(70, medium);
    expect(life.shown).toEqual(['keeps cream: unacknowledged']);
    expect(life.until(300).rang).toEqual(['60 keeps cream', '120 keeps cream']);
    expect(new Life().at(0, medium).until(60).hear().at(70, low).until(300).rang).toHaveLength(1);
  });

  test('whatever comes and goes, no alarm rings twice within a minute', () => {
    const moment = fc.record({
      after: fc.integer({ min: 1, max: 90 }),
      wanted: fc.subarray([waits, clash, cause('keeps', 'cream', 'low'), cause('door opened early')]),
      graver: fc.boolean(),
      isHeard: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(moment, { maxLength: 25 }), (moments) => {
        const life = new Life();
        let now = 0;
        for (const { after, wanted, graver, isHeard } of moments) {
          now += after;
          life.at(now, ...wanted.map((each) => (graver ? { ...each, priority: 'high' as const } : each)));
          if (isHeard) life.hear();
        }
        const last = new Map<string, number>();
        for (const line of life.until(now + 600).rang) {
          const [second = '', ...key] = line.split(' ');
          expect(Number(second) - (last.get(key.join(' ')) ?? -Infinity)).toBeGreaterThanOrEqual(60);
          last.set(key.join(' '), Number(second));
        }
      }),
      { seed: 4, numRuns: 300 },
    );
  });
});

test('what still stands after half an hour, one, two rings again, where more than a little is at stake', () => {
  const life = new Life().at(0, waits, cause('runs over')).hear().until(1799);
  expect(life.shown).toEqual(['waits cream: heard', 'runs over cream: heard']);
  expect(life.until(8000).rang).toEqual([
    '0 waits cream',
    '0 runs over cream',
    '1800 waits cream',
    '3600 waits cream',
    '7200 waits cream',
  ]);
});

describe('left out by design', () => {
  test('a consequence while its cause stands for the same component, and not for another', () => {
    const [graver, other] = [cause('waited too long'), cause('waits', 'lids')];
    expect(new Life().at(0, waits, graver, other).shown).toEqual([
      'waited too long cream: unacknowledged',
      'waits lids: unacknowledged',
    ]);
  });

  test('but not under a cause that is out of service, and does not show itself', () => {
    const life = new Life();
    life.stands = { ...life.stands, outOfService: [{ kind: 'probe', since: START, reason: 'r' }] };
    expect(life.at(0, cause('probe'), cause('runs over')).shown).toEqual(['runs over cream: unacknowledged']);
  });
});

describe('set aside', () => {
  const aside = (alarm: WantedAlarm, until: number): Life => {
    const life = new Life().at(0, alarm).until(100);
    const { key, kind, priority } = alarm;
    const entry = { key, kind, cause: 'c', priority, until: plus(START, until), reason: 'r' };
    life.stands = { ...life.stands, shelved: [entry] };
    return life.at(100, alarm);
  };

  test('it neither shows nor rings until its time is over, and then rings at once', () => {
    const life = aside(clash, 700);
    expect([life.shown, life.hushed]).toEqual([[], ['100 oven clash cream']]);
    expect(life.until(699).shown).toEqual([]);
    expect(life.until(700).rang).toEqual(['60 oven clash cream', '700 oven clash cream']);
    expect(life.stands.shelved).toEqual([]);
  });

  test('over meanwhile, it does not come back', () => {
    expect(aside(waits, 700).at(200).until(1000).shown).toEqual([]);
  });

  test('graver than it was, it comes back at once', () => {
    const low = cause('keeps', 'cream', 'low');
    expect(aside(low, 700).at(200, { ...low, priority: 'medium' }).shown).toEqual([
      'keeps cream: unacknowledged',
    ]);
  });
});

describe('first out', () => {
  const [first, second, third] = [waits, cause('waits', 'lids'), cause('waits', 'shells')];

  test('the first of those that follow each other within a minute is marked, and only that one', () => {
    const life = new Life().at(0, first).at(20, first, second).at(40, first, second, third);
    expect(life.shown.filter((line) => line.endsWith('first'))).toEqual([
      'waits cream: unacknowledged, first',
    ]);
  });

  test('alone, or with more than a minute between them, none is', () => {
    const life = new Life().at(0, first).at(61, first, second);
    expect(life.shown.filter((line) => line.endsWith('first'))).toEqual([]);
  });
});
