import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import type { RunSetup } from '../src/bench/index.ts';
import { demoPlans } from '../src/cli/files.ts';
import { soundPlans } from '../src/cli/prepare.ts';
import { planTimetable } from '../src/planner/index.ts';
import {
  courseOf,
  createPlayedRun,
  play,
  reportText,
  studied,
  worker,
  type Job,
} from '../src/rehearsal/index.ts';
import { epochMs } from '../src/units/index.ts';

/*
 * Rehearsals without a screen: how many a second on one core, what is in memory at 1,000, 10,000 and 100,000 of them, and what
 * a whole report costs, by part (all on one core; the program shares it over threads).
 *
 *   npm run bench:rehearsal -- [--runs 10000] [--json] [PLAN…]
 */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { runs: { type: 'string', default: '10000' }, json: { type: 'boolean', default: false } },
});

/** 2027-03-05, a Friday, 07:00 UTC. */
const FRIDAY_7 = epochMs(Date.UTC(2027, 2, 5, 7));
const print = (line: string): void => void process.stdout.write(`${line}\n`);
const runs = Number(values.runs);

function setupOf(names: readonly string[]): RunSetup {
  const workload = soundPlans(names, {}, print);
  const result = planTimetable(workload, { service: { kind: 'soonest' }, now: FRIDAY_7 });
  if (!('timetable' in result)) throw new Error(`no timetable for ${names.join(' + ')}: ${result.status}`);
  const { timetable } = result;
  const first = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  return { run: 'bench', workload, timetable, begunAt: epochMs(Math.min(...first)) };
}

/** Milliseconds of processor time. */
function costOf(work: () => void): number {
  const from = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(from);
  return (user + system) / 1000;
}

/** No set of plans is played for longer than this, ms: one whose probes need the real bench takes a thousand times as long. */
const BUDGET = 4000;

function speed(names: readonly string[]) {
  const setup = setupOf(names);
  const course = courseOf(setup);
  const room = createPlayedRun(course);
  const some = (most: number, budget: number): number => {
    const end = performance.now() + budget;
    let seed = 1;
    for (; seed <= most && performance.now() < end; seed += 1) play(course, seed, room);
    return seed - 1;
  };
  some(500, BUDGET / 4);
  let played = 0;
  const cost = costOf(() => (played = some(runs, BUDGET)));
  return {
    plans: names.join(' + '),
    steps: course.steps.length,
    played,
    'processor ms': Math.round(cost),
    'a second': Math.round((played / cost) * 1000),
  };
}

function report(names: readonly string[], count: number) {
  const setup = setupOf(names);
  const work = worker(setup);
  const costs = new Map<Job['kind'], number>();
  let words = '';
  const all = costOf(() => {
    const found = studied(setup, { runs: count, seed: 1 }, (job) => {
      let done: ReturnType<typeof work> | undefined;
      const cost = costOf(() => (done = work(job)));
      costs.set(job.kind, (costs.get(job.kind) ?? 0) + cost);
      if (!done) throw new Error('no answer');
      return done;
    });
    words = reportText(found);
  });
  const { rss, arrayBuffers } = process.memoryUsage();
  return {
    plans: names.join(' + '),
    runs: count,
    'all ms': Math.round(all),
    ...Object.fromEntries([...costs].map(([kind, cost]) => [kind, Math.round(cost)])),
    lines: words.split('\n').length,
    'memory MB': Math.round(rss / 2 ** 20),
    'tables MB': Math.round(arrayBuffers / 2 ** 20),
  };
}

const together = ['gallery-opening', 'rowing-dinner', 'choir-supper'];
const sets = positionals.length > 0 ? [positionals] : [...demoPlans().map((name) => [name]), together];
const speeds = sets.map(speed);
const [first = together] = sets;
const reports = [1000, 10_000, 100_000].map((count) => report(first, count));
if (values.json) print(JSON.stringify({ speeds, reports, cores: availableParallelism() }));
else {
  // oxlint-disable no-console
  console.table(speeds);
  print('A whole report, processor time in ms by kind of job:');
  console.table(reports);
}
