import { seconds, type Seconds } from '../units/index.ts';
import { between, chance } from './chance.ts';
import { forgotten, type Life } from './life.ts';

/** How soon the cook answers: each answer comes at a delay between the two, all equally likely. */
export interface CookManner {
  readonly soonest: Seconds;
  readonly latest: Seconds;
}

export const USUAL_MANNER: CookManner = { soonest: seconds(2), latest: seconds(20) };

/** How long it takes the cook to do what is asked, or to see that something is over. `about` names what. */
export const delay = (
  { seed, manner, life }: { readonly seed: number; readonly manner: CookManner; readonly life?: Life },
  about: string,
): Seconds =>
  seconds(
    between(manner.soonest, manner.latest, chance(seed, 'delay', about)) +
      (life ? forgotten(life, chance(seed, 'forgets', about), chance(seed, 'forgotten for', about)) : 0),
  );
