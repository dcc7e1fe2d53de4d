import { parentPort, workerData } from 'node:worker_threads';
import { worker } from '../rehearsal/index.ts';
import type { AskedJob, DoneJob, ManyData } from './many-threads.ts';

/* The whole of a thread that plays many rehearsals: a simulated cook and kitchen, and the planner for what is tried. */
const port = parentPort;
if (!port) throw new Error('this is no thread of a rehearsal');
const work = worker((workerData as ManyData).setup);
port.on('message', ({ number, job }: AskedJob) => {
  const done: DoneJob = { number, done: work(job) };
  port.postMessage(done);
});
