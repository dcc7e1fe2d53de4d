import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import stringWidth from 'string-width';
import { describe, expect, test } from 'vitest';
import type { Rundown } from '../../../src/planner/index.ts';
import { STAGE_PAPERS, stageJson, stageMarkdown, stageText } from '../../../src/sheet/index.ts';
import { lantern } from '../../support/small-rundown.ts';

/*
 * The papers of the demonstration in support/small-rundown.ts, kept as files that people read in review. UPDATE_GOLDENS=1
 * writes them anew; look at the difference before you keep it.
 */

function golden(name: string, text: string): string {
  const file = new URL(name, import.meta.url);
  if (process.env['UPDATE_GOLDENS'] === '1') writeFileSync(file, text);
  return existsSync(file) ? readFileSync(file, 'utf8') : `UPDATE_GOLDENS=1 writes ${name}`;
}

const all = (rundown: Rundown): string =>
  STAGE_PAPERS.flatMap((paper) => stageText(rundown, paper)).join('\f');

describe('the papers of a demonstration', () => {
  test.each(STAGE_PAPERS)('%s as text', (paper) => {
    const text = stageText(lantern, paper).join('\f');
    expect(text).toBe(golden(`lantern-${paper}.txt`, text));
  });

  test('as Markdown', () => {
    const text = STAGE_PAPERS.map((paper) => stageMarkdown(lantern, paper)).join('\n');
    expect(text).toBe(golden('lantern.md', text));
  });

  test('where not every way could be tried, it says that there may be a better one', () => {
    const words = 'there may be a way with fewer swaps or less work before: not all were tried';
    const found: Rundown = { ...lantern, proven: false };
    expect(stageText(found, 'rundown').join('')).toContain(`  ${words}\n`);
    expect(stageMarkdown(found, 'rundown')).toContain(`- ${words}\n`);
    expect([stageJson(found).proven, stageJson(lantern).proven]).toEqual([false, true]);
    expect(all(lantern)).not.toContain(words);
  });

  test('as JSON, which says the same', () => {
    const json = stageJson(lantern);
    expect(JSON.parse(JSON.stringify(json))).toEqual(json);
    expect(json).toMatchObject({
      version: 1,
      title: 'Lantern walk',
      begins: '2027-05-14T18:00:00.000Z',
      lasts: 480,
      helper: true,
    });
    expect(json.showings.map(({ onAir, kind, part, step }) => [onAir, kind, part, step])).toEqual([
      [0, 'talk', null, null],
      [60, 'step', 'first', 'shells.pipe'],
      [100, 'talk', null, null],
      [200, 'step', 'whole', 'cream.whip'],
      [290, 'break', null, null],
      [360, 'step', 'last', 'shells.bake'],
      [390, 'step', 'first', 'shells.fill'],
      [440, 'beauty', null, null],
    ]);
    expect(json.swaps.map(({ id, state, useBy }) => [id, state, useBy])).toEqual([
      ['A', 'after chill', '2027-05-14T18:03:30.000Z'],
      ['B', 'after assemble', null],
    ]);
    expect(json.labels).toEqual([
      { swap: 'A', copy: 1, copies: 2, backup: false },
      { swap: 'A', copy: 2, copies: 2, backup: true },
      { swap: 'B', copy: 1, copies: 1, backup: false },
    ]);
    expect(json.amounts).toEqual([
      { title: 'Plum cream', times: 2, uses: ['A'] },
      { title: 'Cones', times: 1, uses: ['B'] },
      { title: 'Cone shells', times: 1, uses: ['on air'] },
    ]);
    expect(json.prep.entries.map((entry) => (entry.kind === 'step' ? entry.step : entry.kind))).toEqual([
      'cream A.cook',
      'cream A.chill',
      'cones B.assemble',
      'service',
      'shells.pipe on',
      'shells.bake',
    ]);
  });

  test('no line is wider than 80 columns, whatever it is called', () => {
    const long = 'a very long name of something that has no end '.repeat(4).trim();
    const named: Rundown = {
      ...lantern,
      title: long,
      swaps: lantern.swaps.map((swap) => ({ ...swap, title: long })),
      showings: lantern.showings.map((showing) => ({ ...showing, action: long, say: long })),
    };
    const widest = Math.max(
      ...all(named)
        .split(/[\n\f]/)
        .map((line) => stringWidth(line)),
    );
    expect(widest).toBeGreaterThan(70);
    expect(widest).toBeLessThanOrEqual(80);
  });

  test('without swaps it says so, and there are no labels', () => {
    const bare: Rundown = { ...lantern, swaps: [] };
    expect(stageText(bare, 'labels')).toEqual([]);
    expect(stageText(bare, 'rundown').join('')).toContain('Swaps: none, everything is made on air');
  });
});
