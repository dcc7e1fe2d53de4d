import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  chownSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import type { BenchEvent } from '../../src/bench/index.ts';
import {
  createRun,
  journalPath,
  listRuns,
  openRun,
  runFolder,
  type Journal,
  type Moment,
  type OpenedRun,
} from '../../src/journal/index.ts';
import { own } from '../../src/journal/owner.ts';
import { writeProblem } from '../../src/journal/problem.ts';
import { epochMs, seconds } from '../../src/units/index.ts';
import { tempFolder } from '../support/folder.ts';
import { tinySetup } from '../support/tiny-setup.ts';

const setup = tinySetup();
const RUN = setup.run;
const moment = (ms: number, boot = 'one'): Moment => ({
  wall: epochMs(setup.begunAt + ms),
  elapsed: 5000 + ms,
  boot,
});
const event = (n: number, more: Partial<BenchEvent> = {}): BenchEvent =>
  ({
    id: `press-${n}`,
    time: epochMs(setup.begunAt + n * 1000),
    source: 'cook',
    kind: 'timer',
    name: `tea ${n}`,
    length: seconds(60),
    ...more,
  }) as BenchEvent;

function keep(store: string, now = moment(60_000), maxPages?: number): OpenedRun {
  return openRun(store, RUN, { purpose: 'keep', now, ...(maxPages === undefined ? {} : { maxPages }) });
}

function journalOf(opened: OpenedRun): Journal {
  if (opened.journal === undefined) throw new Error(`no journal: ${opened.say}`);
  return opened.journal;
}

/** A store with one run that holds `count` events and was put down. */
function storeWith(count: number): string {
  const store = join(tempFolder(), 'store');
  expect(createRun(store, setup, moment(0))).toEqual({ ok: true, value: RUN });
  const journal = journalOf(keep(store, moment(0)));
  for (let n = 1; n <= count; n++) {
    expect(journal.append(event(n), moment(n * 1000))).toEqual({ ok: true, seq: n, again: false });
  }
  journal.close();
  return store;
}

/** Opens a run for keeping and lets it go again: the case, and how many events could be had. */
function found(
  store: string,
  now?: Moment,
  maxPages?: number,
): readonly [string, number | undefined, boolean] {
  const opened = keep(store, now, maxPages);
  opened.journal?.close();
  return [opened.row.case, opened.contents?.events.length, opened.journal !== undefined];
}

function sql(store: string, statement: string): void {
  const db = new DatabaseSync(journalPath(store, RUN));
  db.exec(statement);
  db.close();
}

