import { workerData } from 'node:worker_threads';
import type { Workload } from '../plan/index.ts';
import type { Progress } from '../planner/index.ts';
import { replanned, type Replan, type Replanned } from './replanner.ts';
import { serveQuestions } from './serving-thread.ts';

/** What a thread that works out new timetables is begun with. */
export interface ReplanThreadData {
  readonly workload: Workload;
}

/** Makes this thread work out new timetables. */
export function serveReplans(replan: Replan): void {
  const { workload } = workerData as ReplanThreadData;
  serveQuestions((progress: Progress): Replanned => replanned(replan, workload, progress));
}
