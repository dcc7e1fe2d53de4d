import type { RunSetup } from '../bench/index.ts';
import { runFolder } from '../journal/index.ts';
import { replan } from '../planner/index.ts';
import { rehearseToEnd } from '../rehearsal/index.ts';
import { roughly, seconds } from '../units/index.ts';
import { existsSync } from 'node:fs';
import { EXIT, Stop } from './exit.ts';
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
import { storeOf } from './run.ts';
import { watch, type WatchOptions } from './watch.ts';

export interface RehearseOptions extends PlanOptions, WatchOptions {
  readonly serve?: string;
  readonly runs: string;
  readonly seed: string;
  readonly watch?: boolean;
  readonly json?: boolean;
}

/** `rehearse`: the plan against a simulated kitchen, once on the board or many times without one. */
export async function rehearse(files: readonly string[], options: RehearseOptions, out: Out): Promise<void> {
  const workload = soundPlans(files, options, out.warn);
  const seed = wholeNumber(options.seed, '--seed', 999_999_999);
  const now = nowMs();
  const serve = serveTime(workload, options.serve ?? 'soonest', now);
  const timetable = makeTimetable(workload, serve, now, options);
  const run = runName(workload, now, (name) => existsSync(runFolder(storeOf(options), name)));
  // A rehearsal begins when the first thing is to be done, however long that is from now.
  const first = [
    ...timetable.steps.map((step) => step.start),
    ...timetable.settings.map((setting) => setting.at),
  ];
  const begunAt = first.reduce((a, b) => (a < b ? a : b));
  const setup: RunSetup = { run, workload, timetable, begunAt };
  if (options.watch || options.plain) await watch(setup, seed, options, out);
  else many(setup, seed, wholeNumber(options.runs, '--runs', 100_000), options.json ?? false, out);
}

function many(setup: RunSetup, seed: number, runs: number, asJson: boolean, out: Out): void {
  const ends = Array.from({ length: runs }, (_, index) => rehearseToEnd(setup, seed + index, { replan }));
  const late = ends.map((end) => (end.ended === 'served' ? end.late : Infinity)).toSorted((a, b) => a - b);
  const onTime = late.filter((each) => each < 60).length;
  const stuck = ends.filter((end) => end.ended === 'stuck');
  const nine = late[Math.min(late.length - 1, Math.floor(late.length * 0.9))] ?? 0;
  const alarms = new Map<string, number>();
  for (const end of ends) {
    const kinds = new Set(
      end.state.log.filter((line) => line.kind === 'alarm').map((line) => line.key?.split('#')[0] ?? ''),
    );
    for (const kind of kinds) alarms.set(kind, (alarms.get(kind) ?? 0) + 1);
  }
  const worst = [...alarms].toSorted((a, b) => b[1] - a[1]).slice(0, 5);
  if (asJson) {
    const broken = Object.fromEntries(worst);
    out.json({
      runs,
      seed,
      onTime,
      lateSeconds90: Number.isFinite(nine) ? nine : null,
      stuck: stuck.length,
      alarms: broken,
    });
  } else {
    out.print(
      [
        `on time (within a minute) in ${onTime} of ${runs} rehearsals; in nine of ten no later than ${Number.isFinite(nine) ? roughly(seconds(nine)) : 'never'}`,
        ...(worst.length > 0 ? ['what went wrong most often:'] : ['nothing went wrong']),
        ...worst.map(([what, count]) => `  ${what}: in ${count} of ${runs}`),
        `(seeds ${seed} to ${seed + runs - 1}; the ranges are the plan's own guesses until records replace them)`,
      ].join('\n'),
    );
  }
  const [first] = stuck;
  if (first?.ended === 'stuck')
    throw new Stop(EXIT.problem, `${stuck.length} rehearsals came to no end`, [first.why]);
}