describe('the recovery table, each row for real', () => {
  test('no journal', () => {
    const store = tempFolder();
    expect(found(store)).toEqual(['no journal', undefined, false]);
    expect(openRun(store, '../../etc/passwd', { purpose: 'read', now: moment(0) }).row.case).toBe(
      'no journal',
    );
  });

  test('unreadable: the folder of the run belongs to somebody else', () => {
    if (process.getuid?.() !== 0) return;
    const store = storeWith(1);
    chownSync(runFolder(store, RUN), 12_345, 12_345);
    expect(found(store)).toEqual(['unreadable', undefined, false]);
  });

  test('not a journal: garbage, and a database of something else', () => {
    const store = storeWith(1);
    rmSync(`${journalPath(store, RUN)}-wal`, { force: true });
    writeFileSync(journalPath(store, RUN), 'once upon a time '.repeat(1000));
    expect(found(store)).toEqual(['not a journal', undefined, false]);
    rmSync(journalPath(store, RUN));
    sql(store, 'CREATE TABLE recipes (name TEXT)');
    expect(found(store)).toEqual(['not a journal', undefined, false]);
  });

  test('newer format: left as it is', () => {
    const store = storeWith(2);
    sql(store, 'PRAGMA user_version = 2');
    expect(found(store)).toEqual(['newer format', undefined, false]);
    sql(store, 'PRAGMA user_version = 1');
    expect(found(store)).toEqual(['put down', 2, true]);
  });

  test('never begun: an empty file, and tables without a setup', () => {
    const store = storeWith(0);
    sql(store, "DELETE FROM meta WHERE key = 'setup'");
    expect(found(store)).toEqual(['never begun', undefined, false]);
    rmSync(journalPath(store, RUN));
    writeFileSync(journalPath(store, RUN), '');
    expect(found(store)).toEqual(['never begun', undefined, false]);
  });

  test('damaged: a torn file', () => {
    const store = storeWith(200);
    const path = journalPath(store, RUN);
    truncateSync(path, statSync(path).size - 3 * 4096);
    const opened = keep(store);
    expect([opened.row.case, opened.journal]).toEqual(['damaged', undefined]);
  });

  test.each([
    ['is not JSON', "UPDATE event SET json = '{' WHERE seq = 3"],
    [
      'is no happening',
      `UPDATE event SET json = '{"source":"cook","happening":{"kind":"sing"}}' WHERE seq = 3`,
    ],
    ['has a form nobody knows', 'UPDATE event SET form = 99 WHERE seq = 3'],
    ['is missing', 'DELETE FROM event WHERE seq = 3'],
    ['lies before the one it follows', 'UPDATE event SET time = 5 WHERE seq = 3'],
  ])('damaged: a row that %s; what stands before it can be read', (_name, statement) => {
    const store = storeWith(5);
    sql(store, statement);
    const opened = keep(store);
    expect([opened.row.case, opened.contents?.events, opened.journal]).toEqual([
      'damaged',
      [event(1), event(2)],
      undefined,
    ]);
    expect(opened.say).toContain('event 3');
  });

  test('kept by another: one owner at a time, and reading is still possible', () => {
    const store = storeWith(2);
    const first = keep(store);
    expect(found(store)).toEqual(['kept by another', 2, false]);
    first.journal?.close();
    expect(found(store)).toEqual(['put down', 2, true]);
  });

  test('disk full', () => {
    const store = storeWith(2);
    sql(store, "DELETE FROM meta WHERE key = 'opened'");
    // The note that it was opened needs a page that the disk does not have.
    const pages = statSync(journalPath(store, RUN)).size / 4096;
    sql(store, `INSERT INTO meta VALUES ('fill', '${'x'.repeat(3500)}')`);
    expect(found(store, { ...moment(60_000), boot: 'b'.repeat(4000) }, pages)).toEqual([
      'disk full',
      2,
      false,
    ]);
    expect(found(store)).toEqual(['put down', 2, true]);
  });

  test('clock behind: the machine was started anew with a clock before the last event', () => {
    const store = storeWith(30);
    expect(found(store, moment(10_000, 'two'))).toEqual(['clock behind', 30, true]);
    // In the same start of the machine the uptime tells what passed, whatever the wall clock shows.
    expect(found(store, { ...moment(40_000), wall: epochMs(0) })).toEqual(['put down', 30, true]);
  });

  test('owner died: its card is still there and its lock is not', () => {
    const store = storeWith(3);
    writeFileSync(join(runFolder(store, RUN), 'owner.json'), '{"pid":4711,"socket":"/nowhere"}');
    expect(found(store)).toEqual(['owner died', 3, true]);
    expect(found(store)).toEqual(['put down', 3, true]);
  });

  test('read-only, seen by a user who may only read', () => {
    const store = storeWith(3);
    const answer = asAnotherReader(store);
    expect(answer).toEqual({ case: 'read-only', events: 3 });
  });
});

