import type { Hands, Mishap } from '../rehearsal/index.ts';

/** What a board may ask of a rehearsal beside what a cook does. A live run has nothing of the kind. */
export type Control =
  | { readonly kind: 'stop or go' }
  | { readonly kind: 'slower' }
  | { readonly kind: 'faster' }
  /** On to the next thing that happens, and stop there. */
  | { readonly kind: 'on' }
  /** Back to where the thing before had just happened, and stop there. */
  | { readonly kind: 'back' }
  /** Something is made to go wrong. */
  | { readonly kind: 'go wrong'; readonly mishap: Mishap };

/** How a rehearsal plays at this moment. */
export interface Playing {
  /** How many times as fast as life it goes when it goes. */
  readonly speed: number;
  readonly stopped: boolean;
  /** Whose hands do what is called. */
  readonly hands: Hands;
  /** What there is to be seen by whoever has hands of their own: `cream: a spoon leaves a clean track`. The latest first. */
  readonly sees: readonly string[];
}

/** A rehearsal as a board has it in its hands. */
export interface Rehearsing {
  playing(): Playing;
  /** Does it, and says in a few words what was done, or why not; nothing where the board shows it anyhow. */
  control(control: Control): Said;
  /** What can be made to go wrong now, at most nine things. */
  mishaps(): readonly Mishap[];
  /** Somebody looks at what can be made to go wrong, or no longer does: no time passes meanwhile. */
  choosing(is: boolean): void;
}

export interface Said {
  readonly text: string;
  readonly bad: boolean;
}
