import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import { longDay } from './bench-rehearsal/day.ts';
import type { RunSetup } from '../src/bench/index.ts';
import { demoPlans } from '../src/cli/files.ts';
import { soundPlans } from '../src/cli/prepare.ts';
import { planTimetable, type PlanRequest } from '../src/planner/index.ts';
import {
  courseOf,
  createPlayedRun,
  play,
  reportText,
  studied,
  worker,
  type Job,
} from '../src/rehearsal/index.ts';
import { epochMs, hours, plus } from '../src/units/index.ts';

/*
 * Rehearsals without a screen, all on one core (the program shares them over threads): how long one takes and how long ten thousand, and what is
 * in memory after the first thousand and after all; then what a whole report costs, by part.
 *
 *   npm run bench:rehearsal -- [--runs 10000] [--json] [PLAN…]
 *
 * Plans that are named are laid together. Where none is, each demo plan is rehearsed, some of them laid together, and a day of sixty steps that is
 * made up (`day.ts`, seed 1).
 */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { runs: { type: 'string', default: '10000' }, json: { type: 'boolean', default: false } },
});

/** 2027-03-05, a Friday, 07:00 UTC. */
const FRIDAY_7 = epochMs(Date.UTC(2027, 2, 5, 7));
const print = (line: string): void => void process.stdout.write(`${line}\n`);
const runs = Number(values.runs);

/** What is rehearsed: plans laid together, or the made-up day. */
type Subject = readonly string[] | 'long day';
const nameOf = (subject: Subject): string => (subject === 'long day' ? 'a long day' : subject.join(' + '));

function setupOf(subject: Subject): RunSetup {
  const workload = subject === 'long day' ? longDay(1) : soundPlans(subject, {}, print);
  // Backwards from an evening the long day has its rests where they are wanted; as soon as can be it would be all haste.
  const request: PlanRequest =
    subject === 'long day'
      ? { service: { kind: 'at', moments: [plus(FRIDAY_7, hours(12))] } }
      : { service: { kind: 'soonest' }, now: FRIDAY_7 };
  const result = planTimetable(workload, request);
  if (!('timetable' in result)) throw new Error(`no timetable for ${nameOf(subject)}: ${result.status}`);
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

/** Nothing is played for longer than this, ms. */
const BUDGET = 8000;
const megabytes = (bytes: number): number => Math.round(bytes / 2 ** 20);

function speed(subject: Subject) {
  const course = courseOf(setupOf(subject));
  const room = createPlayedRun(course);
  let [wanting, played] = [0, 0];
  const some = (most: number, budget: number): void => {
    const end = performance.now() + budget;
    for (; played < most && performance.now() < end; played += 1) {
      play(course, 1 + played, room);
      if (room.leaves !== 'played') wanting += 1;
    }
  };
  some(1000, BUDGET / 4);
  const early = process.memoryUsage().rss;
  [wanting, played] = [0, 0];
  const cost = costOf(() => some(runs, BUDGET));
  return {
    plans: nameOf(subject),
    steps: course.steps.length,
    played,
    'ms each': Number((cost / played).toFixed(3)),
    'a second': Math.round((played / cost) * 1000),
    's for 10,000': Number((cost / played) * 10).toFixed(2),
    'wanting, %': Math.round((100 * wanting) / played),
    'memory MB': `${megabytes(early)} > ${megabytes(process.memoryUsage().rss)}`,
  };
}

function report(subject: Subject, count: number) {
  const setup = setupOf(subject);
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
    plans: nameOf(subject),
    runs: count,
    'all ms': Math.round(all),
    ...Object.fromEntries([...costs].map(([kind, cost]) => [kind, Math.round(cost)])),
    lines: words.split('\n').length,
    'memory MB': megabytes(rss),
    'tables MB': megabytes(arrayBuffers),
  };
}

const together = ['gallery-opening', 'rowing-dinner', 'choir-supper'];
const subjects: readonly Subject[] =
  positionals.length > 0
    ? [positionals]
    : [...demoPlans().map((name) => [name]), ['gallery-opening', 'terrace-tea'], together, 'long day'];
const speeds = subjects.map(speed);
const reported = subjects.length > 1 ? ([['choir-supper'], 'long day'] as const) : subjects;
const reports = reported.flatMap((subject) => [1000, 10_000].map((count) => report(subject, count)));
if (values.json) print(JSON.stringify({ speeds, reports, cores: availableParallelism() }));
else {
  // oxlint-disable no-console
  console.table(speeds);
  print('A whole report, processor time in ms by kind of job:');
  console.table(reports);
}
