import { closeSync, fsyncSync, lstatSync, mkdirSync, openSync, readSync, rmSync } from 'node:fs';
import { dirname } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import type { RunSetup } from '../bench/index.ts';
import { decodeSetup, encodeSetup } from './forms.ts';
import { journalOn, type Contents, type Journal } from './journal.ts';
import { runTimeAt, type Moment, type Stamp } from './moment.ts';
import { createPrivate, isOwned, own, readOwner, type Ownership } from './owner.ts';
import {
  done,
  failed,
  messageOf,
  sqliteCode,
  SQLITE,
  systemCode,
  writeProblem,
  type Result,
} from './problem.ts';
import { recoveryFor, type RecoveryRow, type RunFacts } from './recovery.ts';
import { readRecording, writeSetup } from './tables.ts';
import { checkFolder, isRunName, journalPath, prepareStore, runFolder, type Store } from './store.ts';

const HEADER = Buffer.from('SQLite format 3\0', 'latin1');

/** How a run's journal is opened. */
export interface Opening {
  /** `keep`: take the run and go on with it. `read`: look only; nothing is changed, not even the lock. */
  readonly purpose: 'keep' | 'read';
  readonly now: Moment;
  /** Lets the database grow no further than this many pages of 4 KiB: how tests fill a disk. */
  readonly maxPages?: number;
}

/** What was found, and the run as far as it can be had. */
export interface OpenedRun {
  readonly row: RecoveryRow;
  /** For people: what was found and where; with the damage, where it is damaged. */
  readonly say: string;
  /** What the journal holds, for every case that is not refused. */
  readonly contents?: Contents;
  /** Only for `carry on` with the purpose `keep`: the run is ours until it is closed. */
  readonly journal?: Journal;
}

/**
 * Makes a run: its folder and its journal with the setup in it, in one transaction, so that a power cut leaves
 * either a whole run or one that never began.
 */
export function createRun(store: Store, setup: RunSetup, now: Moment): Result<string> {
  if (!isRunName(setup.run)) {
    return failed(
      'bad run name',
      `"${setup.run}" cannot name a run`,
      'use letters, digits and hyphens, 64 at most',
    );
  }
  const readBack = decodeSetup(encodeSetup(setup));
  if (!readBack.ok) return readBack;
  const prepared = prepareStore(store);
  if (!prepared.ok) return prepared;
  const folder = runFolder(store, setup.run);
  const path = journalPath(store, setup.run);
  try {
    mkdirSync(folder, { mode: 0o700 });
  } catch (error) {
    if (systemCode(error) !== 'EEXIST') return notMade(error, path);
    return failed(
      'run exists',
      `there is a run called ${setup.run} already`,
      'resume it, or choose another name',
    );
  }
  try {
    createPrivate(path);
    writeSetup(path, setup, now);
    for (const made of [folder, dirname(folder)]) syncFolder(made);
    return done(setup.run);
  } catch (error) {
    // The folder is ours and holds nothing that anybody was told of.
    rmSync(folder, { recursive: true, force: true });
    return notMade(error, path);
  }
}

function notMade(error: unknown, path: string): Result<never> {
  const problem = writeProblem(error, path);
  const hint = problem.code === 'disk full' ? 'free some space and start again' : problem.hint;
  return failed(problem.code, `the run cannot be made: ${problem.what}`, hint);
}

/** A new file is not sure to be in its folder after a power cut until the folder itself is on the disk. */
function syncFolder(folder: string): void {
  try {
    const handle = openSync(folder, 'r');
    fsyncSync(handle);
    closeSync(handle);
  } catch {
    // Windows does not open folders; its file system keeps its own journal.
  }
}

/** Gathers the facts about a run, finds the row of the recovery table that fits, and opens what that row allows. */
export function openRun(store: Store, run: string, opening: Opening): OpenedRun {
  const path = journalPath(store, run);
  const { facts, detail, contents, ownership, db } = gather(store, run, path, opening);
  const row = recoveryFor(facts);
  const say = `${path}: ${row.say}${detail === undefined ? '' : ` (${detail})`}`;
  if (row.go === 'carry on' && contents && ownership && db) {
    return { row, say, contents, journal: journalOn(db, path, contents, ownership) };
  }
  db?.close();
  ownership?.stepBack();
  return contents === undefined || row.go === 'refuse' ? { row, say } : { row, say, contents };
}

