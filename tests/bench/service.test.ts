import { expect, test } from 'vitest';
import type { RunSetup } from '../../src/bench/index.ts';
import { loadWorkload } from '../../src/plan/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, NOON } from '../support/plans.ts';

const plan = (title: string): string => `
thirdhand: 1
title: ${title}
makes: 4 pieces
margin: 0 min
kitchen: { cooks: 1 }
components:
  ${title.toLowerCase()}:
    keeps: 1 h
    steps:
      - fold: { takes: 10 min, hands: busy }
`;

/** Two plans on one kitchen, each with its own service. */
function twoServices(first: string, second: string): RunSetup {
  const files = ['Tarts', 'Puffs'].map((title) => ({
    file: `${title}.yaml`,
    bytes: new TextEncoder().encode(plan(title)),
  }));
  const { workload, diagnostics } = loadWorkload(files, { findKitchen: () => undefined, timeZone: 'UTC' });
  if (!workload) throw new Error(JSON.stringify(diagnostics));
  const result = planTimetable(workload, {
    service: { kind: 'at', moments: [at(first), at(second)] },
    now: NOON,
  });
  if (result.status !== 'optimal') throw new Error(result.status);
  return { run: 'two', workload, timetable: result.timetable, begunAt: NOON };
}

test('each service is called at its own time, and the last one ends the run', () => {
  const run = new TestRun(twoServices('13:00', '15:00'));
  run.space('12:50').clock('13:00');
  expect(run.calls).toEqual(['serve: Tarts']);
  run.space('13:00');
  expect(run.state.servedAt).toBeUndefined();
  expect(run.state.servings).toEqual([at('13:00')]);
  expect(run.state.log.at(-1)?.text).toBe('Tarts served at 13:00, on time');
  run.space('14:50').space('15:02');
  expect(run.state.servedAt).toBe(at('15:02'));
  expect(run.state.log.at(-1)?.text).toBe('Puffs served at 15:02, 2 min late');
});

test('plans of one service go out together', () => {
  const run = new TestRun(twoServices('14:00', '14:00'));
  run.space('13:40').space('13:50').clock('14:00');
  expect(run.calls).toEqual(['serve: Tarts, Puffs']);
  expect(run.space('14:00').state.servedAt).toBe(at('14:00'));
});

test('what has gone out keeps no longer, and the margin is that of what has not', () => {
  const run = new TestRun(twoServices('13:00', '17:00')).space('12:50').space('13:00').clock('16:00');
  expect(run.alarms).toEqual([]);
  run.clock('17:05');
  expect(run.state.alarms.find((alarm) => alarm.kind === 'late for service')?.cause).toContain(
    'Puffs: ready at',
  );
});

test('serving what is not finished is refused, and a serving can be taken back', () => {
  const run = new TestRun(twoServices('13:00', '15:00')).clock('12:55');
  expect(run.try('12:56', { kind: 'served' })).toBe('not everything is finished yet');
  run.do('12:56', { kind: 'skip', step: 'Tarts/tarts.fold' as never }).do('12:57', { kind: 'served' });
  expect(run.do('12:58', { kind: 'undo' }).state.servings).toEqual([]);
});

test('a start may be dated back to before the run began', () => {
  const run = new TestRun(twoServices('13:00', '15:00'));
  run.do('12:01', { kind: 'start', step: 'Tarts/tarts.fold' as never, at: at('11:55') }).clock('12:05');
  expect(run.state.components[0]?.steps[0]).toMatchObject({
    state: 'ended',
    startedAt: at('11:55'),
    endedAt: at('12:05'),
  });
});
