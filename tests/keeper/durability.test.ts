import { expect, test } from 'vitest';
import { measureDurability } from '../../scripts/bench-durability.ts';
import { tempFolder } from '../support/folder.ts';

test('a few kills at random moments lose nothing and double nothing', { timeout: 60_000 }, async () => {
  const found = await measureDurability({ rounds: 3, seed: 7, store: tempFolder() });
  expect(found).toMatchObject({
    lost: 0,
    doubled: 0,
    refusedButKept: 0,
    callsDoubled: 0,
    callsMissedByBoard: 0,
  });
  expect(found.acknowledged).toBeGreaterThan(20);
  expect(found.reopen).toHaveLength(3);
});
