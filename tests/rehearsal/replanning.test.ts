import { expect, test } from 'vitest';
import { componentId } from '../../src/plan/index.ts';
import { replay } from '../../src/bench/index.ts';
import type { ReplanRequest } from '../../src/planner/index.ts';
import { rehearseToEnd, type Fault, type RehearsalEnd } from '../../src/rehearsal/index.ts';
import { minutes } from '../../src/units/index.ts';
import { postponing } from '../support/replans.ts';
import { id, smallRun } from './small-run.ts';

/* Rehearsals in which the planner may be asked on the way; here it is one that knows a single answer. */
const LOST: Fault = { kind: 'lost', component: componentId('cream'), during: id('cream.chill') };
const LATE: Fault = { kind: 'late', step: id('cream.cook'), factor: 3.5 };
const FORGOTTEN: Fault = { kind: 'forgets', step: id('cream.cook'), by: minutes(40) };

/** What became of new timetables, a word each. */
const about = ({ events }: RehearsalEnd): string[] =>
  events.flatMap(({ kind }) =>
    ['proposed', 'not proposed', 'timetable', 'declined'].includes(kind) ? [kind] : [],
  );

test.each([
  ['lost', LOST],
  ['late', LATE],
  ['forgotten', FORGOTTEN],
])('%s: a new timetable that keeps service is taken, and the run comes to its end', (_name, fault) => {
  const end = rehearseToEnd(smallRun, 3, { faults: [fault], replan: postponing(300, true) });
  expect(end.ended).toBe('served');
  expect(end.state.timetable).not.toBe(smallRun.timetable);
  const taken = end.events.findIndex((event) => event.kind === 'timetable');
  const proposed = end.events.slice(0, taken).findLastIndex((event) => event.kind === 'proposed');
  const wait = ((end.events[taken]?.time ?? 0) - (end.events[proposed]?.time ?? 0)) / 1000;
  // The cook takes a moment, as with every answer.
  expect(wait).toBeGreaterThanOrEqual(2);
  expect(wait).toBeLessThanOrEqual(20);
});

test('one that moves service is left', () => {
  const end = rehearseToEnd(smallRun, 3, { faults: [LOST], replan: postponing(300) });
  expect(end.ended).toBe('served');
  expect(about(end)).toContain('declined');
  expect(about(end)).not.toContain('timetable');
  expect(end.state.timetable).toBe(smallRun.timetable);
});

test('where there is nothing to offer, the run goes on as without a planner', () => {
  const asked: ReplanRequest[] = [];
  const end = rehearseToEnd(smallRun, 3, {
    faults: [LOST],
    replan: (_workload, request) => {
      asked.push(request);
      return { kind: 'as told' };
    },
  });
  const without = rehearseToEnd(smallRun, 3, { faults: [LOST] });
  expect(asked.length).toBeGreaterThan(0);
  const acts = (of: RehearsalEnd): unknown[] =>
    of.events.flatMap((event) => (event.kind === 'not proposed' ? [] : [{ ...event, id: '' }]));
  expect(acts(end)).toEqual(acts(without));
});

test('the same seed gives the same rehearsal, and its events give the same state', () => {
  const once = rehearseToEnd(smallRun, 11, { faults: [LOST, LATE], replan: postponing(300, true) });
  const again = rehearseToEnd(smallRun, 11, { faults: [LOST, LATE], replan: postponing(300, true) });
  expect(JSON.stringify(again.events)).toBe(JSON.stringify(once.events));
  expect(JSON.stringify(replay(smallRun, once.events))).toBe(JSON.stringify(once.state));
});

test('a rehearsal in which all goes well asks for nothing', () => {
  const end = rehearseToEnd(smallRun, 1, {
    replan: () => {
      throw new Error('nobody should have asked');
    },
  });
  expect([end.ended, about(end)]).toEqual(['served', []]);
});
