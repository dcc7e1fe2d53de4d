/** What a board may ask of a rehearsal beside what a cook does. A live run has nothing of the kind. */
export type Control =
  | { readonly kind: 'stop or go' }
  | { readonly kind: 'slower' }
  | { readonly kind: 'faster' }
  /** On to the next thing that happens, and stop there. */
  | { readonly kind: 'on' }
  /** Back to where the thing before had just happened, and stop there. */
  | { readonly kind: 'back' };

/** How a rehearsal plays at this moment. */
export interface Playing {
  /** How many times as fast as life it goes when it goes. */
  readonly speed: number;
  readonly stopped: boolean;
}

/** A rehearsal as a board has it in its hands. */
export interface Rehearsing {
  playing(): Playing;
  /** Does it, and says in a few words what was done, or why not. */
  control(control: Control): Said;
}

export interface Said {
  readonly text: string;
  readonly bad: boolean;
}