/** Opens the run in a process that has no right to write in it: a user of its own where we are root, a closed folder else. */
function asAnotherReader(store: string): unknown {
  const folder = runFolder(store, RUN);
  const root = process.getuid?.() === 0;
  const script = fileURLToPath(new URL('../support/open-run.ts', import.meta.url));
  const uid = 65_534;
  const all = [store, join(store, 'runs'), folder, ...readdirSync(folder).map((name) => join(folder, name))];
  if (root) for (const path of all) chownSync(path, uid, uid);
  for (const path of all.toReversed()) chmodSync(path, statSync(path).isDirectory() ? 0o500 : 0o400);
  if (root) chmodSync(join(store, '..'), 0o755);
  const ran = spawnSync(process.execPath, [script, store, RUN], {
    encoding: 'utf8',
    ...(root ? { uid, gid: uid } : {}),
  });
  for (const path of all) chmodSync(path, 0o700);
  if (ran.status !== 0) throw new Error(ran.stderr);
  return JSON.parse(ran.stdout);
}

describe('a journal', () => {
  test('gives back what was written, and how it is to be read later', () => {
    const store = storeWith(3);
    const opened = openRun(store, RUN, { purpose: 'read', now: moment(9000) });
    expect(opened.contents?.setup).toEqual(setup);
    expect(opened.contents?.events).toEqual([event(1), event(2), event(3)]);
    expect(opened.contents?.last).toEqual({ ...moment(3000), time: event(3).time });
  });

  test('takes the same id once', () => {
    const store = storeWith(2);
    const journal = journalOf(keep(store));
    expect(journal.append(event(1), moment(9000))).toEqual({ ok: true, seq: 1, again: true });
    expect(journal.append(event(3), moment(9000))).toEqual({ ok: true, seq: 3, again: false });
    expect([journal.seqOf('press-3'), journal.seqOf('nobody')]).toEqual([3, undefined]);
    journal.close();
    expect(found(store)[1]).toBe(3);
  });

  test('says that the disk is full, and goes on when there is room', () => {
    const store = storeWith(0);
    const pages = statSync(journalPath(store, RUN)).size / 4096;
    const journal = journalOf(keep(store, moment(1000), pages + 4));
    let n = 1;
    let answer = journal.append(event(n), moment(1000));
    while (answer.ok && n < 1000) answer = journal.append(event(++n), moment(1000));
    expect(answer).toMatchObject({ ok: false, problem: { code: 'disk full' } });
    expect([journal.events.length, journal.tryRoom()?.code]).toEqual([n - 1, 'disk full']);
    journal.close();
    const later = journalOf(keep(store));
    expect([later.events.length, later.tryRoom()]).toEqual([n - 1, undefined]);
    expect(later.append(event(n), moment(70_000)).ok).toBe(true);
    later.close();
  });

  test('whose side file is deleted under it says so, and nothing that was acknowledged is lost', () => {
    const store = storeWith(0);
    const journal = journalOf(keep(store));
    for (const n of [1, 2]) journal.append(event(n), moment(60_000 + n));
    expect(journal.isGone()).toBe(false);
    rmSync(`${journalPath(store, RUN)}-wal`);
    expect(journal.isGone()).toBe(true);
    // What a keeper leaves behind that is killed at this moment.
    const { contents } = openRun(store, RUN, { purpose: 'read', now: moment(70_000) });
    expect(contents?.events).toEqual([event(1), event(2)]);
    journal.close();
  });

  test('refuses what cannot be written down', () => {
    const journal = journalOf(keep(storeWith(0)));
    const odd = event(1, { kind: 'timer', length: seconds(Number.NaN) } as Partial<BenchEvent>);
    expect(journal.append(odd, moment(1000))).toMatchObject({
      ok: false,
      problem: { code: 'not writable as an event' },
    });
    expect(journal.events).toEqual([]);
    journal.close();
  });

  test('belongs to its user alone', () => {
    const store = storeWith(1);
    const journal = journalOf(keep(store));
    journal.append(event(2), moment(9000));
    const folder = runFolder(store, RUN);
    const modes = [
      store,
      join(store, 'runs'),
      folder,
      ...readdirSync(folder).map((name) => join(folder, name)),
    ].map((path) => (statSync(path).mode & 0o777).toString(8));
    journal.close();
    expect(modes.slice(0, 3)).toEqual(['700', '700', '700']);
    expect(modes.length).toBeGreaterThan(5);
    expect(new Set(modes.slice(3))).toEqual(new Set(['600']));
  });

  test('is full-synchronous and written ahead', () => {
    const db = new DatabaseSync(journalPath(storeWith(1), RUN));
    expect(db.prepare('PRAGMA journal_mode').get()).toEqual({ journal_mode: 'wal' });
    db.close();
  });
});

