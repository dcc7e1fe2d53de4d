import { ifServiceMoved, progressOf, type BenchState, type ServiceMove } from '../bench/index.ts';
import { threadReplanner, type Replanner } from '../keeper/index.ts';
import type { Workload } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';
import type { MoveAnswer } from '../view/index.ts';

/** Says what moving service would mean, before it is moved. */
export interface Supposing {
  /** What the planner would say; never where something else is asked before it has answered. */
  ask(state: BenchState, now: EpochMs, moves: readonly ServiceMove[]): Promise<MoveAnswer>;
  close(): void;
}

/** A replanner in a thread of its own, so that the board goes on drawing. What breaks in it is told as not found. */
export const ownReplanner = (workload: Workload): Replanner =>
  threadReplanner({ workload, complain: () => undefined });

/** Asks a replanner that is begun with the first question. Of questions that come while it works only the latest is asked. */
export function openSupposing(begin: () => Replanner): Supposing {
  let replanner: Replanner | undefined;
  let isAsking = false;
  let next: (() => void) | undefined;
  return {
    ask(state, now, moves) {
      const { promise, resolve } = Promise.withResolvers<MoveAnswer>();
      const moved = ifServiceMoved(state, moves, now);
      if (!moved.ok) return Promise.resolve({ kind: 'failed' });
      next = () => {
        isAsking = true;
        next = undefined;
        replanner ??= begin();
        replanner.ask(progressOf(moved.state, now), (answer) => {
          isAsking = false;
          resolve(answer.kind === 'failed' ? { kind: 'failed' } : answer);
          next?.();
        });
      };
      if (!isAsking) next();
      return promise;
    },
    close: () => replanner?.close(),
  };
}
