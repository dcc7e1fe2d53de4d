import type { FedReading } from './reading-line.ts';

/** A probe is handed on no more often than this, ms, and one that stands still no more often than that. */
const SOONEST_MS = 5000;
const STILL_MS = 20_000;
/** Less than this is standing still, C. */
const STILL_C = 0.1;
/** Probes that nobody asks for are shown too, but not without end: the bench takes so many. */
const MOST_OTHERS = 20;

export type Thinned = 'used' | 'held' | 'refused';

interface Heard {
  readonly at: number;
  readonly celsius: number;
  waiting: { readonly reading: FedReading; readonly late: (() => void) | undefined } | undefined;
}

export interface Thinner {
  /**
   * Takes a reading at `now` (ms, steady). `used`: it was handed on at once; `held`: it waits, and a newer one takes its place.
   * `late` is called where one that was held is handed on after all.
   */
  take(reading: FedReading, now: number, late?: () => void): Thinned;
  /** Hands on what has moved and waited long enough. */
  turn(now: number): void;
}

/**
 * Lets through what a bench can use of a flood: of each probe the newest reading, at most every five seconds, and every
 * twenty while it does not move. A reading that waits is replaced by what comes after it, so the last word of a probe is
 * always heard, five seconds late at most where it is news, and a probe never falls silent by being thinned. One that stands
 * still goes out only when a newer one comes: handed on alone after twenty seconds, it would make a stay of four seconds in a
 * goal look like one of twenty. A goal's dwell keeps its meaning: it ends a step only once readings have stayed within it
 * for so long, and what strays for less than five seconds is the spike that a dwell is there to overlook. `wanted` are the
 * probes that plans and kitchen name: names that a sender invents never take their place.
 */
export function thinner(use: (reading: FedReading) => void, wanted: ReadonlySet<string>): Thinner {
  const probes = new Map<string, Heard>();
  let others = 0;

  const hasMoved = (probe: Heard, { temperature }: FedReading): boolean =>
    Math.abs(temperature.celsius - probe.celsius) >= STILL_C;
  const isDue = (probe: Heard, reading: FedReading, now: number): boolean =>
    now - probe.at >= (hasMoved(probe, reading) ? SOONEST_MS : STILL_MS);
  const hand = (reading: FedReading, now: number): void => {
    probes.set(reading.probe, { at: now, celsius: reading.temperature.celsius, waiting: undefined });
    use(reading);
  };

  return {
    take(reading, now, late) {
      const probe = probes.get(reading.probe);
      if (!probe && !wanted.has(reading.probe)) {
        if (others >= MOST_OTHERS) return 'refused';
        others += 1;
      }
      if (!probe || isDue(probe, reading, now)) {
        hand(reading, now);
        return 'used';
      }
      probe.waiting = { reading, late };
      return 'held';
    },
    turn(now) {
      for (const probe of probes.values()) {
        const { waiting } = probe;
        if (!waiting || !hasMoved(probe, waiting.reading) || !isDue(probe, waiting.reading, now)) continue;
        waiting.late?.();
        hand(waiting.reading, now);
      }
    },
  };
}
