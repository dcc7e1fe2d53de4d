import { describe, expect, test } from 'vitest';
import {
  createRehearsal,
  LIFELIKE,
  missedIn,
  rehearseToEnd,
  type Fault,
  type Missed,
} from '../../src/rehearsal/index.ts';
import { componentId, stepId } from '../../src/plan/index.ts';
import { minutes, plus, seconds, secondsBetween } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy } from '../support/plans.ts';
import { id, NOON, smallRun } from './small-run.ts';

/* What a cook missed: from whole rehearsals with a fault, and from runs that are written out press by press. */

/** What was missed in a rehearsal of the small run. */
function missed(seed: number, faults: readonly Fault[] = []): Missed {
  const { state } = rehearseToEnd(smallRun, seed, { faults });
  const truth = createRehearsal({ workload: smallRun.workload, seed, faults });
  return missedIn(state, () => truth);
}

describe('a rehearsal', () => {
  test('in which the cook is prompt and nothing goes wrong: nothing, whatever the luck', () => {
    for (let seed = 1; seed <= 6; seed += 1) {
      const { late, early, windows, doors, leftOut, services } = missed(seed);
      expect({ late, early, windows, doors, leftOut, late0: services[0]?.late }).toEqual({
        late: [],
        early: [],
        windows: [],
        doors: [],
        leftOut: [],
        late0: 0,
      });
    }
  });

  test('in which a cream is cold late: nobody is to blame who waits for its probe', () => {
    const setup = setupBy(
      `
components:
  cream:
    steps:
      - cook: { takes: 8-12 min, usually: 10 min, hands: busy }
      - chill: { rest: 30 min - 3 h, within: 5 min, until: { probe: cream, falls to: 5 C } }
      - fill: { takes: 10 min, hands: busy }
`,
      '13:00',
      { 'cream.cook': '12:00-12:10', 'cream.chill': '12:10-12:40', 'cream.fill': '12:40-12:50' },
    );
    const life = { ...LIFELIKE, forgets: 0 };
    const longest = [1, 2, 3, 4, 5, 6].map((seed) => {
      const { state } = rehearseToEnd(setup, seed, { life });
      const truth = createRehearsal({ workload: setup.workload, seed, life });
      expect(missedIn(state, () => truth).late).toEqual([]);
      const chilled = state.components[0]?.steps[1];
      return chilled?.state === 'ended' ? secondsBetween(chilled.startedAt, chilled.endedAt) : NaN;
    });
    expect(Math.max(...longest)).toBeGreaterThan(minutes(33));
  });

  test('with a start forgotten for 20 minutes: how late it was, and what that cost', () => {
    const found = missed(1, [{ kind: 'forgets', step: id('cream.cook'), by: minutes(20) }]);
    const [first] = found.late;
    expect(found.late).toHaveLength(1);
    expect(first).toMatchObject({ asks: 'start', due: plus(NOON, 120) });
    expect(first?.late).toBeGreaterThanOrEqual(1202);
    expect(first?.late).toBeLessThanOrEqual(1220);
    // The cream was to lie in the cold for much longer than it must: most of it costs nothing.
    expect(first?.cost).toBe(149);
    expect(found.practise).toContain('begin what is called at once: late once, at most 20 min');
  });

  test('with a door opened while it had to stay shut', () => {
    const { state } = rehearseToEnd(smallRun, 1);
    const bake = state.history.find((event) => event.kind === 'start' && event.step === id('buns.bake'));
    const early: Fault = { kind: 'door opened early', oven: 'oven', at: plus(bake?.time ?? NOON, 120) };
    const { doors } = missed(1, [early]);
    expect(doors.map(({ oven, at: when }) => [oven, when])).toEqual([['oven', early.at]]);
    expect(doors[0]?.by).toBeGreaterThan(60);
  });
});

const PLAN = `
components:
  cream:
    steps:
      - cook: { takes: 8-12 min, usually: 10 min, hands: busy }
      - chill: { rest: 30 min - 3 h, within: 5 min }
  finish:
    steps:
      - fill: { takes: 10 min, hands: busy, needs: [cream] }
`;
const SETUP = setupBy(PLAN, '13:30', {
  'cream.cook': '12:00-12:10',
  'cream.chill': '12:10-13:10',
  'finish.fill': '13:10-13:20',
});
const [cook, chill] = ['cook', 'chill'].map((name) => stepId(componentId('cream'), name));
if (!cook || !chill) throw new Error('steps are missing');

/** The cream truly looks done ten minutes after it was begun; so is everything else. */
const ten = createRehearsal({
  workload: SETUP.workload,
  seed: 1,
  nature: { duration: () => minutes(10) },
});
const inRun = (run: TestRun): Missed => missedIn(run.state, () => ten);
const begun = (): TestRun =>
  new TestRun(SETUP).clock('12:00').do('12:00', { kind: 'start', step: cook, at: at('12:00') });

