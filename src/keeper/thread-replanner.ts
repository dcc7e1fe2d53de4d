import type { Workload } from '../plan/index.ts';
import type { Progress } from '../planner/index.ts';
import { askingThread, threadEntry } from './asking-thread.ts';
import type { ReplanThreadData } from './replan-service.ts';
import type { Replanned, Replanner } from './replanner.ts';

export interface ThreadReplannerOptions {
  readonly workload: Workload;
  /** The file the thread runs; see `serveReplans`. By default the planner's own. */
  readonly entry?: URL;
  /** For the program's log: what broke or hung, each kind once. */
  readonly complain: (what: string) => void;
  /** How long a thread may take over one question, its own start included, in ms. Default 10 s. */
  readonly patience?: number;
}

/** Works out new timetables in a thread of its own, so that nothing waits for them. */
export function threadReplanner(options: ThreadReplannerOptions): Replanner {
  const { workload, entry = threadEntry('replan-worker'), complain, patience = 10_000 } = options;
  const data: ReplanThreadData = { workload };
  return askingThread<Progress, Replanned>({ what: 'a new timetable', entry, data, complain, patience });
}
