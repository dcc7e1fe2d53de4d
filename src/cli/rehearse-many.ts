import { existsSync, writeFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { dirname } from 'node:path';
import type { RunSetup } from '../bench/index.ts';
import { promiseOf, promiseWords } from '../planner/index.ts';
import { gotNotes, reportJson, reportText, study, type Ended, type Report } from '../rehearsal/index.ts';
import { bandsSvg, promiseJson } from '../sheet/index.ts';
import type { EpochMs } from '../units/index.ts';
import { EXIT, Stop } from './exit.ts';
import { reasonOf } from './files.ts';
import { manyThreads } from './many-threads.ts';
import { fitted, type Out } from './out.ts';

export interface ManyOptions {
  readonly runs: number;
  readonly seed: number;
  readonly json: boolean;
  /** Nothing is drawn over while it works, as plain lines promise. */
  readonly isQuiet?: boolean;
  /** A file for a picture of when each step happens. */
  readonly picture?: string;
  /** Work cannot begin before it; nothing where that is nobody's care. */
  readonly now?: EpochMs;
  /** How many threads at most; by default as many as the machine has cores. */
  readonly threads?: number;
}

/** `rehearse` without a board: a timetable rehearsed many times, and a report of it. Ctrl-C ends it with what there is. */
export async function rehearseMany(setup: RunSetup, options: ManyOptions, out: Out): Promise<void> {
  const { picture } = options;
  // Nobody should wait for a picture that has nowhere to go.
  if (picture !== undefined && !existsSync(dirname(picture)))
    throw new Stop(EXIT.usage, `${picture} cannot be written: there is no folder ${dirname(picture)}`);
  const report = await reported(setup, options);
  const promise = promiseOf(setup.workload, setup.timetable, options.now);
  if (options.json) out.json({ ...reportJson(report), promise: promiseJson(promise) });
  else
    out.print(fitted(reportText(report, { holds: promise.kind === 'holds', words: promiseWords(promise) })));
  if (picture !== undefined) writePicture(picture, setup, report, out);
  const { stuck, firstStuck, stopped } = report.got;
  if (stopped) process.exitCode = EXIT.stopped;
  if (stuck > 0) {
    throw new Stop(
      EXIT.problem,
      stuck === 1 ? 'a rehearsal came to no end' : `${stuck} rehearsals came to no end`,
      [`see one of them: the same command with --watch --seed ${firstStuck}`],
    );
  }
}

function writePicture(file: string, { workload, timetable }: RunSetup, report: Report, out: Out): void {
  try {
    writeFileSync(file, bandsSvg(workload, timetable, report.bands, gotNotes(report)));
  } catch (error) {
    throw new Stop(EXIT.problem, `${file} cannot be written: ${reasonOf(error)}`);
  }
  out.warn(`wrote ${file}`);
}

/** Has a study done in threads, and shows on a terminal how far it is. */
async function reported(setup: RunSetup, options: ManyOptions): Promise<Report> {
  const threads = manyThreads(setup, options.threads ?? availableParallelism());
  const progress = progressLine(options.isQuiet);
  // A second Ctrl-C is not caught: it ends the program at once.
  const stop = (): void => threads.stop();
  process.once('SIGINT', stop);
  try {
    const course = study(setup, { runs: options.runs, seed: options.seed });
    for (let step = course.next(); ;) {
      if (step.done) return step.value;
      const { what, jobs } = step.value;
      progress.say(what, 0, jobs.length);
      const ended: Ended = await threads.run(step.value, (done) => progress.say(what, done, jobs.length));
      step = course.next(ended);
    }
  } finally {
    process.off('SIGINT', stop);
    progress.clear();
    threads.close();
  }
}

/** Often enough to be seen to move, seldom enough to be calm; ms. */
const EVERY = 200;

/** One line on a terminal's standard error that is written over; nothing where there is none to be written over. */
export function progressLine(isQuiet = false): {
  readonly say: (what: string, done: number, of: number) => void;
  readonly clear: () => void;
} {
  const isShown = !isQuiet && process.stderr.isTTY && process.env['TERM'] !== 'dumb';
  let last = 0;
  let said = '';
  return {
    say(what, done, of) {
      if (!isShown || (what === said && performance.now() - last < EVERY)) return;
      [last, said] = [performance.now(), what];
      const share = of > 1 ? `, ${Math.floor((100 * done) / of)} %` : '';
      process.stderr.write(`\r\u001B[K${what}${share} (Ctrl-C: what there is)`);
    },
    clear() {
      if (isShown && said !== '') process.stderr.write('\r\u001B[K');
    },
  };
}
