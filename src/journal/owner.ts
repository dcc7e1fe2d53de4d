import { closeSync, lstatSync, openSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import * as z from 'zod';
import { sqliteCode, SQLITE } from './problem.ts';

/*
 * One run has at most one owner. The lock is an SQLite lock that the owner holds open for its life: the system takes it
 * back when the process ends, kill -9 included, so a stale lock cannot exist. (Never open owner.lock with node:fs in a
 * process that may hold it: closing any descriptor of a file drops a process's POSIX locks on it.) Beside it,
 * owner.json says who it is; it is information, not the lock, and left behind by an owner that died.
 */

/** What the owner says of itself to those who look for it. */
export interface OwnerCard {
  readonly pid: number;
  /** The path of the socket on which it answers; none while it is starting, or where it lives inside another program. */
  readonly socket?: string;
}

/** Holding a run. */
export interface Ownership {
  /** Whether an owner before us ended without putting the run down. */
  readonly before: 'none' | 'dead';
  /** Tells others where we answer. */
  announce(socket: string): void;
  /** Puts the run down. */
  release(): void;
  /** Lets go of the run as a death would: the card stays behind. */
  abandon(): void;
  /** Lets go of the run without putting it down: for those who come next, it is as it was before. */
  stepBack(): void;
}

/** How long one who wants the run waits for those who only look whether it is kept. */
const PATIENCE_MS = 500;

const cardPath = (folder: string): string => join(folder, 'owner.json');
const lockPath = (folder: string): string => join(folder, 'owner.lock');

/** Takes the run in `folder`, or says that another process has it. Throws where the folder cannot be written in. */
export function own(folder: string): Ownership | 'taken' {
  createPrivate(lockPath(folder));
  const lock = new DatabaseSync(lockPath(folder), { timeout: PATIENCE_MS });
  try {
    // Nothing is ever written here, so no rollback file is to be left behind by an owner that is killed.
    lock.exec('PRAGMA journal_mode = MEMORY; BEGIN EXCLUSIVE');
  } catch (error) {
    lock.close();
    if (sqliteCode(error) === SQLITE.busy) return 'taken';
    throw error;
  }
  const dead = readOwner(folder);
  try {
    writeCard(folder, { pid: process.pid });
  } catch (error) {
    lock.close();
    throw error;
  }
  const close = (): void => {
    if (lock.isOpen) lock.close();
  };
  return {
    before: dead === undefined ? 'none' : 'dead',
    announce: (socket) => writeCard(folder, { pid: process.pid, socket }),
    release: () => {
      rmSync(cardPath(folder), { force: true });
      close();
    },
    abandon: close,
    stepBack: () => {
      if (dead === undefined) rmSync(cardPath(folder), { force: true });
      else writeCard(folder, dead);
      close();
    },
  };
}

/** Whether a live process owns the run in `folder`. Only looks; does not take it. */
export function isOwned(folder: string): boolean {
  if (!exists(lockPath(folder))) return false;
  let lock: DatabaseSync | undefined;
  try {
    lock = new DatabaseSync(lockPath(folder), { readOnly: true, timeout: 0 });
    lock.prepare('SELECT count(*) FROM sqlite_master').get();
    return false;
  } catch (error) {
    return sqliteCode(error) === SQLITE.busy;
  } finally {
    lock?.close();
  }
}

const cardSchema = z.object({ pid: z.int().positive(), socket: z.string().max(4096).optional() });

/** What the run's owner last said of itself; undefined if there is none, or nothing that can be understood. */
export function readOwner(folder: string): OwnerCard | undefined {
  try {
    const card = cardSchema.parse(JSON.parse(readFileSync(cardPath(folder), 'utf8')));
    return card.socket === undefined ? { pid: card.pid } : { pid: card.pid, socket: card.socket };
  } catch {
    return undefined;
  }
}

/** Written beside and renamed, so that a reader sees the old card or the new one, never half of one. */
function writeCard(folder: string, card: OwnerCard): void {
  const fresh = `${cardPath(folder)}.new`;
  writeFileSync(fresh, JSON.stringify(card), { mode: 0o600 });
  renameSync(fresh, cardPath(folder));
}

const exists = (path: string): boolean => lstatSync(path, { throwIfNoEntry: false }) !== undefined;

/** Makes an empty file for its owner alone, where there is none; SQLite then keeps its mode for its side files too. */
export function createPrivate(path: string): void {
  if (!exists(path)) closeSync(openSync(path, 'a', 0o600));
}
