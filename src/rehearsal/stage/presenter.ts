import type { Showing } from '../../planner/index.ts';
import { seconds, type DurationRange, type Seconds } from '../../units/index.ts';
import { between, chance, triangular } from '../chance.ts';

/** How a presenter keeps time. Guesses until somebody has taken them with a watch; each can be set to nothing. */
export interface Presenter {
  /** What a showing comes to that was meant to last so long, as shares of it: people run over more than under. */
  readonly keeps: DurationRange;
  /** From one showing to the next: a swap is reached for, the camera turns. All equally likely. */
  readonly turns: { readonly least: Seconds; readonly most: Seconds };
  /** How soon the helper is at it, once it can be begun. All equally likely. */
  readonly helper: { readonly least: Seconds; readonly most: Seconds };
}

export const USUAL_PRESENTER: Presenter = {
  keeps: { low: seconds(0.9), usual: seconds(1), high: seconds(1.25) },
  turns: { least: seconds(1), most: seconds(4) },
  helper: { least: seconds(2), most: seconds(20) },
};

/** How long the turn to a showing takes; none before the first. */
export function turnTo({ turns }: Presenter, { step }: Showing, index: number, seed: number): Seconds {
  return index === 0 ? seconds(0) : between(turns.least, turns.most, chance(seed, 'turn', step));
}

/**
 * What a showing that the presenter decides comes to if it is meant to last so long: whole seconds. One that the clock ends lasts
 * just that. The same showing meets the same luck, whatever it is cut or stretched to.
 */
export function shownFor({ keeps }: Presenter, showing: Showing, meant: Seconds, seed: number): Seconds {
  if (showing.ends === 'clock') return meant;
  return seconds(Math.round(meant * triangular(keeps, chance(seed, 'presenter', showing.step))));
}

/** How long it takes the helper to begin. */
export const helperBegins = ({ helper }: Presenter, step: string, seed: number): Seconds =>
  between(helper.least, helper.most, chance(seed, 'helper', step));
