import type { RunSetup } from '../bench/index.ts';
import { runFolder } from '../journal/index.ts';
import { existsSync } from 'node:fs';
import {
  makeTimetable,
  nowMs,
  runName,
  serveTime,
  soundPlans,
  wholeNumber,
  type PlanOptions,
} from './prepare.ts';
import type { Out } from './out.ts';
import { rehearseMany } from './rehearse-many.ts';
import { orRefused } from './refused.ts';
import { storeOf } from './run.ts';
import { rehearseOnStage } from './stage-rehearse.ts';
import { rundownOf, setupOf, type StageOptions } from './stage.ts';
import { watch, type WatchOptions } from './watch.ts';

export interface RehearseOptions extends PlanOptions, WatchOptions, StageOptions {
  readonly runs: string;
  readonly seed: string;
  readonly watch?: boolean;
  readonly json?: boolean;
  readonly picture?: string;
}

/** `rehearse`: the plan against a simulated kitchen, once on the board or many times without one. */
export async function rehearse(files: readonly string[], options: RehearseOptions, out: Out): Promise<void> {
  const workload = soundPlans(files, options, out.warn);
  const seed = wholeNumber(options.seed, '--seed', 999_999_999);
  const now = nowMs();
  const rundown = orRefused(options.json ?? false, out, () =>
    rundownOf(workload, { ...options, serve: options.serve ?? 'soonest' }, now),
  );
  if (rundown && !options.watch && !options.plain)
    return rehearseOnStage(
      rundown,
      wholeNumber(options.runs, '--runs', 100_000),
      seed,
      options.json ?? false,
      out,
    );
  const serve = serveTime(workload, options.serve ?? 'soonest', now);
  const laid = rundown
    ? setupOf(rundown)
    : { workload, timetable: makeTimetable(workload, serve, now, options) };
  const { timetable } = laid;
  const run = runName(workload, now, (name) => existsSync(runFolder(storeOf(options), name)));
  // A rehearsal begins when the first thing is to be done, however long that is from now.
  const first = [
    ...timetable.steps.map((step) => step.start),
    ...timetable.settings.map((setting) => setting.at),
  ];
  const begunAt = first.reduce((a, b) => (a < b ? a : b));
  const setup: RunSetup = { run, ...laid, begunAt };
  if (options.watch || options.plain) {
    await watch(setup, seed, options, out);
    return;
  }
  const runs = wholeNumber(options.runs, '--runs', 1_000_000);
  await rehearseMany(
    setup,
    {
      runs,
      seed,
      json: options.json ?? false,
      ...(options.picture !== undefined && { picture: options.picture }),
    },
    out,
  );
}
