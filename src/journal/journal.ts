import { statSync } from 'node:fs';
import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { BenchEvent, RunSetup } from '../bench/index.ts';
import { epochMs, type EpochMs } from '../units/index.ts';
import { decodeEvent, encodeEvent } from './forms.ts';
import type { Moment, Stamp } from './moment.ts';
import type { Ownership } from './owner.ts';
import { sqliteCode, SQLITE, writeProblem, type Problem } from './problem.ts';

/** Where an event stands in the journal, counted from 1. */
type Appended =
  | { readonly ok: true; readonly seq: number; /** It was there already. */ readonly again: boolean }
  | { readonly ok: false; readonly problem: Problem };

/** A run's journal, held by its owner. */
export interface Journal {
  readonly setup: RunSetup;
  /** Every event so far, in order; the event with seq n stands at n - 1. */
  readonly events: readonly BenchEvent[];
  /** The last event's time and what the clocks showed at its commit; the beginning of the run where there is none. */
  readonly last: Stamp;
  /** The latest moment at which the run is known to have been kept: its last event or a later `noteAlive`. */
  readonly alive: Stamp;
  /** Where the event with this id stands, if it is in the journal. */
  seqOf(id: string): number | undefined;
  /** Commits the event to the disk, then returns. The same id a second time changes nothing. */
  append(event: BenchEvent, now: Moment): Appended;
  /** Keeps what the run's list shows: whether the run was served. Losing this loses nothing; it is derived. */
  noteServed(at: EpochMs | undefined): void;
  /** Keeps that the run is being kept, so that a gap after a crash is known to within the time between two such notes. */
  noteAlive(at: Stamp): Problem | undefined;
  /** Whether the disk takes more than a few bytes again; the problem, where it does not. */
  tryRoom(): Problem | undefined;
  /**
   * Whether the file, or the one beside it that new events go to, is no longer where it was: somebody has deleted or
   * replaced the run under its keeper. Where only the second is gone, what it held is brought into the first.
   */
  isGone(): boolean;
  /** Tells others where the owner answers. */
  announce(socket: string): void;
  /**
   * Closes the journal and lets the run go for others to take: put down in order, or, with `broken`, left as by an owner
   * that died, so that boards wait for the next one.
   */
  close(how?: 'in order' | 'broken'): void;
}

/** What a journal holds before the first append of this owner. */
export interface Contents {
  readonly setup: RunSetup;
  readonly events: readonly BenchEvent[];
  readonly last: Stamp;
  readonly alive: Stamp;
}

/** Enough to need room that is not there by chance in a page that is half empty. */
const ROOM = 'x'.repeat(16_384);

const inodeOf = (path: string): number | undefined => statSync(path, { throwIfNoEntry: false })?.ino;

/** A journal in a database whose contents have been read. `release` is called when it is closed. */
export function journalOn(db: DatabaseSync, path: string, contents: Contents, owner: Ownership): Journal {
  const insert = db.prepare(
    'INSERT INTO event (seq, id, time, form, json, wall, elapsed, boot) VALUES (?, ?, ?, ?, ?, ?, ?, ?)',
  );
  const note = db.prepare('INSERT OR REPLACE INTO meta (key, value) VALUES (?, ?)');
  const tryNote = (key: string, value: string): Problem | undefined => {
    try {
      note.run(key, value);
      return undefined;
    } catch (error) {
      if (sqliteCode(error) === undefined) throw error;
      return writeProblem(error, path);
    }
  };
  const [inode, wal] = [inodeOf(path), inodeOf(`${path}-wal`)];
  const events = [...contents.events];
  const seqs = new Map(events.map((event, index) => [event.id, index + 1]));
  let { last, alive } = contents;

  return {
    setup: contents.setup,
    events,
    get last() {
      return last;
    },
    get alive() {
      return alive.time > last.time ? alive : last;
    },
    seqOf: (id) => seqs.get(id),
    append(event, now) {
      const known = seqs.get(event.id);
      if (known !== undefined) return { ok: true, seq: known, again: true };
      if (event.time < last.time) throw new Error(`the event ${event.id} lies before the one it follows`);
      const seq = events.length + 1;
      const problem = write(insert, path, seq, event, now);
      if (problem !== undefined) return { ok: false, problem };
      events.push(event);
      seqs.set(event.id, seq);
      last = { ...now, time: event.time };
      return { ok: true, seq, again: false };
    },
    noteServed: (at) => void tryNote('served', at === undefined ? '' : String(at)),
    noteAlive(at) {
      const problem = tryNote('alive', JSON.stringify(at));
      if (problem === undefined) alive = at;
      return problem;
    },
    tryRoom: () => tryNote('room', ROOM) ?? tryNote('room', ''),
    isGone() {
      if (inodeOf(path) !== inode) return true;
      if (inodeOf(`${path}-wal`) === wal) return false;
      // Both are still open here, so nothing that was written is lost if it is brought over before they are closed.
      try {
        db.exec('PRAGMA wal_checkpoint(TRUNCATE)');
        return true;
      } catch (error) {
        if (sqliteCode(error) === undefined) throw error;
        return false;
      }
    },
    announce: (socket) => owner.announce(socket),
    close(how = 'in order') {
      if (db.isOpen) db.close();
      if (how === 'in order') owner.release();
      else owner.abandon();
    },
  };
}

function write(
  insert: StatementSync,
  path: string,
  seq: number,
  event: BenchEvent,
  now: Moment,
): Problem | undefined {
  const row = encodeEvent(event);
  const readBack = decodeEvent(row);
  if (!readBack.ok) return readBack.problem;
  try {
    insert.run(seq, row.id, row.time, row.form, row.json, now.wall, now.elapsed, now.boot);
    return undefined;
  } catch (error) {
    const code = sqliteCode(error);
    // A row of ours that is there twice means two writers: our mistake, never the disk's.
    if (code === undefined || code === SQLITE.constraint) throw error;
    return writeProblem(error, path);
  }
}

/**
 * A journal that is nowhere but in memory: for rehearsals that are not kept, and for tests. `now` is what the run's clock
 * shows as it begins; without it, the wall clock is at the beginning of the run.
 */
export function memoryJournal(setup: RunSetup, now?: Moment): Journal {
  const events: BenchEvent[] = [];
  const seqs = new Map<string, number>();
  let last: Stamp = { wall: setup.begunAt, elapsed: 0, boot: '', ...now, time: setup.begunAt };
  return {
    setup,
    events,
    get last() {
      return last;
    },
    get alive() {
      return last;
    },
    seqOf: (id) => seqs.get(id),
    append(event, now) {
      const known = seqs.get(event.id);
      if (known !== undefined) return { ok: true, seq: known, again: true };
      const readBack = decodeEvent(encodeEvent(event));
      if (!readBack.ok) return readBack;
      events.push(event);
      seqs.set(event.id, events.length);
      last = { ...now, time: epochMs(event.time) };
      return { ok: true, seq: events.length, again: false };
    },
    noteServed: () => undefined,
    noteAlive: () => undefined,
    tryRoom: () => undefined,
    isGone: () => false,
    announce: () => undefined,
    close: () => undefined,
  };
}
