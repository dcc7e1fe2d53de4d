import { Worker } from 'node:worker_threads';
import type { RunSetup } from '../bench/index.ts';
import type { Batch, Done, Ended, Job } from '../rehearsal/index.ts';

/** What a thread is begun with; plain data. */
export interface ManyData {
  readonly setup: RunSetup;
}

export interface AskedJob {
  readonly number: number;
  readonly job: Job;
}

export interface DoneJob {
  readonly number: number;
  readonly done: Done;
}

/** Threads that do the jobs of one study. */
export interface ManyThreads {
  /** Has all jobs of a batch done, and gives what came of them in their order; `onDone` hears how many are done. */
  run(batch: Batch, onDone: (jobs: number) => void): Promise<Ended>;
  /** Ends what is under way: it ends as stopped, and so does every batch after it. */
  stop(): void;
  close(): void;
}

/** What may be on the heap of a thread, in MB. */
const HEAP_MB = 1024;
/** No thread is so many jobs for each thread ahead of the slowest: what is done early is kept until its turn. */
const AHEAD = 4;

/** Begins a thread only where there is work for it. What comes of a study does not depend on how many there are. */
export function manyThreads(setup: RunSetup, most: number): ManyThreads {
  const workerData: ManyData = { setup };
  const resourceLimits = { maxOldGenerationSizeMb: HEAP_MB };
  const threads: Worker[] = [];
  let isStopped = false;
  let under: { readonly stop: () => void } | undefined;
  return {
    run(batch, onDone) {
      if (isStopped) return Promise.resolve('stopped');
      while (threads.length < Math.min(most, batch.jobs.length))
        threads.push(new Worker(entry(), { workerData, resourceLimits }));
      const going = doBatch(threads, batch, onDone);
      under = going;
      return going.ended;
    },
    stop() {
      isStopped = true;
      under?.stop();
    },
    close() {
      for (const thread of threads) {
        // What it says on its way out is nobody's any more.
        thread.on('error', () => undefined);
        void thread.terminate();
      }
    },
  };
}

/** Has the jobs of a batch done by threads that have nothing else to do. */
function doBatch(
  threads: readonly Worker[],
  { jobs, take }: Batch,
  onDone: (jobs: number) => void,
): { readonly ended: Promise<Ended>; readonly stop: () => void } {
  const { promise, resolve, reject } = Promise.withResolvers<Ended>();
  const idle = [...threads];
  const early = new Map<number, Done>();
  let [sent, taken] = [0, 0];

  const send = (): void => {
    while (idle.length > 0 && sent < taken + AHEAD * threads.length) {
      const job = jobs[sent];
      if (!job) return;
      const asked: AskedJob = { number: sent, job };
      sent += 1;
      idle.pop()?.postMessage(asked);
    }
  };
  // Only the events of our own: others keep the thread's port going.
  const settle = (): void => {
    for (const thread of threads)
      for (const event of ['message', 'error', 'exit']) thread.removeAllListeners(event);
  };
  const fail = (error: unknown): void => {
    settle();
    reject(error instanceof Error ? error : new Error(String(error)));
  };
  const hear = (thread: Worker, { number, done }: DoneJob): void => {
    idle.push(thread);
    early.set(number, done);
    for (let next = early.get(taken); next; next = early.get(taken)) {
      early.delete(taken);
      taken += 1;
      take(next);
    }
    onDone(taken);
    if (taken < jobs.length) {
      send();
      return;
    }
    settle();
    resolve('done');
  };

  for (const thread of threads) {
    thread.on('message', (message: DoneJob) => hear(thread, message));
    thread.on('error', fail);
    thread.on('exit', () => fail(new Error('a thread ended by itself')));
  }
  send();
  return {
    ended: promise,
    stop: () => {
      settle();
      resolve('stopped');
    },
  };
}

/** A file that lies beside this one, in the sources as in the bundle. */
const entry = (): URL =>
  import.meta.url.endsWith('.ts')
    ? new URL('./many-worker.ts', import.meta.url)
    : new URL('./many-worker.js', import.meta.url);
