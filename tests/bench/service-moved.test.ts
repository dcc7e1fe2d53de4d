import { expect, test } from 'vitest';
import {
  ifServiceMoved,
  progressOf,
  project,
  undoable,
  wantsReplan,
  type ServiceMove,
} from '../../src/bench/index.ts';
import { replan, type Timetable } from '../../src/planner/index.ts';
import { componentId, stepId } from '../../src/plan/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy } from '../support/plans.ts';

/* The guests come at another time: service is moved at once, and a new timetable is wanted for it. */
const PLAN = `
components:
  cream:
    steps:
      - cook: { takes: 10 min, hands: busy }
      - chill: { rest: 30 min - 3 h }
  finish:
    steps:
      - fill: { takes: 10 min, hands: busy, needs: [cream] }
`;
const SETUP = setupBy(PLAN, '13:30', {
  'cream.cook': '12:00-12:10',
  'cream.chill': '12:10-13:10',
  'finish.fill': '13:10-13:20',
});
const cook = stepId(componentId('cream'), 'cook');

const begun = (): TestRun =>
  new TestRun(SETUP).do('12:00', { kind: 'start', step: cook, at: at('12:00') }).clock('12:10');
const moved = (to: string): TestRun =>
  begun().do('12:15', { kind: 'service moved', plan: 0, to: at(to) }, 'cook');

test('service is moved at once, the margin with it, and it is said', () => {
  const run = moved('13:20');
  expect(run.state.timetable.service).toEqual([at('13:20')]);
  expect(run.state.log.at(-1)?.text).toBe('service is moved to 13:20, 10 min earlier');
  const margin = (of: TestRun): number => project(of.state, at('12:15')).margin;
  expect(margin(begun()) - margin(run)).toBe(600);
  expect(wantsReplan(run.state)).toMatchObject({ reason: 'service was moved' });
});

test('the planner answers for the new service', () => {
  const run = moved('13:10');
  const result = replan(SETUP.workload, { progress: progressOf(run.state, at('12:15')) });
  expect(result).toMatchObject({ kind: 'proposal', serviceMoved: [] });
  expect(result.kind === 'proposal' && result.timetable.service).toEqual([at('13:10')]);
  const hopeless = moved('12:30');
  const late = replan(SETUP.workload, { progress: progressOf(hopeless.state, at('12:15')) });
  expect(late).toMatchObject({ kind: 'proposal', serviceMoved: [{ plan: 0, from: at('12:30') }] });
});

test('it can be taken back', () => {
  const run = moved('13:20');
  expect(undoable(run.state)?.kind).toBe('service moved');
  run.do('12:16', { kind: 'undo' }, 'cook');
  expect(run.state.timetable).toEqual(SETUP.timetable);
  expect(wantsReplan(run.state)).toBeUndefined();
});

/** What the planner would say if service were moved. */
function planned(run: TestRun, moves: readonly ServiceMove[], now: string): Timetable {
  const supposed = ifServiceMoved(run.state, moves, at(now));
  if (!supposed.ok) throw new Error(supposed.why);
  const result = replan(SETUP.workload, { progress: progressOf(supposed.state, at(now)) });
  if (result.kind !== 'proposal') throw new Error(result.kind);
  return result.timetable;
}

test('with its timetable it is one act: told at once, nothing asked for, and taken back with one undo', () => {
  const run = begun().clock('12:15');
  const before = run.state;
  const timetable = planned(run, [{ plan: 0, to: at('13:10') }], '12:15');
  run.do('12:15:20', { kind: 'service moved', plan: 0, to: at('13:10'), timetable });
  expect(run.state.timetable).toEqual(timetable);
  expect(wantsReplan(run.state)).toBeUndefined();
  expect(run.state.log.slice(-2).map(({ text }) => text)).toEqual([
    'service is moved to 13:10, 20 min earlier',
    'a new timetable for what is to come',
  ]);
  run.do('12:16', { kind: 'undo' });
  expect(run.state.timetable).toEqual(before.timetable);
});

test('a timetable that is not in time says when it goes out', () => {
  const run = begun().clock('12:15');
  const timetable = planned(run, [{ plan: 0, to: at('12:30') }], '12:15');
  run.do('12:15:20', { kind: 'service moved', plan: 0, to: at('12:30'), timetable });
  expect(run.state.timetable.service).toEqual(timetable.service);
  expect(run.state.log.at(-1)?.text).toBe('service goes out at 12:55');
});

test('a timetable that no longer fits is left, and another one asked for', () => {
  const run = begun().clock('12:15');
  const timetable = planned(run, [{ plan: 0, to: at('13:10') }], '12:15');
  run.do('12:20', { kind: 'lost', component: componentId('cream') });
  run.do('12:40', { kind: 'service moved', plan: 0, to: at('13:10'), timetable });
  expect(run.state.timetable.service).toEqual([at('13:10')]);
  expect(run.state.timetable.steps).toEqual(SETUP.timetable.steps);
  expect(wantsReplan(run.state)).toMatchObject({ reason: 'service was moved' });
});

test('what is only supposed changes nothing', () => {
  const run = begun().clock('12:15');
  const before = structuredClone(run.state);
  const supposed = ifServiceMoved(run.state, [{ plan: 0, to: at('13:10') }], at('12:15'));
  expect(supposed.ok && supposed.state.timetable.service).toEqual([at('13:10')]);
  expect(run.state).toEqual(before);
});

test.each([
  ['twice', [{ plan: 0, to: at('13:00') }], 'one plan is moved twice'],
  ['with a plan that is not there', [{ plan: 3, to: at('13:00') }], 'there is no such plan'],
])('not %s', (_name, also, why) => {
  expect(begun().try('12:15', { kind: 'service moved', plan: 0, to: at('13:20'), also })).toBe(why);
});

test.each([
  ['to what is past', { plan: 0, to: at('12:10') }, 'service cannot be moved to what is past'],
  ['of a plan that is not there', { plan: 1, to: at('13:00') }, 'there is no such plan'],
  ['to where it is', { plan: 0, to: at('13:30') }, 'service is at that time already'],
])('not %s', (_name, to, why) => {
  expect(begun().try('12:15', { kind: 'service moved', ...to })).toBe(why);
});
