import type { Effect, Priority } from '../bench/index.ts';

/** The byte that rings a terminal's bell; it works over SSH and inside tmux. */
export const BELL = '\u0007';

/** When to ring, in ms from the start of the noise. Never empty, ascending. */
export type BellPattern = readonly number[];

/**
 * How a priority sounds: one, two or three strokes. They are spaced so that a terminal that swallows quick bells
 * still gives each.
 */
export function bellPattern(priority: Priority): BellPattern {
  switch (priority) {
    case 'low':
      return [0];
    case 'medium':
      return [0, 350];
    case 'high':
      return [0, 350, 700];
  }
}

/** The silence after a noise before the next may begin, in ms. */
const PAUSE_MS = 1000;

/** Handed in, so that nothing here knows a real timer. The answer cancels it. */
export type Schedule = (afterMs: number, act: () => void) => () => void;

/** Rings one noise at a time. */
export interface BellRinger {
  /** Takes in what an event let out: new rings wait their turn, hushed ones are forgotten. */
  take(effects: readonly Effect[]): void;
  /** Silence, now; nothing waits any more. */
  stop(): void;
}

const RANK: Readonly<Record<Priority, number>> = { high: 0, medium: 1, low: 2 };

/**
 * Turns effects into strokes of a bell. At most one noise sounds at a time; of those that wait the most urgent comes next,
 * and those of its own priority are grouped with it: ten calls at once are one noise, since the screen says what they are.
 * A noise whose call is hushed stops with the stroke it is at.
 */
export function bellRinger(strike: () => void, schedule: Schedule): BellRinger {
  let waiting: (Effect & { kind: 'ring' })[] = [];
  let sounding: { readonly keys: Set<string>; cancel: () => void } | undefined;

  const next = (): void => {
    if (sounding !== undefined || waiting.length === 0) return;
    const best = Math.min(...waiting.map((ring) => RANK[ring.priority]));
    const group = waiting.filter((ring) => RANK[ring.priority] === best);
    waiting = waiting.filter((ring) => RANK[ring.priority] !== best);
    const [first] = group;
    if (first === undefined) return;
    sounding = { keys: new Set(group.map((ring) => ring.key)), cancel: () => undefined };
    sound(bellPattern(first.priority), 0);
  };
  const sound = (pattern: BellPattern, at: number): void => {
    if (sounding === undefined) return;
    const [now = 0, then] = pattern.slice(at);
    strike();
    if (then !== undefined) sounding.cancel = schedule(then - now, () => sound(pattern, at + 1));
    else sounding.cancel = schedule(PAUSE_MS, silence);
  };
  const silence = (): void => {
    sounding?.cancel();
    sounding = undefined;
    next();
  };

  return {
    take(effects) {
      for (const effect of effects) {
        waiting = waiting.filter((ring) => ring.key !== effect.key);
        if (effect.kind === 'ring') waiting.push(effect);
        else if (sounding?.keys.delete(effect.key) === true && sounding.keys.size === 0) silence();
      }
      next();
    },
    stop() {
      waiting = [];
      silence();
    },
  };
}
