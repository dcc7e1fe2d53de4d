import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { epochMs, type EpochMs } from '../units/index.ts';
import { isOwned } from './owner.ts';
import { done, failed, messageOf, systemCode, type Result } from './problem.ts';
import { checkFolder, isRunName, journalPath, runFolder, type Store } from './store.ts';
import { readSummary } from './tables.ts';

/** One run of a store, as the list shows it. */
export type ListedRun = { readonly run: string; /** A keeper is at work on it. */ readonly live: boolean } & (
  | {
      readonly state: 'open' | 'served';
      readonly title: string;
      /** Nothing was cooked. */
      readonly isRehearsal: boolean;
      readonly begunAt: EpochMs;
      readonly latest: EpochMs;
      readonly events: number;
    }
  /** Its journal cannot be read; opening it says why. */
  | { readonly state: 'unreadable' }
);

/** The runs of a store, the newest first, unreadable ones last; none where there is no store yet. */
export function listRuns(store: Store): Result<readonly ListedRun[]> {
  let names: string[];
  try {
    names = readdirSync(join(store, 'runs')).filter(isRunName);
  } catch (error) {
    if (systemCode(error) === 'ENOENT') return done([]);
    return failed(
      'store not usable',
      `${store} cannot be read: ${messageOf(error)}`,
      'name another: --store DIR',
    );
  }
  const ours = checkFolder(store);
  if (!ours.ok) return ours;
  const begun = (run: ListedRun): number => (run.state === 'unreadable' ? 0 : run.begunAt);
  return done(
    names.map((run) => listed(store, run)).sort((a, b) => begun(b) - begun(a) || (a.run < b.run ? 1 : -1)),
  );
}

function listed(store: Store, run: string): ListedRun {
  const live = isOwned(runFolder(store, run));
  const summary = checkFolder(runFolder(store, run)).ok ? readSummary(journalPath(store, run)) : undefined;
  if (summary === undefined) return { run, live, state: 'unreadable' };
  return {
    run,
    live,
    state: summary.servedAt === undefined ? 'open' : 'served',
    title: summary.title,
    isRehearsal: summary.isRehearsal,
    begunAt: epochMs(summary.begunAt),
    latest: epochMs(summary.latest),
    events: summary.events,
  };
}
