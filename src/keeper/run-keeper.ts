import { epochMs } from '../units/index.ts';
import type { Core } from './core.ts';
import type { EndReason } from './link.ts';
import type { BoardServer } from './server.ts';

/** The longest the keeper waits before it looks at its clocks again, in ms. */
const LOOK_MS = 1000;

/** How a keeper that runs on real time ended. */
export interface KeeperEnd {
  readonly reason: EndReason;
  readonly detail?: string;
}

/**
 * Keeps a run until it ends: wakes when the bench's next deadline is near, and at least once a second. The timer is only
 * an alarm clock: what has happened is decided by comparing the run's time with deadlines, so that a timer that comes
 * late, early or after an hour's sleep makes no difference.
 */
export function runKeeper(core: Core, server: Pick<BoardServer, 'beat'>): Promise<KeeperEnd> {
  return new Promise((resolve) => {
    let timer: NodeJS.Timeout | undefined;
    // Counted from the last look, so that a board that never stops pressing cannot put the next one off.
    let lookBy = performance.now() + LOOK_MS;
    const wind = (): void => {
      clearTimeout(timer);
      if (core.ended) return;
      const next = core.nextDeadline() ?? epochMs(Number.MAX_SAFE_INTEGER);
      timer = setTimeout(look, Math.max(1, Math.min(lookBy - performance.now(), next - core.now())));
    };
    const look = (): void => {
      lookBy = performance.now() + LOOK_MS;
      core.take({ kind: 'tick' });
      server.beat();
      wind();
    };
    const unwatch = core.watch((change) => {
      if (change.kind === 'event') wind();
      if (change.kind !== 'ended') return;
      clearTimeout(timer);
      unwatch();
      resolve({ reason: change.reason, ...(change.detail === undefined ? {} : { detail: change.detail }) });
    });
    wind();
  });
}
