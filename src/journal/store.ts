import { chmodSync, lstatSync, mkdirSync, statSync } from 'node:fs';
import { homedir, platform } from 'node:os';
import { isAbsolute, join } from 'node:path';
import envPaths from 'env-paths';
import { done, failed, messageOf, systemCode, type Result } from './problem.ts';

/** The folder that holds `runs/`; an absolute path. */
export type Store = string;

/**
 * Where runs are kept when nobody says otherwise: `$XDG_STATE_HOME/thirdhand` or `~/.local/state/thirdhand` on Linux
 * and its like, the application data folder on macOS and Windows. A relative XDG_STATE_HOME is ignored, as the
 * XDG base directory specification asks.
 */
export function defaultStore(env: Readonly<Record<string, string | undefined>>): Store {
  const paths = envPaths('thirdhand', { suffix: '' });
  if (platform() === 'darwin' || platform() === 'win32') return paths.data;
  const state = env['XDG_STATE_HOME'];
  if (state !== undefined && isAbsolute(state)) return join(state, 'thirdhand');
  const home = env['HOME'];
  return join(home !== undefined && isAbsolute(home) ? home : homedir(), '.local', 'state', 'thirdhand');
}

const RUN_NAME = /^[A-Za-z0-9](?:[A-Za-z0-9-]{0,62}[A-Za-z0-9])?$/;

/** Whether `run` can name a run: letters, digits and inner hyphens, at most 64. Such a name is also a safe folder name. */
export const isRunName = (run: string): boolean => RUN_NAME.test(run);

/** The folder of one run. */
export const runFolder = (store: Store, run: string): string => join(store, 'runs', run);

/** The database of one run. */
export const journalPath = (store: Store, run: string): string => join(runFolder(store, run), 'journal.db');

/** Makes the store and its `runs` folder where they are missing, readable for their owner alone. Refuses what is not ours. */
export function prepareStore(store: Store): Result<Store> {
  for (const folder of [store, join(store, 'runs')]) {
    try {
      if (mkdirSync(folder, { recursive: true, mode: 0o700 }) !== undefined) chmodSync(folder, 0o700);
    } catch (error) {
      return failed(
        systemCode(error) === 'ENOSPC' ? 'disk full' : 'store not usable',
        `the store ${folder} cannot be made: ${messageOf(error)}`,
        'name a folder that you may write in: --store DIR',
      );
    }
    const ours = checkFolder(folder);
    if (!ours.ok) return ours;
  }
  return done(store);
}

/**
 * Whether a folder is one we may trust with a run: a folder, ours, and not reached over somebody else's symbolic link.
 * (Whoever owns the link or the folder could put their own journal, lock or socket in the place of ours.)
 */
export function checkFolder(folder: string): Result<string> {
  try {
    const link = lstatSync(folder);
    const target = statSync(folder);
    if (!target.isDirectory()) {
      return failed('store not usable', `${folder} is not a folder`, 'name a folder: --store DIR');
    }
    const uid = process.getuid?.();
    if (uid !== undefined && (link.uid !== uid || target.uid !== uid)) {
      const which = link.isSymbolicLink() ? 'is a link that leads to, or belongs to,' : 'belongs to';
      return failed(
        'store not ours',
        `${folder} ${which} another user`,
        'name a folder of your own: --store DIR',
      );
    }
    if (uid !== undefined && (target.mode & 0o002) !== 0 && (target.mode & 0o1000) === 0) {
      return failed('store not ours', `anybody may write in ${folder}`, `chmod 700 ${folder}`);
    }
    return done(folder);
  } catch (error) {
    return failed(
      'store not usable',
      `${folder} cannot be looked at: ${messageOf(error)}`,
      'name another: --store DIR',
    );
  }
}
