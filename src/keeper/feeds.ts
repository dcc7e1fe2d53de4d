import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import * as z from 'zod';
import type { Happening } from '../bench/index.ts';
import { openFeeds, type Feeds, type FeedSpec } from '../feed/index.ts';
import type { Core } from './core.ts';

/*
 * Feeds belong to the keeper: readings go on coming when no board is open. Which ones a run has stands in a small file in
 * its folder, beside the journal, since they are of this machine and not of the plan; so `resume` opens them again. Standard
 * input belongs to the process that has it: a board's, which hands on what it reads (see `BoardLink.feed`).
 */

const specSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('pipe'), path: z.string().min(1).max(4096) }),
  z.strictObject({ kind: z.literal('port'), port: z.int().min(1024).max(65_535) }),
]);
const fileSchema = z.array(specSchema);

const pathIn = (folder: string): string => join(folder, 'feeds.json');

/** Notes which feeds a run's keeper is to open. Standard input is none of them. */
export function noteFeeds(folder: string, specs: readonly FeedSpec[]): void {
  const fresh = `${pathIn(folder)}.new`;
  writeFileSync(fresh, JSON.stringify(specs.filter(({ kind }) => kind !== 'input')), { mode: 0o600 });
  renameSync(fresh, pathIn(folder));
}

/** The feeds that were noted for a run, none where there is no note; nothing where the note cannot be understood. */
function notedFeeds(folder: string): readonly FeedSpec[] | undefined {
  if (!existsSync(pathIn(folder))) return [];
  try {
    return fileSchema.parse(JSON.parse(readFileSync(pathIn(folder), 'utf8')));
  } catch {
    return undefined;
  }
}

/** What is told where a note cannot be understood. */
const UNREADABLE = {
  kind: 'feed',
  feed: 'feeds',
  state: 'off',
  detail: 'what was noted of them cannot be read; stop the run and resume it with its --feed',
  used: 0,
  thinned: 0,
  refused: 0,
} as const;

/** Opens a run's feeds; what they bring becomes events like any other. */
export function keepFeeds(
  core: Core,
  folder: string,
  env: Readonly<Record<string, string | undefined>>,
): Feeds {
  const act = (happening: Happening): void =>
    core.take({ kind: 'act', id: randomUUID(), source: 'probe', happening });
  const noted = notedFeeds(folder);
  if (!noted) act(UNREADABLE);
  return openFeeds({
    specs: noted ?? [],
    workload: core.journal.setup.workload,
    env,
    onReading: ({ probe, temperature }) => act({ kind: 'reading', probe, temperature }),
    onReport: (report) => act({ kind: 'feed', ...report }),
  });
}
