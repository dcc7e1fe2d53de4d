import type { Edge, Problem } from './problem.ts';

/** One way out of a conflict: distances that would hold, and for a group without an oven, which one it gets. */
export interface Choice {
  readonly edges: readonly Edge[];
  readonly assign?: { readonly group: number; readonly oven: number };
  /** Among choices that cost the same, the smaller is tried first. */
  readonly crowding?: number;
}

/**
 * Something the present times do wrong. Every schedule that meets the problem is met by at least one of the choices, and
 * the present times by none of them.
 */
export interface Conflict {
  readonly time: number;
  /** Written out only for the conflicts that are looked at. */
  readonly choices: () => readonly Choice[];
}

/** What the search has settled and where it stands. */
export interface Standing {
  readonly problem: Problem;
  readonly latest: Float64Array;
  /** The oven of each group, or -1 while it is open. */
  readonly ovenOf: Int32Array;
}
