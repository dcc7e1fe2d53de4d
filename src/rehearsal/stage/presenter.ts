import type { Showing } from '../../planner/index.ts';
import { seconds, type DurationRange, type Seconds } from '../../units/index.ts';
import { between, chance, triangular } from '../chance.ts';
import { LIFELIKE, type Life } from '../life.ts';
import { USUAL_MANNER, type CookManner } from '../manner.ts';

/** How a presenter keeps time. Guesses until somebody has taken them with a watch; each can be set to nothing. */
export interface Presenter {
  /** What a showing comes to that was meant to last so long, as shares of it: people run over more than under. */
  readonly keeps: DurationRange;
  /** From one showing to the next: a swap is reached for, the camera turns. All equally likely. */
  readonly turns: { readonly least: Seconds; readonly most: Seconds };
  /** How soon what is to be done off view is done, by the helper or by the presenter. */
  readonly behind: CookManner;
  /** What evenings are like. */
  readonly life: Life;
}

export const USUAL_PRESENTER: Presenter = {
  keeps: { low: seconds(0.9), usual: seconds(1), high: seconds(1.25) },
  turns: { least: seconds(1), most: seconds(4) },
  behind: USUAL_MANNER,
  life: LIFELIKE,
};

/** How long the turn to a showing takes; none before the first. */
export function turnTo(
  { turns }: Presenter,
  { showing, isFirst }: { readonly showing: Pick<Showing, 'step'>; readonly isFirst: boolean },
  seed: number,
): Seconds {
  return isFirst ? seconds(0) : between(turns.least, turns.most, chance(seed, 'turn', showing.step));
}

/** How long after it has begun a presenter looks at the clock. */
export const looksUp = ({ step }: Pick<Showing, 'step'>, seed: number): Seconds =>
  between(seconds(3), seconds(5), chance(seed, 'looks up', step));

/**
 * What a showing that the presenter decides comes to if it is meant to last so long: whole seconds. One that the clock ends lasts
 * just that. The same showing meets the same luck, whatever it is cut or stretched to.
 */
export function shownFor({ keeps }: Presenter, showing: Showing, meant: Seconds, seed: number): Seconds {
  if (showing.ends === 'clock') return meant;
  return seconds(Math.round(meant * triangular(keeps, chance(seed, 'presenter', showing.step))));
}
