import type { Rehearsal } from '../rehearsal/index.ts';
import type { LinkChange, LocalKeeper, RunLink, SimulatedClock } from '../keeper/index.ts';
import { epochMs } from '../units/index.ts';

export interface Playing {
  /** What a board holds of the rehearsal; it beats as the simulated time goes on. */
  readonly link: RunLink;
  stop(): void;
  /** Why nothing goes on any more, if so. */
  stuck(): string | undefined;
}

/** How often a board sees time go on, in real ms. */
const FRAME_MS = 250;

/**
 * Plays a simulated cook against a keeper in this process, `speed` times as fast as life. The simulated clock is moved
 * to exactly the next moment at which anything happens, so what happens and when depends on the seed alone and not on
 * how fast this machine is.
 */
export function playRehearsal(
  keeper: LocalKeeper,
  rehearsal: Rehearsal,
  clock: SimulatedClock,
  speed: number,
): Playing {
  const beats = new Set<(change: LinkChange) => void>();
  let timer: NodeJS.Timeout | undefined;
  let stopped = false;
  let stuck: string | undefined;

  const step = (): void => {
    if (stopped) return;
    const from = performance.now();
    // Many things can happen within one frame at a high speed; the board still gets its turn after each frame.
    let budget = FRAME_MS * speed;
    while (budget > 0 && keeper.state.servedAt === undefined) {
      const now = keeper.clock();
      const act = rehearsal.nextAct(keeper.state, now);
      const next = [act?.at, keeper.state.deadline].filter((moment) => moment !== undefined);
      if (next.length === 0) {
        stuck = 'nobody has anything to do, and no deadline lies ahead';
        break;
      }
      const wait = Math.max(0, Math.min(...next) - now);
      if (wait > budget) {
        clock.advance(budget);
        break;
      }
      clock.advance(wait);
      budget -= wait;
      keeper.tick();
      if (act && act.at <= keeper.clock()) keeper.act(act.source, act.happening);
      if (performance.now() - from > FRAME_MS) break;
    }
    keeper.tick();
    for (const beat of beats) beat({ kind: 'beat' });
    if (keeper.state.servedAt !== undefined) return end({ kind: 'ended', reason: 'served' });
    if (stuck !== undefined) return end({ kind: 'ended', reason: 'failed', detail: stuck });
    const spent = performance.now() - from;
    timer = setTimeout(step, Math.max(0, FRAME_MS - spent));
  };
  const end = (change: LinkChange): void => {
    stopped = true;
    for (const beat of beats) beat(change);
  };
  timer = setTimeout(step, 0);

  const stop = (): void => {
    stopped = true;
    clearTimeout(timer);
  };
  return { link: linkTo(keeper, beats, stop), stop, stuck: () => stuck };
}

/** The keeper as a board sees it, with the beats of the simulated clock. */
function linkTo(keeper: LocalKeeper, beats: Set<(change: LinkChange) => void>, stop: () => void): RunLink {
  return {
    get state() {
      return keeper.state;
    },
    clock: () => epochMs(keeper.clock()),
    press: (happening) => keeper.press(happening),
    subscribe(listener) {
      beats.add(listener);
      const unsubscribe = keeper.subscribe(listener);
      return () => {
        beats.delete(listener);
        unsubscribe();
      };
    },
    close: () => Promise.resolve(),
    stopRun() {
      stop();
      return Promise.resolve();
    },
  };
}
