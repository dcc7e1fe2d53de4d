import type { Priority } from '../bench/index.ts';
import { oneAtATime, type Noises, type Schedule } from './noises.ts';

/** The byte that rings a terminal's bell; it works over SSH and inside tmux. */
export const BELL = '\u0007';

/** When to ring, in ms from the start of the noise. Never empty, ascending. */
export type BellPattern = readonly number[];

/**
 * How a priority sounds. The rhythm is that of IEC 60601-1-8: high is a burst of ten, three and two and the same once more;
 * medium three, slower; low one. The strokes lie further apart than there, so that a terminal that swallows quick bells
 * still gives each.
 */
export function bellPattern(priority: Priority): BellPattern {
  switch (priority) {
    case 'low':
      return [0];
    case 'medium':
      return [0, 600, 1200];
    case 'high':
      return [0, 350, 700, 1250, 1600, 2600, 2950, 3300, 3850, 4200];
  }
}

/** The silence after a noise before the next may begin, in ms. */
const PAUSE_MS = 1000;

/** Turns effects into strokes of a bell, one noise at a time. A noise whose call is hushed stops with the stroke it is at. */
export function bellRinger(strike: () => void, schedule: Schedule): Noises {
  return oneAtATime(({ priority }, over) => {
    let cancel = (): void => undefined;
    const sound = ([now = 0, ...rest]: BellPattern): void => {
      strike();
      const [then] = rest;
      cancel = then === undefined ? schedule(PAUSE_MS, over) : schedule(then - now, () => sound(rest));
    };
    sound(bellPattern(priority));
    return () => cancel();
  });
}
