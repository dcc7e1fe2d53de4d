import { rmSync } from 'node:fs';
import { createHerald, loudspeaker, type Notify, type RunSound } from '../herald/index.ts';
import { openRun, runFolder, type Journal } from '../journal/index.ts';
import { momentOf, type Clock } from './clock.ts';
import { openCore, type Core, type CoreOptions } from './core.ts';
import type { Workload } from '../plan/index.ts';
import type { BenchEngine } from './engine.ts';
import { keepFeeds } from './feeds.ts';
import type { Replanner } from './replanner.ts';
import { runKeeper, type KeeperEnd } from './run-keeper.ts';
import { serveBoards } from './server.ts';
import { socketPath } from './socket-path.ts';

export interface KeepOptions extends Pick<CoreOptions, 'longestSilence' | 'linger' | 'forecaster'> {
  readonly store: string;
  readonly run: string;
  readonly engine: BenchEngine;
  readonly clock: Clock;
  readonly notify: Notify | undefined;
  /** A program of the cook's own that makes the noises, whether or not a board is open; none by default. */
  readonly sound?: RunSound | undefined;
  /** Who works out new timetables for a run of this workload; nobody by default. */
  readonly replanner?: (workload: Workload) => Replanner;
  /** Where secrets of feeds are looked up; nothing by default. */
  readonly env?: Readonly<Record<string, string | undefined>>;
  /** For the program's log, one line each. */
  readonly log: (line: string) => void;
  /** Lets somebody outside (a signal) end the keeper; called once, when it is at work. */
  readonly onStart?: (stop: () => void) => void;
  /** For tests: see `Opening.maxPages`. */
  readonly maxPages?: number;
}

/** Takes the run, keeps it until it ends, and puts it down. What went wrong comes back as `failed` with words for people. */
export async function keepRun(options: KeepOptions): Promise<KeeperEnd> {
  const { store, run, clock, maxPages } = options;
  const opened = openRun(store, run, {
    purpose: 'keep',
    now: momentOf(clock),
    ...(maxPages === undefined ? {} : { maxPages }),
  });
  options.log(opened.say);
  if (opened.journal === undefined) {
    return { reason: 'failed', detail: `${opened.say}: ${opened.row.hint}` };
  }
  try {
    const end = await keepJournal(options, opened.journal);
    opened.journal.close();
    return end;
  } catch (error) {
    opened.journal.close('broken');
    return {
      reason: 'failed',
      detail: error instanceof Error ? (error.stack ?? error.message) : String(error),
    };
  }
}

async function keepJournal(options: KeepOptions, journal: Journal): Promise<KeeperEnd> {
  const herald = createHerald({
    notify: options.notify,
    unavailable: (why) => options.log(`no desktop notifications: ${why}`),
    schedule,
    title: journal.setup.workload.plans.map((plan) => plan.title).join(' + '),
  });
  const noises =
    options.sound &&
    loudspeaker({
      run: options.sound,
      unavailable: (why) => options.log(`the bell alone: ${why}`),
      schedule,
    });
  const { replanner, ...rest } = options;
  const core: Core = openCore({
    ...rest,
    ...(replanner ? { replanner: replanner(journal.setup.workload) } : {}),
    journal,
    perform: (effects) => {
      herald.perform(effects);
      noises?.take(effects);
    },
    complain: options.log,
  });
  const folder = runFolder(options.store, options.run);
  const path = socketPath(folder);
  const server = await serveBoards(core, path);
  journal.announce(path);
  options.onStart?.(() => core.take({ kind: 'stop', reason: 'stopped' }));
  const feeds = keepFeeds(core, folder, options.env ?? {});
  const end = await runKeeper(core, server);
  feeds.close();
  herald.close();
  noises?.stop();
  await server.close();
  rmSync(path, { force: true });
  return end;
}

const schedule = (afterMs: number, act: () => void): (() => void) => {
  const timer = setTimeout(act, afterMs);
  return () => clearTimeout(timer);
};
