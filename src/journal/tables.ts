import { statSync } from 'node:fs';
import { DatabaseSync } from 'node:sqlite';
import { pathToFileURL } from 'node:url';
import * as z from 'zod';
import type { BenchEvent, RunSetup } from '../bench/index.ts';
import { epochMs } from '../units/index.ts';
import { decodeEvent, decodeSetup, encodeSetup, parseJson } from './forms.ts';
import type { Contents } from './journal.ts';
import type { Moment, Stamp } from './moment.ts';
import { messageOf, sqliteCode, SQLITE } from './problem.ts';
import type { RunFacts } from './recovery.ts';

/** The format of the tables; `PRAGMA user_version` holds it. See docs/journal.md. */
const FORMAT = 1;
/** Marks a database as a journal of ours, in `PRAGMA application_id`: the letters 3hnd. */
const OURS = 0x33_68_6e_64;

const TABLES = `
  CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;
  CREATE TABLE event (
    seq INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, time INTEGER NOT NULL, form INTEGER NOT NULL,
    json TEXT NOT NULL, wall INTEGER NOT NULL, elapsed REAL NOT NULL, boot TEXT NOT NULL
  ) STRICT;
  PRAGMA application_id = ${OURS};
  PRAGMA user_version = ${FORMAT};
`;

/** Makes the tables in an empty file and commits the setup with them. */
export function writeSetup(path: string, setup: RunSetup, now: Moment): void {
  const db = new DatabaseSync(path);
  try {
    db.exec('PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; BEGIN IMMEDIATE');
    db.exec(TABLES);
    const insert = db.prepare('INSERT INTO meta (key, value) VALUES (?, ?)');
    insert.run('setup', encodeSetup(setup));
    insert.run('begun', JSON.stringify(now));
    db.exec('COMMIT');
  } finally {
    db.close();
  }
}

/** What reading a journal gave: the facts about it, and what could be read. */
export interface Recording extends Pick<RunFacts, 'file' | 'format' | 'content'> {
  readonly contents?: Contents;
  /** What is wrong and where, where something is. */
  readonly detail?: string;
}

const damaged = (detail: string): Recording => ({
  file: 'ours',
  format: 'known',
  content: 'damaged',
  detail,
});

/** Reads a whole journal without changing it. Whatever it holds, the answer is a diagnosis and not an exception. */
export function readRecording(path: string): Recording {
  let db: DatabaseSync | undefined;
  try {
    db = openForReading(path);
    return readDatabase(db);
  } catch (error) {
    const code = sqliteCode(error);
    if (code === undefined) throw error;
    if (code === SQLITE.notADatabase) return { ...damaged(messageOf(error)), file: 'foreign' };
    return damaged(messageOf(error));
  } finally {
    db?.close();
  }
}

function openForReading(path: string): DatabaseSync {
  const db = new DatabaseSync(path, { readOnly: true, timeout: 2000 });
  try {
    db.prepare('SELECT count(*) FROM sqlite_master').get();
    return db;
  } catch (error) {
    db.close();
    // A write-ahead journal wants a side file; where none can be made, the file is read as one that cannot change. That
    // would overlook what is still in the side file, so it is done only where that is empty.
    const code = sqliteCode(error);
    const left = statSync(`${path}-wal`, { throwIfNoEntry: false })?.size ?? 0;
    if ((code !== SQLITE.cantOpen && code !== SQLITE.readonly) || left > 0) throw error;
    const url = pathToFileURL(path);
    url.search = 'immutable=1';
    return new DatabaseSync(url, { readOnly: true });
  }
}

const pragma = z.record(z.string(), z.union([z.number(), z.string()]));

function readPragma(db: DatabaseSync, name: string): number | string {
  const row = pragma.parse(db.prepare(`PRAGMA ${name}`).get() ?? {});
  return Object.values(row)[0] ?? 0;
}

function readDatabase(db: DatabaseSync): Recording {
  const [id, version] = [readPragma(db, 'application_id'), readPragma(db, 'user_version')];
  const empty = db.prepare('SELECT 1 FROM sqlite_master').get() === undefined;
  if (empty && id === 0) return { file: 'ours', format: 'known', content: 'none' };
  if (id !== OURS) return { file: 'foreign', format: 'known', content: 'none' };
  if (Number(version) > FORMAT) {
    return {
      file: 'ours',
      format: 'newer',
      content: 'none',
      detail: `format ${version}, this one knows ${FORMAT}`,
    };
  }
  const health = readPragma(db, 'quick_check');
  if (health !== 'ok') return { ...damaged(String(health).split('\n')[0] ?? ''), ...someContents(db) };
  return readRows(db);
}

