import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { drawDiagnostic, loadWorkload, type Workload } from '../../src/plan/index.ts';
import { planDemonstration, verify } from '../../src/planner/index.ts';
import { epochMs } from '../../src/units/index.ts';
import { kitchenFile } from './demo-plans.ts';

const FOLDER = fileURLToPath(new URL('../../plans/demonstrations/', import.meta.url));
const FRIDAY_20 = epochMs(Date.UTC(2027, 2, 5, 20));
const files = readdirSync(FOLDER).toSorted();

function load(file: string): Workload {
  const source = { file, bytes: new Uint8Array(readFileSync(FOLDER + file)) };
  const { workload, diagnostics, texts } = loadWorkload([source], {
    findKitchen: kitchenFile,
    timeZone: 'UTC',
  });
  expect(diagnostics.map((found) => drawDiagnostic(found, texts.get(file) ?? ''))).toEqual([]);
  if (!workload) throw new Error(`${file} has no workload`);
  return workload;
}

test('there are a short demonstration and two long ones', () => {
  const lasts = files.map((file) => [file, load(file).plans[0]?.demonstration?.lasts]);
  expect(lasts).toEqual([
    ['frost-lanterns.yaml', 1320],
    ['harvest-galettes.yaml', 480],
    ['lamplight-choux.yaml', 1500],
  ]);
});

const HELPER = ['with a helper', 'without a helper'] as const;
const SWAPS: Readonly<Record<string, number>> = {
  'frost-lanterns.yaml': 12,
  'harvest-galettes.yaml': 6,
  'lamplight-choux.yaml': 10,
};

test.each(
  files.flatMap((file) =>
    (file === 'frost-lanterns.yaml' ? HELPER.slice(0, 1) : HELPER).map((helper) => [file, helper] as const),
  ),
)('%s %s is planned and verified, and no choice has fewer swaps', (file, helper) => {
  const workload = load(file);
  const result = planDemonstration(workload, {
    when: { kind: 'on air', at: FRIDAY_20 },
    helper: helper === 'with a helper',
    effort: 2_000_000,
  });
  if (result.status !== 'solved') throw new Error(JSON.stringify(result));
  const { rundown } = result;
  expect(rundown.proven).toBe(true);
  expect(verify(rundown.workload, rundown.timetable)).toEqual([]);
  expect(rundown.swaps.length).toBe(SWAPS[file]);
  // Nothing that is made off view could be late, if all of it takes its longest.
  expect(rundown.swaps.filter(({ slack }) => slack === undefined || slack < 0)).toEqual([]);
  expect(rundown.jobs.some(({ who }) => who === 'helper')).toBe(rundown.helper);
});

test('the lanterns cannot be shown alone: cream is whipped and rings are filled while both hands are on air', () => {
  const result = planDemonstration(load('frost-lanterns.yaml'), {
    when: { kind: 'on air', at: FRIDAY_20 },
    helper: false,
  });
  if (result.status !== 'refused') throw new Error(result.status);
  expect(result.reasons.map(({ message }) => message.split(':')[0])).toEqual([
    'line 194, filling.fold 9 min 5 s into the air',
    'line 196, lanterns.lay 12 min into the air',
  ]);
});
