import { createHash } from 'node:crypto';
import { mkdirSync } from 'node:fs';
import { platform, tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { checkFolder } from '../journal/index.ts';

/** The longest path a Unix socket may have everywhere (macOS ends at 103 bytes), with some to spare. */
const LONGEST_PATH = 100;

/**
 * Where the keeper of the run in `folder` listens: in the run's own folder, or, where that path would be too long for a
 * socket, under a short name in a private folder among the temporary files. On Windows it is a named pipe.
 * Throws where the private folder turns out to be somebody else's.
 */
export function socketPath(folder: string): string {
  const name = createHash('sha256').update(resolve(folder)).digest('hex').slice(0, 20);
  if (platform() === 'win32') return String.raw`\\.\pipe\thirdhand-${name}`;
  const near = join(resolve(folder), 'keeper.sock');
  if (Buffer.byteLength(near) <= LONGEST_PATH) return near;
  const shelter = join(tmpdir(), `thirdhand-${process.getuid?.() ?? 'user'}`);
  mkdirSync(shelter, { recursive: true, mode: 0o700 });
  const ours = checkFolder(shelter);
  if (!ours.ok) throw new Error(`${ours.problem.what}; ${ours.problem.hint}`);
  return join(shelter, `${name}.sock`);
}
