import type { Effect, Priority } from '../bench/index.ts';

/** Handed in, so that nothing here knows a real timer. The answer cancels it. */
export type Schedule = (afterMs: number, act: () => void) => () => void;

/** One noise: how urgent, and for what. Where several things ring in one noise, the words are the first one's. */
export interface Noise {
  readonly priority: Priority;
  readonly text: string;
}

/** Makes a noise and calls back once it is over. The answer breaks it off; then nothing is called back. */
export type Play = (noise: Noise, over: () => void) => () => void;

/** Makes one noise at a time. */
export interface Noises {
  /** Takes in what an event let out: new rings wait their turn, hushed ones are forgotten. */
  take(effects: readonly Effect[]): void;
  /** Silence, now; nothing waits any more. */
  stop(): void;
}

const RANK: Readonly<Record<Priority, number>> = { high: 0, medium: 1, low: 2 };

/**
 * Queues what rings so that at most one noise sounds at a time. Of those that wait the most urgent comes next, and those of
 * its own priority are grouped with it: ten calls at once are one noise, since the screen says what they are. A noise is
 * broken off once everything it is for is hushed.
 */
export function oneAtATime(play: Play): Noises {
  let waiting: (Effect & { kind: 'ring' })[] = [];
  let sounding: { readonly keys: Set<string>; breakOff: () => void } | undefined;

  const next = (): void => {
    if (sounding !== undefined || waiting.length === 0) return;
    const best = Math.min(...waiting.map((ring) => RANK[ring.priority]));
    const group = waiting.filter((ring) => RANK[ring.priority] === best);
    waiting = waiting.filter((ring) => RANK[ring.priority] !== best);
    const [first] = group;
    if (first === undefined) return;
    const noise = { keys: new Set(group.map((ring) => ring.key)), breakOff: (): void => undefined };
    sounding = noise;
    const breakOff = play(first, () => {
      if (sounding !== noise) return;
      sounding = undefined;
      next();
    });
    noise.breakOff = breakOff;
  };
  const silence = (): void => {
    sounding?.breakOff();
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
