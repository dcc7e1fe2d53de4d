import type { RunSetup } from '../bench/index.ts';
import { createRun, memoryJournal, openRun, runFolder, type Journal } from '../journal/index.ts';
import { benchEngine, directReplanner, momentOf, openLocalKeeper, simulatedClock } from '../keeper/index.ts';
import { replan } from '../planner/index.ts';
import { servedWords } from '../view/index.ts';
import { createRehearsal, rehearseToEnd } from '../rehearsal/index.ts';
import { roughly, seconds } from '../units/index.ts';
import { existsSync } from 'node:fs';
import { EXIT, Stop } from './exit.ts';
import { playRehearsal } from './play.ts';
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
import { showRun, stopFor, storeOf, type StoreOptions } from './run.ts';

export interface RehearseOptions extends PlanOptions, StoreOptions {
  readonly serve?: string;
  readonly runs: string;
  readonly seed: string;
  readonly watch?: boolean;
  readonly speed: string;
  readonly plain?: boolean;
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
  if (options.watch || options.plain) await watchOne(setup, seed, options, out);
  else many(setup, seed, wholeNumber(options.runs, '--runs', 100_000), options.json ?? false, out);
}

async function watchOne(setup: RunSetup, seed: number, options: RehearseOptions, out: Out): Promise<void> {
  const speed = Number(options.speed);
  if (!(speed > 0 && speed <= 1_000_000)) {
    throw new Stop(EXIT.usage, `--speed wants a number above 0, not "${options.speed}"`, [
      '60 is a minute a second',
    ]);
  }
  const clock = simulatedClock(setup.begunAt);
  const journal =
    options.store === undefined
      ? memoryJournal(setup, momentOf(clock))
      : storedJournal(setup, options, momentOf(clock));
  // The simulated clock waits for a new timetable, so that what happens does not depend on this machine.
  const replanner = directReplanner(setup.workload, replan);
  const keeper = openLocalKeeper({ journal, engine: benchEngine, clock, replanner });
  const rehearsal = createRehearsal({ workload: setup.workload, seed });
  const playing = playRehearsal(keeper, rehearsal, clock, speed);
  if (options.plain) out.print(`rehearsal, seed ${seed}`);
  const end = await showRun(playing.link, options.plain ?? false);
  playing.stop();
  await keeper.close();
  if (keeper.state.servedAt === undefined) {
    const stuck = playing.stuck();
    if (end.kind === 'failed' || stuck !== undefined) {
      throw new Stop(EXIT.problem, `the rehearsal came to no end (seed ${seed})`, [
        stuck ?? 'its keeper failed',
      ]);
    }
    out.print(`left before service (seed ${seed})`);
    return;
  }
  // Plain lines have said so themselves.
  if (!options.plain) out.print(`${servedWords(keeper.state) ?? 'served'} (seed ${seed})`);
}

function storedJournal(setup: RunSetup, options: RehearseOptions, now: ReturnType<typeof momentOf>): Journal {
  const store = storeOf(options);
  const created = createRun(store, setup, now);
  if (!created.ok) throw new Stop(EXIT.problem, created.problem.what, [created.problem.hint]);
  const opened = openRun(store, setup.run, { purpose: 'keep', now });
  if (!opened.journal) throw stopFor(opened);
  return opened.journal;
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