describe('a store', () => {
  test('lists its runs, the newest first', () => {
    const store = join(tempFolder(), 'store');
    expect(listRuns(store)).toEqual({ ok: true, value: [] });
    createRun(store, tinySetup('older', setup.begunAt - 1000), moment(0));
    createRun(store, setup, moment(0));
    createRun(store, tinySetup('served', setup.begunAt - 2000), moment(0));
    const served = openRun(store, 'served', { purpose: 'keep', now: moment(0) });
    served.journal?.noteServed(epochMs(5));
    served.journal?.close();
    mkdirSync(join(store, 'runs', 'broken'), { mode: 0o700 });
    const mine = keep(store, moment(0));
    const listed = listRuns(store);
    mine.journal?.close();
    expect(listed.ok && listed.value.map(({ run, state, live }) => [run, state, live])).toEqual([
      [RUN, 'open', true],
      ['older', 'open', false],
      ['served', 'served', false],
      ['broken', 'unreadable', false],
    ]);
    expect(listed.ok && listed.value[0]).toMatchObject({ title: 'Porch lunch', begunAt: setup.begunAt });
  });

  test('makes a run once', () => {
    const store = storeWith(0);
    expect(createRun(store, setup, moment(0))).toMatchObject({ ok: false, problem: { code: 'run exists' } });
    expect(createRun(store, tinySetup('../up'), moment(0))).toMatchObject({
      problem: { code: 'bad run name' },
    });
  });

  test('that cannot be made leaves nothing behind', () => {
    // A folder may have a longer name than SQLite takes for a file.
    const store = join(tempFolder(), ...['a', 'b', 'c'].map((letter) => letter.repeat(180)));
    expect(createRun(store, setup, moment(0))).toMatchObject({ ok: false, problem: { code: 'read-only' } });
    expect(readdirSync(join(store, 'runs'))).toEqual([]);
  });

  test.each([
    ['ENOSPC', 'disk full'],
    ['EDQUOT', 'disk full'],
    ['EROFS', 'read-only'],
    ['EACCES', 'read-only'],
    ['EIO', 'cannot write'],
  ])('the system says %s: %s', (code, problem) => {
    expect(writeProblem(Object.assign(new Error(code), { code }), '/a/b')).toMatchObject({ code: problem });
  });

  test('is not made over a link or in a folder that somebody else owns', () => {
    if (process.getuid?.() !== 0) return;
    const folder = tempFolder();
    mkdirSync(join(folder, 'theirs'));
    chownSync(join(folder, 'theirs'), 12_345, 12_345);
    symlinkSync(join(folder, 'theirs'), join(folder, 'link'));
    for (const name of ['theirs', 'link']) {
      expect(createRun(join(folder, name), setup, moment(0))).toMatchObject({
        ok: false,
        problem: { code: 'store not ours', what: expect.stringContaining('another user') },
      });
    }
  });

  test('is not made where a file is', () => {
    const file = join(tempFolder(), 'file');
    writeFileSync(file, 'x');
    expect(createRun(file, setup, moment(0))).toMatchObject({ problem: { code: 'store not usable' } });
  });
});

test('the lock knows who died and who only looks', () => {
  const folder = tempFolder();
  const first = own(folder);
  if (first === 'taken') throw new Error('nobody else is here');
  expect([first.before, own(folder)]).toEqual(['none', 'taken']);
  expect(JSON.parse(readFileSync(join(folder, 'owner.json'), 'utf8'))).toEqual({ pid: process.pid });
  first.release();
  const second = own(folder);
  expect(second === 'taken' ? second : second.before).toBe('none');
  if (second !== 'taken') second.release();
});
