import { existsSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import * as esbuild from 'esbuild';
import { afterEach, beforeAll, describe, expect, test } from 'vitest';
import type { Happening } from '../../src/bench/index.ts';
import { createRun, isOwned, journalPath, openRun, readOwner, runFolder } from '../../src/journal/index.ts';
import { attach, type AttachOptions } from '../../src/keeper/client.ts';
import { machineClock, momentOf } from '../../src/keeper/clock.ts';
import type { LinkChange, RunLink } from '../../src/keeper/link.ts';
import { spawnKeeper } from '../../src/keeper/spawn.ts';
import { seconds } from '../../src/units/index.ts';
import { fakeBench } from '../support/fake-bench.ts';
import { tempFolder } from '../support/folder.ts';
import { tinySetup } from '../support/tiny-setup.ts';
import { until } from '../support/until.ts';

const RUN = 'porch';
const timer = (name: string, length = 600): Happening => ({ kind: 'timer', name, length: seconds(length) });

/** The keeper of these tests as one file: it starts in half the time. */
let SCRIPT = '';
beforeAll(async () => {
  const outdir = mkdtempSync(join(tmpdir(), 'thirdhand-test-keeper-'));
  SCRIPT = join(outdir, 'keeper-process.mjs');
  await esbuild.build({
    entryPoints: [fileURLToPath(new URL('../support/keeper-process.ts', import.meta.url))],
    outfile: SCRIPT,
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: 'node24',
    logLevel: 'warning',
    banner: {
      js: "import { createRequire as requireFrom } from 'node:module'; const require = requireFrom('/');",
    },
  });
  return () => rmSync(outdir, { recursive: true, force: true });
});

const started: number[] = [];
const links: RunLink[] = [];
afterEach(async () => {
  for (const link of links.splice(0)) await link.close();
  for (const pid of started.splice(0)) end(pid, 'SIGKILL');
});

function end(pid: number, signal: NodeJS.Signals): void {
  try {
    process.kill(pid, signal);
  } catch {
    // It has ended already.
  }
}

function newStore(): string {
  const store = join(tempFolder(), 'store');
  createRun(store, tinySetup(RUN, Date.now()), momentOf(machineClock()));
  return store;
}

/** Starts a keeper process and gives its process id. */
async function keeper(store: string, env: Readonly<Record<string, string>> = {}): Promise<number> {
  const spawned = await spawnKeeper({
    store,
    run: RUN,
    command: [process.execPath, SCRIPT],
    env: { ...process.env, ...env },
  });
  if (!spawned.ok) throw new Error(spawned.why);
  started.push(spawned.pid);
  return spawned.pid;
}

async function board(
  store: string,
  more: Partial<AttachOptions> = {},
): Promise<{ link: RunLink; changes: LinkChange[] }> {
  const attached = await attach({ store, run: RUN, engine: fakeBench, ...more });
  if (!attached.ok) throw new Error(attached.why);
  links.push(attached.link);
  const changes: LinkChange[] = [];
  attached.link.subscribe((change) => changes.push(change));
  return { link: attached.link, changes };
}

const kinds = (changes: readonly LinkChange[]): string[] =>
  changes.map((change) => change.kind).filter((kind) => kind !== 'beat');

const gone = (store: string): Promise<boolean> =>
  until('the keeper is gone', () => !isOwned(runFolder(store, RUN)));

describe('a keeper process', () => {
  test('outlives its boards, and is found again', async () => {
    const store = newStore();
    const pid = await keeper(store);
    const first = await board(store);
    await first.link.press(timer('tea'));
    await first.link.close();
    expect(await keeper(store)).toBe(pid);
    const second = await board(store);
    expect(second.link.state.timers.map(({ name }) => name)).toEqual(['tea']);
  });

  test('kill -9: the next keeper has everything that was acknowledged, and the board goes on', async () => {
    const store = newStore();
    const pid = await keeper(store);
    const { link, changes } = await board(store);
    await link.press(timer('tea'));
    end(pid, 'SIGKILL');
    await until('the loss is told', () => changes.some((change) => change.kind === 'lost'));
    const pressed = link.press(timer('milk'));
    expect(await keeper(store)).not.toBe(pid);
    expect(await pressed).toEqual({ ok: true });
    expect(link.state.timers.map(({ name }) => name)).toEqual(['tea', 'milk']);
    expect(kinds(changes)).toEqual(expect.arrayContaining(['lost', 'back']));
  });

  test('a board that may, starts the next keeper itself', async () => {
    const store = newStore();
    const pid = await keeper(store);
    const { link, changes } = await board(store, {
      revive: async () => ({ ok: true, pid: await keeper(store) }),
    });
    end(pid, 'SIGKILL');
    await until('the board is back', () => changes.some((change) => change.kind === 'back'));
    expect(await link.press(timer('tea'))).toEqual({ ok: true });
  });

  test('of many that start at once exactly one keeps the run', async () => {
    const store = newStore();
    const pids = await Promise.all(Array.from({ length: 4 }, () => keeper(store)));
    expect(new Set(pids).size).toBe(1);
    expect(readOwner(runFolder(store, RUN))?.pid).toBe(pids[0]);
    const log = join(runFolder(store, RUN), 'keeper.log');
    await until(
      'the others have said so',
      () => readFileSync(log, 'utf8').match(/a keeper is at work/g)?.length === 6,
    );
  });

  test('TERM ends it in order: boards are told, and the run is put down', async () => {
    const store = newStore();
    const pid = await keeper(store);
    const { link, changes } = await board(store);
    end(pid, 'SIGHUP');
    expect(await link.press(timer('a hangup is nothing'))).toEqual({ ok: true });
    end(pid, 'SIGTERM');
    await until('the board hears of it', () => changes.some((change) => change.kind === 'ended'));
    expect(changes.at(-1)).toEqual({ kind: 'ended', reason: 'stopped' });
    await gone(store);
    expect([
      readOwner(runFolder(store, RUN)),
      existsSync(join(runFolder(store, RUN), 'keeper.sock')),
    ]).toEqual([undefined, false]);
  });

  test('what keeps it from starting is reported with its last words', async () => {
    const store = newStore();
    renameSync(join(runFolder(store, RUN), 'journal.db'), join(runFolder(store, RUN), 'elsewhere.db'));
    expect(await spawnKeeper({ store, run: RUN, command: [process.execPath, SCRIPT] })).toMatchObject({
      ok: false,
      why: expect.stringContaining('there is no such run in this store'),
    });
    expect(await spawnKeeper({ store, run: RUN, command: ['/nowhere/node'] })).toMatchObject({
      ok: false,
      why: expect.stringContaining('ENOENT'),
    });
  });

  test('stopped and continued: the gap is told, and what fell due rings once', async () => {
    const store = newStore();
    const pid = await keeper(store, { TEST_SILENCE: '1200' });
    const { link, changes } = await board(store, { patience: 1500 });
    await link.press(timer('tea', 1.3));
    end(pid, 'SIGSTOP');
    await until('the silence is told', () => changes.some((change) => change.kind === 'lost'));
    end(pid, 'SIGCONT');
    await until('the call', () => link.state.calls.length === 1);
    expect(kinds(changes).filter((kind) => kind !== 'event')).toEqual(['lost', 'back']);
    expect(link.state.log).toMatchObject([{ text: 'gap: machine slept' }]);
    expect(changes.flatMap((change) => (change.kind === 'event' ? change.effects : []))).toHaveLength(1);
  });

  test('an hour of sleep and a stepped clock, by clocks that a test moves', async () => {
    const store = newStore();
    const file = join(store, 'clock.json');
    const move = (wall: number, elapsed: number): void => {
      writeFileSync(`${file}.new`, JSON.stringify({ wall, elapsed }));
      renameSync(`${file}.new`, file);
    };
    const hour = 3_600_000;
    move(0, 0);
    await keeper(store, { TEST_CLOCK: file });
    const { link } = await board(store);
    await link.press(timer('tea', 1800));
    move(hour * 5, 0);
    await until('the step is told', () => link.state.log.length === 1);
    expect([link.state.log[0]?.text, link.state.calls]).toEqual(['gap: clock stepped', []]);
    move(hour * 6, hour);
    await until('the sleep is told', () => link.state.log.length === 2);
    expect([link.state.log[1]?.text, link.state.calls.length]).toEqual(['gap: machine slept', 1]);
    const begun = link.state.setup.begunAt;
    expect(Math.round((link.state.time - begun) / hour)).toBe(1);
  });

  test('a keeper that was stopped is told from one that is not there', async () => {
    const store = newStore();
    const pid = await keeper(store);
    end(pid, 'SIGSTOP');
    expect(await attach({ store, run: RUN, engine: fakeBench, deadline: 100 })).toEqual({
      ok: false,
      why: `the keeper of this run, process ${pid}, is there and does not answer`,
    });
    end(pid, 'SIGCONT');
    const { link } = await board(store);
    expect(await link.press(timer('tea'))).toEqual({ ok: true });
  });

  test('a deleted run ends its keeper', async () => {
    const store = newStore();
    await keeper(store);
    const { changes } = await board(store);
    rmSync(runFolder(store, RUN), { recursive: true });
    await until('the board hears of it', () => changes.some((change) => change.kind === 'ended'));
    expect(changes.at(-1)).toEqual({
      kind: 'ended',
      reason: 'failed',
      detail: 'the journal of the run has been deleted or replaced',
    });
  });

  test('a board hears why the next keeper cannot start', async () => {
    const store = newStore();
    const pid = await keeper(store);
    let tried = 0;
    const { changes } = await board(store, {
      revive() {
        tried += 1;
        return spawnKeeper({ store, run: RUN, command: [process.execPath, SCRIPT] });
      },
    });
    writeFileSync(journalPath(store, RUN), 'rubbish');
    end(pid, 'SIGKILL');
    await until('it was tried again', () => tried > 2);
    const told = changes.flatMap((change) =>
      change.kind === 'lost' && change.detail.includes('journal.db') ? [change.detail] : [],
    );
    expect(told).toEqual([
      `${journalPath(store, RUN)}: the file is not a journal of thirdhand: it was left as it is; put back the right file from a copy`,
    ]);
  });

  test('a full disk is said, and nothing acknowledged is lost', async () => {
    const store = newStore();
    const pid = await keeper(store, { TEST_PAGES: '12' });
    const { link, changes } = await board(store);
    let taken = 0;
    let answer = await link.press(timer('first'));
    for (; answer.ok; taken += 1) answer = await link.press(timer(`${taken}-${'n'.repeat(250)}`));
    expect(answer.why).toContain('the disk is full');
    expect(
      changes.some((change) => change.kind === 'trouble' && change.detail.includes('disk is full')),
    ).toBe(true);
    end(pid, 'SIGKILL');
    await gone(store);
    const { contents } = openRun(store, RUN, { purpose: 'read', now: momentOf(machineClock()) });
    expect(contents?.events).toHaveLength(taken);
  });
});
