import { parentPort, workerData } from 'node:worker_threads';
import type { Workload } from '../plan/index.ts';
import type { Progress } from '../planner/index.ts';
import { replanned, type Replan, type Replanned } from './replanner.ts';

/** What a thread that works out new timetables is begun with. */
export interface ReplanThreadData {
  readonly workload: Workload;
}

/** What it is asked, and what it answers. Plain data, numbered, so that no answer is taken for another's. */
export interface ReplanQuestion {
  readonly number: number;
  readonly progress: Progress;
}
export interface ReplanAnswer {
  readonly number: number;
  readonly result: Replanned;
}

/** Makes this thread answer questions, in the order they come. */
export function serveReplans(replan: Replan): void {
  const port = parentPort;
  if (!port) throw new Error('this is no thread of a keeper');
  const { workload } = workerData as ReplanThreadData;
  port.on('message', ({ number, progress }: ReplanQuestion) => {
    const answer: ReplanAnswer = { number, result: replanned(replan, workload, progress) };
    port.postMessage(answer);
  });
}
