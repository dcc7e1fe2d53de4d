/** A rule over many variables. It is asked to draw conclusions after any side it listens to has risen. */
export interface Propagator {
  readonly sides: readonly number[];
  /** It is asked only when all others have nothing to say. */
  readonly isCostly?: boolean;
  /** False, with the failure noted in the store, when the rule cannot be met. */
  propagate(): boolean;
}
