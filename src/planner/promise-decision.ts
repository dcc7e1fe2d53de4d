import type { Workload } from '../plan/index.ts';
import { epochMs, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import { beginOf } from './limits-chain.ts';
import type { Progress } from './progress.ts';
import { promiseNetwork, type Origin, type PromiseNetwork, type Uncertain } from './promise-network.ts';
import { decide, type DispatchNetwork } from './stnu/index.ts';
import type { Timetable } from './timetable.ts';

/** What cannot be kept together: lengths that nature may take, and what they run into. */
export interface Breach {
  /** How much is missing. */
  readonly short: Seconds;
  /** In the order in which they follow each other, each once. */
  readonly links: readonly BreachLink[];
}

export type BreachLink =
  | { readonly kind: 'nature'; readonly of: Uncertain; readonly side: 'low' | 'high' }
  | { readonly kind: 'bound'; readonly origin: Origin };

/** How soon the promise counts on an answer to a call, and on the word that something is over. */
export const ANSWER: Seconds = seconds(20);

export type Decision =
  | { readonly kind: 'holds'; readonly drawn: PromiseNetwork; readonly dispatch: DispatchNetwork }
  | { readonly kind: 'breaks'; readonly breach: Breach };

/**
 * Decides whether a timetable can be kept whatever nature does within the plan's ranges: the cook sees a length only when it is
 * over, and keeps the timetable's order of hands, tools, shelves and ovens, but not its times (dynamic controllability of a
 * simple temporal network with uncertainty).
 *
 * @param begin when work may begin: when the timetable has it, or earlier; of a run under way, now.
 * @param progress how far a run has come by then.
 */
export function decidePromise(
  workload: Workload,
  timetable: Timetable,
  begin: EpochMs = beginOf(timetable).at,
  progress?: Progress,
): Decision {
  const from = epochMs(Math.ceil(begin / 1000) * 1000);
  const drawn = promiseNetwork(workload, timetable, ANSWER, from, progress);
  const answer = decide(drawn.network);
  if (answer.kind === 'controllable') return { kind: 'holds', drawn, dispatch: answer.dispatch };
  const links = answer.cycle.flatMap((link): BreachLink[] => {
    if (link.kind === 'ordinary') {
      const origin = drawn.origins[link.index];
      return origin ? [{ kind: 'bound', origin }] : [];
    }
    const of = drawn.uncertain[link.index];
    return of ? [{ kind: 'nature', of, side: link.side }] : [];
  });
  return { kind: 'breaks', breach: { short: seconds(answer.short), links } };
}
