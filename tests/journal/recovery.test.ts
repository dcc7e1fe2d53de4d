import { expect, test } from 'vitest';
import { RECOVERY, type RunFacts } from '../../src/journal/index.ts';
import { fits } from '../../src/journal/recovery.ts';

const VALUES: { readonly [F in keyof RunFacts]: readonly RunFacts[F][] } = {
  file: ['absent', 'unreadable', 'foreign', 'ours'],
  format: ['known', 'newer'],
  content: ['none', 'damaged', 'whole'],
  owner: ['none', 'dead', 'alive'],
  writing: ['possible', 'read-only', 'full'],
  clock: ['after', 'behind'],
};

function* everyCombination(): Generator<RunFacts> {
  for (const file of VALUES.file)
    for (const format of VALUES.format)
      for (const content of VALUES.content)
        for (const owner of VALUES.owner)
          for (const writing of VALUES.writing)
            for (const clock of VALUES.clock) yield { file, format, content, owner, writing, clock };
}

test('exactly one row of the recovery table fits whatever may be found', () => {
  const combinations = [...everyCombination()];
  expect(combinations).toHaveLength(4 * 2 * 3 * 3 * 3 * 2);
  for (const facts of combinations) {
    expect([facts, RECOVERY.filter((row) => fits(row, facts)).map((row) => row.case)]).toEqual([
      facts,
      [expect.any(String)],
    ]);
  }
});

test('every row fits some combination, and is named once', () => {
  const combinations = [...everyCombination()];
  const used = RECOVERY.filter((row) => combinations.some((facts) => fits(row, facts)));
  expect(used).toHaveLength(RECOVERY.length);
  expect(new Set(RECOVERY.map((row) => row.case)).size).toBe(RECOVERY.length);
});
