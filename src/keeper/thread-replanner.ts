import { Worker } from 'node:worker_threads';
import type { Workload } from '../plan/index.ts';
import type { ReplanAnswer, ReplanQuestion, ReplanThreadData } from './replan-service.ts';
import { mistake, type Failure, type Replanned, type Replanner } from './replanner.ts';

export interface ThreadOptions {
  readonly workload: Workload;
  /** The file the thread runs; see `serveReplans`. By default the planner's own. */
  readonly entry?: URL;
  /** For the program's log: what broke or hung, each kind once. */
  readonly complain: (what: string) => void;
  /** How long a thread may take over one question, its own start included, in ms. Default 10 s. */
  readonly patience?: number;
}

/** It lies beside this file, in the sources as in the bundle. */
const PLANNER = import.meta.url.endsWith('.ts')
  ? new URL('./replan-worker.ts', import.meta.url)
  : new URL('./replan-worker.js', import.meta.url);
const TOO_LONG: Failure = { kind: 'failed', why: 'it took too long', detail: 'it took too long' };
/** What may be on the heap of the thread, in MB; a question that wants more breaks it, and not the keeper. */
const HEAP_MB = 512;

/**
 * Works out new timetables in a thread of its own, so that nothing waits for them. The thread is begun with the first
 * question and kept. One that breaks, or takes too long, is put away and the question answered as failed; the next
 * question begins a new one.
 */
export function threadReplanner(options: ThreadOptions): Replanner {
  const { workload, entry = PLANNER, complain, patience = 10_000 } = options;
  let thread: Worker | undefined;
  let count = 0;
  let waiting: { readonly number: number; readonly answer: (replanned: Replanned) => void } | undefined;
  let timer: NodeJS.Timeout | undefined;
  const said = new Set<string>();

  const told = (failure: Failure): Failure => {
    const { detail } = failure;
    if (!said.has(detail) && said.size < 100) complain(`a new timetable could not be worked out: ${detail}`);
    said.add(detail);
    return failure;
  };
  const settle = (replanned: Replanned): void => {
    clearTimeout(timer);
    const asked = waiting;
    waiting = undefined;
    asked?.answer(replanned);
  };
  const putAway = (old: Worker): void => {
    if (thread === old) thread = undefined;
    old.removeAllListeners();
    // What it says on its way out is nobody's any more.
    old.on('error', () => undefined);
    void old.terminate();
  };
  const fail = (old: Worker, failure: Failure): void => {
    if (thread !== old) return;
    putAway(old);
    settle(told(failure));
  };
  const begin = (): Worker => {
    const data: ReplanThreadData = { workload };
    const fresh = new Worker(entry, {
      workerData: data,
      resourceLimits: { maxOldGenerationSizeMb: HEAP_MB },
    });
    fresh.on('message', ({ number, result }: ReplanAnswer) => {
      if (number === waiting?.number) settle(result.kind === 'failed' ? told(result) : result);
    });
    fresh.on('error', (error) => fail(fresh, mistake(error)));
    fresh.on('exit', () => fail(fresh, mistake('the thread ended by itself')));
    // A keeper that has nothing else to do may end.
    fresh.unref();
    return fresh;
  };

  return {
    ask(progress, answer) {
      if (waiting) throw new Error('one new timetable at a time');
      count += 1;
      waiting = { number: count, answer };
      let mine: Worker;
      try {
        mine = thread ??= begin();
      } catch (error) {
        settle(told(mistake(error)));
        return;
      }
      timer = setTimeout(() => fail(mine, TOO_LONG), patience);
      const question: ReplanQuestion = { number: count, progress };
      mine.postMessage(question);
    },
    close() {
      clearTimeout(timer);
      waiting = undefined;
      if (thread) putAway(thread);
    },
  };
}
