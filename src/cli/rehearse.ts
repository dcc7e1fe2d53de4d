import type { RunSetup } from '../bench/index.ts';
import type { Workload } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';
import { runFolder } from '../journal/index.ts';
import { existsSync } from 'node:fs';
import {
  begunBefore,
  firstOf,
  makeTimetable,
  noPromise,
  nowMs,
  runName,
  serveTime,
  soundPlans,
  wholeNumber,
  type PlanOptions,
} from './prepare.ts';
import { EXIT, Stop } from './exit.ts';
import type { Out } from './out.ts';
import { rehearseMany } from './rehearse-many.ts';
import { orRefused } from './refused.ts';
import { storeOf } from './run.ts';
import { rehearseOnStage } from './stage-rehearse.ts';
import { rundownOf, setupOf, type StageOptions } from './stage.ts';
import { watch, type WatchOptions } from './watch.ts';

export interface RehearseOptions extends PlanOptions, WatchOptions, StageOptions {
  readonly runs?: string;
  readonly seed: string;
  readonly watch?: boolean;
  readonly json?: boolean;
  readonly picture?: string;
}

/** `rehearse`: the plan against a simulated kitchen, once on the board or many times without one. */
export async function rehearse(files: readonly string[], options: RehearseOptions, out: Out): Promise<void> {
  notBoth(options);
  const workload = soundPlans(files, options, out.warn);
  const seed = wholeNumber(options.seed, '--seed', 999_999_999);
  const runs = wholeNumber(options.runs ?? RUNS, '--runs', MOST_RUNS);
  const now = nowMs();
  const rundown = orRefused(options.json ?? false, out, () => rundownOf(workload, options, now));
  const { watch: isWatched = false, plain: isQuiet = false, json = false, picture } = options;
  if (rundown && picture !== undefined)
    throw new Stop(EXIT.usage, 'a demonstration has no picture', [
      '--picture with --no-stage draws the plan as one for service; the figures of a demonstration are in --json',
    ]);
  if (rundown) noPromise(options);
  const laid = rundown
    ? setupOf(rundown)
    : orRefused(options.json ?? false, out, () => timetableOf(workload, options, now, out));
  const late = begunBefore('rehearsal', laid.workload, laid.timetable, now);
  if (late !== undefined) out.warn(late);
  if (rundown && !isWatched)
    return rehearseOnStage(
      rundown,
      { runs: wholeNumber(String(runs), '--runs', MOST_EVENINGS), seed, json, isQuiet },
      out,
    );
  const run = runName(workload, now, (name) => existsSync(runFolder(storeOf(options), name)));
  // A rehearsal begins when the first thing is to be done, however long that is from now.
  const setup: RunSetup = { run, ...laid, begunAt: firstOf(laid.timetable) };
  if (isWatched) return watch(setup, seed, options, out);
  await rehearseMany(
    setup,
    {
      runs,
      seed,
      json,
      isQuiet,
      now,
      ...(picture !== undefined && { picture }),
    },
    out,
  );
}

/** The timetable that is on the sheet: nobody has to begin in time for what is only rehearsed. */
function timetableOf(
  workload: Workload,
  options: RehearseOptions,
  now: EpochMs,
  out: Out,
): Pick<RunSetup, 'workload' | 'timetable'> {
  const serve = serveTime(workload, options.serve, now);
  const notBefore = serve.kind === 'soonest' ? now : undefined;
  return { workload, timetable: makeTimetable(workload, serve, notBefore, options, out.warn) };
}

/** How many rehearsals, where nothing is said, and at most. */
const RUNS = '1000';
const MOST_RUNS = 1_000_000;
/** Of a demonstration: each evening is kept. */
const MOST_EVENINGS = 100_000;

/** Refuses what is of one rehearsal where many are asked for, and the other way round: nothing that was asked for is passed over. */
function notBoth({ watch: isWatched, runs, picture, hands, speed, store }: RehearseOptions): void {
  const ofMany = { '--runs': runs, '--picture': picture };
  const ofOne = { '--hands': hands, '--speed': speed, '--store': store };
  const strange = Object.entries(isWatched ? ofMany : ofOne).find(([, value]) => value !== undefined)?.[0];
  if (strange === undefined) return;
  throw isWatched
    ? new Stop(EXIT.usage, `${strange} is for many rehearsals, and --watch is one`, [
        `leave out one of the two`,
      ])
    : new Stop(EXIT.usage, `${strange} is for one rehearsal, and without --watch they are many`, [
        'add --watch',
      ]);
}
