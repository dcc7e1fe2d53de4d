/**
 * A simple temporal network with uncertainty: points in time, bounds between them that must hold, and lengths that nature
 * decides. It knows nothing of plans; times are whole numbers (seconds, as used here).
 *
 * Point 0 is the zero point: it happens at time 0, and no point lies before it.
 */
export interface UncertainNetwork {
  /** How many points there are; they are numbered from 0. */
  readonly points: number;
  readonly links: readonly OrdinaryLink[];
  readonly contingent: readonly ContingentLink[];
}

/** `x[to] - x[from] <= weight`. A negative weight says that `to` lies at least so much before `from`. */
export interface OrdinaryLink {
  readonly from: number;
  readonly to: number;
  readonly weight: number;
}

/**
 * Nature decides `x[end] - x[start]` in `[low, high]`, with `0 < low <= high`; it is seen when it ends. A point is the end of one such
 * link at most. `low == high` is allowed: then nature has no choice.
 */
export interface ContingentLink {
  readonly start: number;
  readonly end: number;
  readonly low: number;
  readonly high: number;
}

/** Whether somebody who sees the lengths only as they end can always keep every link, whatever nature does. */
export type Controllability =
  | { readonly kind: 'controllable'; readonly dispatch: DispatchNetwork }
  | {
      readonly kind: 'uncontrollable';
      /** Links that go round in a circle which nature can make negative, in order and each once. Where there are 100 at most, every one is needed. */
      readonly cycle: readonly CycleLink[];
      /** By how much the circle is negative, at least 1: one of its links must be so much looser, or less where the circle passes it twice. */
      readonly short: number;
    };

/** Where an element of a circle came from: a link, or a length that nature may make as short (`low`) or long (`high`) as it can be. */
export type CycleLink =
  | { readonly kind: 'ordinary'; readonly index: number }
  | { readonly kind: 'contingent'; readonly index: number; readonly side: 'low' | 'high' };

/**
 * A network in which all that must be minded on the way stands between neighbours: who executes it (see `executor`) looks at the links of a
 * point alone, never at paths, and keeps every link of the network that it was made from.
 */
export interface DispatchNetwork {
  readonly points: number;
  /** The links given and those that follow; of two between the same points only the tighter. */
  readonly links: readonly OrdinaryLink[];
  readonly waits: readonly WaitLink[];
  readonly contingent: readonly ContingentLink[];
}

/** `point` comes no earlier than `time` after the start of a contingent link, unless the link has ended before. */
export interface WaitLink {
  readonly point: number;
  /** Index of the contingent link. */
  readonly contingent: number;
  /** More than the link's `low`, and no more than its `high`. */
  readonly time: number;
}