/** The facts, and what came to hand while they were gathered. */
interface Found {
  readonly facts: RunFacts;
  readonly detail?: string | undefined;
  readonly contents?: Contents | undefined;
  readonly ownership?: Ownership | undefined;
  /** Open for writing, where writing was wanted and is possible. */
  readonly db?: DatabaseSync | undefined;
}

const NOTHING: RunFacts = {
  file: 'absent',
  format: 'known',
  content: 'none',
  owner: 'none',
  writing: 'possible',
  clock: 'after',
};

function gather(store: Store, run: string, path: string, opening: Opening): Found {
  const found = isRunName(run) ? lookAt(store, run, path) : { file: 'absent' as const };
  if (found.file !== 'ours') return { facts: { ...NOTHING, ...found }, ...found };
  const owner = ownerFacts(runFolder(store, run), opening.purpose);
  const { contents, detail, ...reading } = readRecording(path);
  const facts = { ...NOTHING, ...reading, owner: owner.owner, writing: owner.writing };
  const rest = { contents, detail, ownership: owner.ownership };
  if (contents === undefined || facts.content !== 'whole') return { facts, ...rest };
  const clock = runTimeAt(latest(contents), opening.now).from === 'wall behind' ? 'behind' : 'after';
  if (owner.ownership === undefined) return { facts: { ...facts, clock }, ...rest };
  const opened = openForWriting(path, opening);
  return { facts: { ...facts, clock, writing: opened.writing }, ...rest, db: opened.db };
}

const latest = ({ last, alive }: Contents): Stamp => (alive.time > last.time ? alive : last);

/** What lies where the journal should be. An empty file is a journal that never began. */
function lookAt(store: Store, run: string, path: string): { file: RunFacts['file']; detail?: string } {
  try {
    if (lstatSync(path, { throwIfNoEntry: false }) === undefined) return { file: 'absent' };
    for (const folder of [store, runFolder(store, run)]) {
      const ours = checkFolder(folder);
      if (!ours.ok) return { file: 'unreadable', detail: ours.problem.what };
    }
    const handle = openSync(path, 'r');
    const start = Buffer.alloc(HEADER.length);
    const length = readSync(handle, start, 0, start.length, 0);
    closeSync(handle);
    return { file: length === 0 || start.equals(HEADER) ? 'ours' : 'foreign' };
  } catch (error) {
    return { file: 'unreadable', detail: messageOf(error) };
  }
}

interface OwnerFacts extends Pick<RunFacts, 'owner' | 'writing'> {
  readonly ownership?: Ownership;
}

/** Who owns the run: where it is wanted for keeping, by taking it. */
function ownerFacts(folder: string, purpose: Opening['purpose']): OwnerFacts {
  const look = (writing: RunFacts['writing']): OwnerFacts => {
    if (isOwned(folder)) return { owner: 'alive', writing };
    return { owner: readOwner(folder) === undefined ? 'none' : 'dead', writing };
  };
  if (purpose === 'read') return look('possible');
  try {
    const ownership = own(folder);
    if (ownership === 'taken') return { owner: 'alive', writing: 'possible' };
    return { owner: ownership.before, writing: 'possible', ownership };
  } catch (error) {
    return look(sqliteCode(error) === SQLITE.full || systemCode(error) === 'ENOSPC' ? 'full' : 'read-only');
  }
}

interface ForWriting {
  readonly writing: RunFacts['writing'];
  readonly db?: DatabaseSync;
}

/** Opens the database for its owner, and finds out whether it can be written to by writing. */
function openForWriting(path: string, opening: Opening): ForWriting {
  let db: DatabaseSync | undefined;
  try {
    db = new DatabaseSync(path, { timeout: 2000 });
    db.exec('PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA trusted_schema = OFF');
    if (opening.maxPages !== undefined) db.exec(`PRAGMA max_page_count = ${opening.maxPages}`);
    const note = db.prepare("INSERT OR REPLACE INTO meta (key, value) VALUES ('opened', ?)");
    note.run(JSON.stringify(opening.now));
    return { writing: 'possible', db };
  } catch (error) {
    db?.close();
    if (sqliteCode(error) === undefined) throw error;
    return { writing: sqliteCode(error) === SQLITE.full ? 'full' : 'read-only' };
  }
}
