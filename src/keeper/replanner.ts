import type { Workload } from '../plan/index.ts';
import type { Progress, ReplanRequest, ReplanResult } from '../planner/index.ts';

/** What became of a request for a new timetable. */
export type Replanned = ReplanResult | Failure;

/** Whoever works them out broke or hung: why, for the cook, and what it was, for the program's log. */
export interface Failure {
  readonly kind: 'failed';
  readonly why: string;
  readonly detail: string;
}

/** Something broke that should not have. */
export const mistake = (error: unknown): Failure => ({
  kind: 'failed',
  why: 'thirdhand made a mistake',
  detail: (String(error).split('\n')[0] ?? '').slice(0, 300),
});

/** Works out new timetables for one workload, one at a time. */
export interface Replanner {
  /** Asks; `answer` hears once what came of it, at once or later. Ask again only after that. */
  ask(progress: Progress, answer: (replanned: Replanned) => void): void;
  /** Lets go of whatever is under way; nothing is answered any more. */
  close(): void;
}

/** The planner's `replan`, or what stands in for it. */
export type Replan = (workload: Workload, request: ReplanRequest) => ReplanResult;

/** Asks the planner; an error in it is an answer like any other. */
export function replanned(replan: Replan, workload: Workload, progress: Progress): Replanned {
  try {
    return replan(workload, { progress, others: true });
  } catch (error) {
    return mistake(error);
  }
}

/** Answers at once, in this very thread: for rehearsals, whose clock waits, and for tests. */
export function directReplanner(workload: Workload, replan: Replan): Replanner {
  return {
    ask(progress, answer) {
      answer(replanned(replan, workload, progress));
    },
    close: () => undefined,
  };
}
