import fc from 'fast-check';
import stringWidth from 'string-width';
import { expect, test } from 'vitest';
import { LABEL_COLUMNS, LABEL_LINES, labelPages, type LabelWords } from '../../../src/sheet/stage/boxes.ts';

const label = (name: string, more: Partial<LabelWords> = {}): LabelWords => ({
  name,
  copy: '1 of 1',
  lines: [],
  ...more,
});

test('two labels side by side: the name with its copy, the mark, and the lines, in boxes of one size', () => {
  const pages = labelPages([
    label('B  shells', { copy: '2 of 2', mark: 'BACKUP', lines: ['after pipe', 'for 4:20 on air: lid'] }),
    label('C  cream'),
  ]);
  expect(pages).toEqual([
    `\
┌─────────────────────────────────────┐  ┌─────────────────────────────────────┐
│ B  shells                    2 of 2 │  │ C  cream                     1 of 1 │
│ BACKUP                              │  │                                     │
│ after pipe                          │  │                                     │
│ for 4:20 on air: lid                │  │                                     │
│                                     │  │                                     │
│                                     │  │                                     │
│                                     │  │                                     │
│                                     │  │                                     │
└─────────────────────────────────────┘  └─────────────────────────────────────┘`,
  ]);
});

test('what is too long for a label ends in a mark, and never makes it larger', () => {
  const [page = ''] = labelPages([
    label('x'.repeat(80), { lines: Array.from({ length: 9 }, (_, n) => `line ${n}`) }),
  ]);
  expect(page.split('\n')).toHaveLength(LABEL_LINES);
  expect(page).toContain(`${'x'.repeat(27)}~ 1 of 1`);
  expect(page).toContain('line 6~');
  expect(page).not.toContain('line 7');
});

test('however many there are and whatever stands on them: each once, in whole boxes, on pages of A4', () => {
  const text = fc.string({ maxLength: 60, unit: 'grapheme' }).filter((one) => !/[\p{C}\s]/u.test(one));
  fc.assert(
    fc.property(fc.array(fc.array(text, { maxLength: 9 }), { maxLength: 33 }), (all) => {
      const pages = labelPages(all.map((lines, index) => label(`n${index}.`, { lines })));
      const lines = pages.flatMap((page) => page.split('\n'));
      for (const page of pages) expect(page.split('\n').length).toBeLessThanOrEqual(60);
      for (const line of lines) expect(stringWidth(line)).toBeLessThanOrEqual(2 * LABEL_COLUMNS + 2);
      for (const index of all.keys())
        expect(lines.filter((line) => line.includes(`│ n${index}. `))).toHaveLength(1);
      const heads = (page: string): number => page.split('┌').length - 1;
      expect(pages.map(heads)).toEqual(pages.map((page) => page.split('└').length - 1));
    }),
    { seed: 3, numRuns: 60 },
  );
});