/** What a torn file still gives, if anything. */
function someContents(db: DatabaseSync): Pick<Recording, 'contents'> {
  try {
    const { contents } = readRows(db);
    return contents === undefined ? {} : { contents };
  } catch (error) {
    if (sqliteCode(error) === undefined) throw error;
    return {};
  }
}

const momentSchema = z.object({ wall: z.number(), elapsed: z.number(), boot: z.string() });
const rowSchema = z.object({
  seq: z.int(),
  id: z.string(),
  time: z.number(),
  form: z.number(),
  json: z.string(),
  ...momentSchema.shape,
});

function readMeta(db: DatabaseSync, key: string): string | undefined {
  return z
    .object({ value: z.string() })
    .optional()
    .parse(db.prepare('SELECT value FROM meta WHERE key = ?').get(key))?.value;
}

function readRows(db: DatabaseSync): Recording {
  const json = readMeta(db, 'setup');
  if (json === undefined) return { file: 'ours', format: 'known', content: 'none' };
  const setup = decodeSetup(json);
  if (!setup.ok) return damaged(`the setup: ${setup.problem.what}`);
  const begun = momentSchema.safeParse(parseJson(readMeta(db, 'begun') ?? ''));
  if (!begun.success) return damaged('the moment of the beginning is missing');
  const events: BenchEvent[] = [];
  let last: Stamp = { ...begun.data, wall: epochMs(begun.data.wall), time: setup.value.begunAt };
  const stop = (what: string): Recording => ({
    ...damaged(`event ${events.length + 1}: ${what}`),
    contents: { setup: setup.value, events, last, alive: last },
  });
  for (const raw of db.prepare('SELECT * FROM event ORDER BY seq').iterate()) {
    const row = rowSchema.safeParse(raw);
    if (!row.success || row.data.seq !== events.length + 1) return stop('a row is missing or malformed');
    const event = decodeEvent(row.data);
    if (!event.ok) return stop(event.problem.what);
    if (event.value.time < last.time) return stop('it lies before the one it follows');
    events.push(event.value);
    last = {
      wall: epochMs(row.data.wall),
      elapsed: row.data.elapsed,
      boot: row.data.boot,
      time: event.value.time,
    };
  }
  const alive = readAlive(db) ?? last;
  return {
    file: 'ours',
    format: 'known',
    content: 'whole',
    contents: { setup: setup.value, events, last, alive },
  };
}

/** When the run was last known to be kept. It is a note beside the events: one that makes no sense is left out. */
function readAlive(db: DatabaseSync): Stamp | undefined {
  const note = momentSchema.extend({ time: z.int() }).safeParse(parseJson(readMeta(db, 'alive') ?? ''));
  if (!note.success) return undefined;
  return { ...note.data, wall: epochMs(note.data.wall), time: epochMs(note.data.time) };
}

/** What the list of runs shows of one, read without its events. */
export interface Summary {
  readonly title: string;
  readonly isRehearsal: boolean;
  readonly begunAt: number;
  /** When the latest event was, in the run's time. */
  readonly latest: number;
  readonly events: number;
  readonly servedAt?: number;
}

/** Reads what the list shows; undefined where the journal is not whole enough for it. */
export function readSummary(path: string): Summary | undefined {
  let db: DatabaseSync | undefined;
  try {
    db = openForReading(path);
    const setup = decodeSetup(readMeta(db, 'setup') ?? '');
    if (!setup.ok || readPragma(db, 'application_id') !== OURS) return undefined;
    const tail = z
      .object({ events: z.number(), latest: z.number().nullable() })
      .parse(db.prepare('SELECT count(*) AS events, max(time) AS latest FROM event').get());
    const served = readMeta(db, 'served') ?? '';
    const { workload, begunAt, rehearsal } = setup.value;
    return {
      title: workload.plans.map((plan) => plan.title).join(' + '),
      isRehearsal: rehearsal !== undefined,
      begunAt,
      latest: tail.latest ?? begunAt,
      events: tail.events,
      ...(served === '' ? {} : { servedAt: Number(served) }),
    };
  } catch (error) {
    if (sqliteCode(error) === undefined && !(error instanceof z.ZodError)) throw error;
    return undefined;
  } finally {
    db?.close();
  }
}
