import { spawn } from 'node:child_process';
import { closeSync, openSync, readFileSync, renameSync, statSync } from 'node:fs';
import { connect } from 'node:net';
import { join, resolve } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { isOwned, readOwner, runFolder } from '../journal/index.ts';

export interface SpawnOptions {
  readonly store: string;
  readonly run: string;
  /** The program and its first arguments, to which `--store DIR --run RUN` is added: `[node, entry, 'keeper']`. */
  readonly command: readonly [string, ...string[]];
  readonly env?: NodeJS.ProcessEnv;
  /** How long to wait for the keeper to answer, in ms. Default 15 s. */
  readonly deadline?: number;
}

export type Spawned =
  | { readonly ok: true; /** The keeper's process. */ readonly pid: number }
  | { readonly ok: false; readonly why: string };

/** A log that has grown beyond this is set aside when a keeper starts; one older log is kept. */
const LOG_BYTES = 1024 * 1024;

/**
 * Starts a keeper for the run as a process of its own, in its own session, and waits until it answers. If a keeper
 * answers already, or another one wins the race, that one is as good: the run is kept. Never rejects.
 */
export async function spawnKeeper(options: SpawnOptions): Promise<Spawned> {
  const folder = runFolder(options.store, options.run);
  const deadline = performance.now() + (options.deadline ?? 15_000);
  const there = await answering(folder);
  if (there !== undefined) return { ok: true, pid: there };
  const child = start(options, folder);
  if (typeof child === 'string') return { ok: false, why: child };
  while (performance.now() < deadline) {
    const pid = await answering(folder);
    if (pid !== undefined) return { ok: true, pid };
    // Ours has given up: that is final unless it gave way to another, which is then still starting.
    if (child.gone() && !isOwned(folder)) return { ok: false, why: child.lastWords() };
    await pause(20);
  }
  return { ok: false, why: `the keeper does not answer: ${child.lastWords()}` };
}

interface Child {
  gone(): boolean;
  lastWords(): string;
}

function start({ command, store, run, env }: SpawnOptions, folder: string): Child | string {
  const log = join(folder, 'keeper.log');
  let handle: number | undefined;
  try {
    if ((statSync(log, { throwIfNoEntry: false })?.size ?? 0) > LOG_BYTES) renameSync(log, `${log}.old`);
    handle = openSync(log, 'a', 0o600);
    const [program, ...first] = command;
    const child = spawn(program, [...first, '--store', resolve(store), '--run', run], {
      detached: true,
      stdio: ['ignore', handle, handle],
      cwd: folder,
      windowsHide: true,
      ...(env === undefined ? {} : { env }),
    });
    let gone = false;
    let trouble: string | undefined;
    child.once('error', (error) => {
      gone = true;
      trouble = error.message;
    });
    child.once('exit', () => (gone = true));
    child.unref();
    return { gone: () => gone, lastWords: () => trouble ?? lastLine(log) };
  } catch (error) {
    return `the keeper cannot be started: ${error instanceof Error ? error.message : String(error)}`;
  } finally {
    if (handle !== undefined) closeSync(handle);
  }
}

/** What a line of the log begins with: when it was said, and that it was the last word. */
const STAMP = /^\d{4}-\S+Z (?:ended: failed: )?/;

function lastLine(log: string): string {
  try {
    const lines = readFileSync(log, 'utf8').trimEnd().split('\n');
    return (lines.at(-1) ?? '').replace(STAMP, '').slice(0, 1000) || 'it said nothing';
  } catch {
    return 'it said nothing';
  }
}

/** The process id of the run's keeper, if one owns the run and takes connections. */
async function answering(folder: string): Promise<number | undefined> {
  const card = readOwner(folder);
  const path = card?.socket;
  if (path === undefined || !isOwned(folder)) return undefined;
  const answers = await new Promise<boolean>((resolve) => {
    const socket = connect(path);
    socket.once('connect', () => resolve(true));
    socket.once('error', () => resolve(false));
    socket.once('connect', () => socket.destroy());
  });
  return answers ? card?.pid : undefined;
}
