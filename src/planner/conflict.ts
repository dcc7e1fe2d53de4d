import type { Tally } from './network.ts';
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

/** The latest conflicts that were found, the latest first and at most so many; of equally late ones the first found. */
export class Latest {
  readonly found: Conflict[] = [];
  private readonly limit: number;

  constructor(limit: number) {
    this.limit = limit;
  }

  /** Whether a conflict at this time would be kept: there may be thousands, and most need not be looked into. */
  wants(time: number): boolean {
    const last = this.found[this.limit - 1];
    return last === undefined || time > last.time;
  }

  add(conflict: Conflict): void {
    if (!this.wants(conflict.time)) return;
    const place = this.found.findIndex((other) => other.time < conflict.time);
    this.found.splice(place < 0 ? this.found.length : place, 0, conflict);
    if (this.found.length > this.limit) this.found.pop();
  }
}

/** What the search has settled and where it stands. */
export interface Standing {
  readonly problem: Problem;
  readonly latest: Float64Array;
  /** The oven of each group, or -1 while it is open. */
  readonly ovenOf: Int32Array;
  readonly tally: Tally;
}
