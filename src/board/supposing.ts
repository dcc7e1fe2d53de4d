import { ifServiceMoved, progressOf, toldLater, type BenchState, type ServiceMove } from '../bench/index.ts';
import { threadReplanner, type Replanner } from '../keeper/index.ts';
import type { Workload } from '../plan/index.ts';
import { asHappened, changesBetween, type Progress, type ReplanResult } from '../planner/index.ts';
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
      // Where service is later, what is still to come is best as much later, and what was told is only second best.
      const told = toldLater(state, moves);
      const asked = { ...moved.state.timetable, steps: told.steps, settings: told.settings };
      const progress = progressOf({ ...moved.state, timetable: asked }, now);
      next = () => {
        isAsking = true;
        next = undefined;
        replanner ??= begin();
        replanner.ask(progress, (answer) => {
          isAsking = false;
          if (answer.kind === 'failed') resolve({ kind: 'failed' });
          else resolve(told === state.timetable ? answer : comparedWith(state, progress, answer));
          next?.();
        });
      };
      if (!isAsking) next();
      return promise;
    },
    close: () => replanner?.close(),
  };
}

/** An answer to what was to be later, as what differs from what the cook was told. */
function comparedWith(
  { setup, timetable: told }: BenchState,
  progress: Progress,
  answer: ReplanResult,
): MoveAnswer {
  if (answer.kind !== 'as told' && answer.kind !== 'proposal') return answer;
  const timetable = answer.kind === 'proposal' ? answer.timetable : asHappened(progress);
  const changes = changesBetween(setup.workload, { ...progress, told }, timetable);
  return answer.kind === 'proposal'
    ? { ...answer, changes }
    : { kind: 'proposal', timetable, changes, serviceMoved: [], broken: [] };
}
