import { expect, test } from 'vitest';
import type { RunSetup } from '../../src/bench/index.ts';
import { loadWorkload } from '../../src/plan/index.ts';
import { TestRun } from '../support/bench.ts';
import { NOON, timetableOf } from '../support/plans.ts';

/* Two plans on one kitchen, each with a component called plates: whatever is said of one names its plan. */
const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const plan = (title: string): Uint8Array =>
  bytes(`
thirdhand: 1
title: ${title}
makes: 10 pieces
margin: 0 min
kitchen: test
components:
  plates:
    title: Plates
    keeps: 20 min
    steps:
      - chill: { rest: 10-15 min }
      - fill: { takes: 4 min, hands: busy, within: 2 min }
`);
const KITCHEN = bytes(
  'thirdhand: 1\nkitchen: test\ntime zone: UTC\nroom: 20 C\novens: {}\ncold: {}\ntools: {}\n',
);

function together(): RunSetup {
  const { workload, diagnostics } = loadWorkload(
    [
      { file: 'lake.yaml', bytes: plan('Lake dinner') },
      { file: 'wood.yaml', bytes: plan('Wood tea') },
    ],
    { findKitchen: () => ({ file: 'kitchen.yaml', bytes: KITCHEN }), timeZone: 'UTC' },
  );
  if (!workload) throw new Error(JSON.stringify(diagnostics));
  return { run: 'test', workload, timetable: timetableOf(workload, '13:00'), begunAt: NOON };
}

test('calls, alarms and the log tell namesakes of two plans apart', () => {
  const run = new TestRun(together());
  const said = new Set<string>();
  const listen = (): void => {
    for (const { text } of run.state.calls) said.add(text);
    for (const { cause, action } of run.state.alarms) said.add(cause).add(action);
    for (const { text } of run.state.log) said.add(text);
  };
  const wood = run.state.components[1];
  if (!wood?.steps[0]) throw new Error('no such component');
  run.do('12:20', { kind: 'start', step: wood.steps[0].step, at: run.state.time });
  for (const time of ['12:30', '12:40', '12:45', '12:50', '13:05', '13:40']) {
    run.clock(time);
    listen();
  }
  run.do('13:41', { kind: 'lost', component: wood.component });
  listen();
  const about = [...said].filter((text) => text.includes('plates'));
  expect(about.filter((text) => !/plates \((lake|wood)\)/.test(text))).toEqual([]);
  expect(about).toContain('plates (lake): chill was called at 12:46 and no start is known');
  expect(about).toContain('take plates (wood) on to what is next');
  expect(about).toContain('plates (wood) lost, to be made again');
});
