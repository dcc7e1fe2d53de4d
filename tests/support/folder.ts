import { mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';

/** A folder of its own for one test, gone afterwards. */
export function tempFolder(): string {
  const folder = mkdtempSync(join(realpathSync(tmpdir()), 'thirdhand-test-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}