describe('a cook', () => {
  test('who calls a step done too early', () => {
    const run = begun()
      .clock('12:08')
      .do('12:08', { kind: 'done', step: cook, at: at('12:08') });
    expect(inRun(run).early).toEqual([{ step: cook, at: at('12:08'), by: 120 }]);
    expect(inRun(run).practise).toBe(
      'wait until it is so: cream: cook was called done 2 min before it looked it',
    );
    run.do('12:09', { kind: 'undo' });
    expect(inRun(run).early).toEqual([]);
  });

  test('who sees late that it is done: counted from when it looked done, not from when it was usual', () => {
    const run = begun().clock('12:10').clock('12:13');
    run.do('12:14', { kind: 'done', step: cook, at: at('12:14') });
    expect(inRun(run).late).toMatchObject([
      { asks: 'done', due: at('12:10'), answeredAt: at('12:14'), late: 240, cost: 0 },
    ]);
  });

  test('what it cost is by how much later all is ready, not how late the press was', () => {
    const run = begun().clock('12:10').clock('12:30').clock('12:49');
    run.do('12:50', { kind: 'done', step: cook, at: at('12:50') });
    const [first] = inRun(run).late;
    expect(first?.late).toBe(2400);
    // Chilled from 12:50 for half an hour at least: ten minutes later than the 13:10 that was told, but for a prompt cook's seconds.
    expect(first?.cost).toBeGreaterThan(570);
    expect(first?.cost).toBeLessThan(640);
  });

  test('who has not said yet that it is done: counted from when it looked done, and with what it cost', () => {
    const run = begun().clock('12:10').clock('12:13');
    const late = createRehearsal({
      workload: SETUP.workload,
      seed: 1,
      nature: { duration: () => minutes(11) },
    });
    expect(missedIn(run.state, () => late).late).toMatchObject([
      { asks: 'done', due: at('12:11'), late: 120, cost: 0 },
    ]);
  });

  test('who dates the press back was not late', () => {
    const run = begun().clock('12:10').clock('12:13');
    run.do('12:14', { kind: 'done', step: cook, at: at('12:10') });
    expect(inRun(run).late).toEqual([]);
  });

  test('who lets a window pass, and leaves while a call stands', () => {
    const run = begun()
      .clock('12:10')
      .do('12:10', { kind: 'done', step: cook, at: at('12:10') });
    run.clock('12:11').clock('12:16').clock('12:20');
    const found = inRun(run);
    expect(found.windows).toEqual([
      { kind: 'within', words: 'cream: chill may wait 5 min after cook', by: 300, isOpen: true },
    ]);
    expect(found.late).toMatchObject([{ asks: 'start', due: at('12:10'), late: 600 }]);
    expect(found.late[0]).not.toHaveProperty('answeredAt');
    expect(found.services).toEqual([{ plan: 0, service: at('13:30') }]);
    expect(found.alarms.map(({ kind, how }) => [kind, how])).toContainEqual(['waited too long', 'standing']);
    expect(found.practise).toContain('keep this window: cream: chill may wait 5 min after cook');
  });

  test('who hears an alarm, or does what it asks for', () => {
    const run = begun()
      .clock('12:10')
      .do('12:10', { kind: 'done', step: cook, at: at('12:10') });
    run.clock('12:14');
    const [alarm] = run.state.alarms;
    if (!alarm) throw new Error('no alarm');
    const heard = inRun(run.do('12:14:30', { kind: 'heard', key: alarm.key })).alarms;
    expect(heard).toContainEqual(expect.objectContaining({ kind: alarm.kind, how: 'heard' }));
    const seconds_ = heard[0]?.after ?? seconds(0);
    run.do('12:15', { kind: 'start', step: chill, at: at('12:15') });
    expect(inRun(run).alarms[0]?.after).toBe(seconds_);
  });
});

test('what it costs is known also where a probe has to say that a step is over', () => {
  const setup = setupBy(
    `
components:
  cream:
    steps:
      - cook: { takes: 10 min, hands: busy }
      - ice: { takes: 10-20 min, until: { probe: cream, falls to: 21 C } }
`,
    '13:00',
    { 'cream.cook': '12:00-12:10', 'cream.ice': '12:10-12:25' },
  );
  const truth = createRehearsal({ workload: setup.workload, seed: 1, probes: 'once' });
  const run = new TestRun(setup).clock('12:00').clock('12:05');
  run.do('12:05', { kind: 'start', step: cook, at: at('12:05') });
  const { late } = missedIn(run.state, () => truth);
  expect(late).toMatchObject([{ asks: 'start', late: 300, cost: 300 }]);
});

test('service that was moved is told with what it was first', () => {
  const run = begun().do('12:05', { kind: 'service moved', plan: 0, to: at('13:20') });
  expect(inRun(run).services).toEqual([{ plan: 0, service: at('13:20'), first: at('13:30') }]);
});
