import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { newPlanText } from '../../src/plan/index.ts';
import { load, loadText, plansIn, told } from './support.ts';

describe('odd plans that are right', () => {
  const files = plansIn('odd');

  test('there are some', () => {
    expect(files.length).toBeGreaterThanOrEqual(7);
  });

  test.each(files.map((source) => [source.file, source] as const))('%s', (_name, source) => {
    const { workload, diagnostics } = load(source);
    expect(diagnostics.map((found) => `${told(found)} ${found.message}`)).toEqual([]);
    expect(workload?.components.length).toBeGreaterThan(0);
  });

  test('names keep their order and spelling', () => {
    const source = files.find(({ file }) => file === 'names.yaml');
    const { workload } = load(source ?? []);
    expect(workload?.plans[0]).toMatchObject({ title: '1984', makes: { count: 1, of: 'кулич' } });
    expect(workload?.components.flatMap(({ steps }) => steps.map(({ id }) => id))).toEqual([
      'крем-1.2nd stir',
      'крем-1.3',
      'крем-1.takes',
      'крем-1.null',
      'steps.steps',
      'é.ü',
      'constructor.hasOwnProperty',
    ]);
  });
});

describe('a new plan', () => {
  test.each([
    ['sunday-tarts', 'Sunday tarts'],
    ['null', 'Null'],
    ['$& \u001b[31m "x"', '31m x'],
    ['../..', 'New plan'],
    ['é'.repeat(300), `É${'é'.repeat(59)}`],
  ])('%j checks clean', (name, title) => {
    const { workload, diagnostics } = loadText(newPlanText(name));
    expect(diagnostics).toEqual([]);
    expect(workload?.plans[0]?.title).toBe(title);
  });

  test('doubled, it still checks clean', () => {
    expect(loadText(newPlanText('tarts'), { yields: 24 }).diagnostics).toEqual([]);
  });
});

test('the plan language is reachable by its public surface alone', () => {
  const surface = readFileSync(new URL('../../src/plan/index.ts', import.meta.url), 'utf8');
  expect(surface).not.toContain('*');
});
