import type { Effect, Priority } from '../bench/index.ts';
import type { Schedule } from './noises.ts';
import { tame } from './tame.ts';

/** One desktop notification, already safe to hand to another program. */
export interface Notice {
  readonly title: string;
  readonly message: string;
}

/** Shows a notice and calls back once, with what went wrong if something did. May throw; may never call back. */
export type Notify = (notice: Notice, done: (error: Error | null) => void) => void;

export interface HeraldOptions {
  /** How notices are shown; `undefined` where they are not wanted. */
  readonly notify: Notify | undefined;
  /** Hears, once, that notifications are not available, and why. */
  readonly unavailable: (why: string) => void;
  readonly schedule: Schedule;
  /** The title of every notice. */
  readonly title: string;
}

/** Carries calls and alarms out of the program. */
export interface Herald {
  /** Takes in what an event let out. Returns at once, whatever becomes of it; never throws. */
  perform(effects: readonly Effect[]): void;
  /** Forgets what waits. */
  close(): void;
}

/** A notifier that has not answered for so long is given up. */
const PATIENCE_MS = 5000;
/** More than this many notices are not kept waiting: the oldest of the least urgent goes. */
const MOST_WAITING = 8;
/** After so many failures in a row there is nobody to notify, and no more is tried. */
const FAILURES = 3;

const RANK: Readonly<Record<Priority, number>> = { high: 0, medium: 1, low: 2 };

/** Sends rings out as desktop notifications, one at a time, the most urgent first. */
export function createHerald(options: HeraldOptions): Herald {
  let waiting: (Effect & { kind: 'ring' })[] = [];
  let cancel: (() => void) | undefined;
  let failures = 0;
  let said = false;
  let { notify } = options;

  const settle = (error: Error | null): void => {
    cancel?.();
    cancel = undefined;
    failures = error === null ? 0 : failures + 1;
    if (error !== null && !said) {
      said = true;
      options.unavailable(error.message);
    }
    if (failures >= FAILURES) {
      notify = undefined;
      waiting = [];
    }
    next();
  };
  const next = (): void => {
    if (cancel !== undefined || notify === undefined) return;
    const ring = waiting.shift();
    if (ring === undefined) return;
    // A notifier may answer twice, or long after it was given up: only the first word about each notice counts.
    let open = true;
    const once = (error: Error | null): void => {
      if (open) {
        open = false;
        settle(error);
      }
    };
    cancel = options.schedule(PATIENCE_MS, () => once(new Error('the notifier does not answer')));
    try {
      notify({ title: tame(options.title), message: tame(ring.text) }, once);
    } catch (error) {
      once(error instanceof Error ? error : new Error(String(error)));
    }
  };

  return {
    perform(effects) {
      if (notify === undefined) return;
      for (const effect of effects) {
        waiting = waiting.filter((ring) => ring.key !== effect.key);
        if (effect.kind === 'ring') waiting.push(effect);
      }
      waiting = waiting.toSorted((a, b) => RANK[a.priority] - RANK[b.priority]).slice(0, MOST_WAITING);
      next();
    },
    close() {
      waiting = [];
      notify = undefined;
      cancel?.();
      cancel = undefined;
    },
  };
}
