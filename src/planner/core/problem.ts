/**
 * A plain scheduling problem. It knows nothing of pastry, plans, clocks or units: times are whole numbers, and everything
 * that must hold carries the number of a rule, so that whoever wrote the problem can be told which rules clash.
 *
 * Every activity has two points, its start and its end; all other parts speak of points.
 */
export interface Problem {
  readonly activities: readonly Activity[];
  readonly lags: readonly Lag[];
  readonly resources: readonly Resource[];
  readonly ovens: readonly StateResource[];
  readonly demands: readonly StateDemand[];
  readonly groups: readonly DemandGroup[];
  /** Stretches of time in which activities of a calendar may not lie, in order and apart from each other. */
  readonly calendars: readonly Calendar[];
  /** What is wanted, the most important first: each level is made as small as it can be without giving up those before it. */
  readonly objective: readonly Level[];
}

/** A point in time: 2a is the start of activity a, 2a + 1 its end (see {@link startOf}, {@link endOf}). */
export type Point = number;

export const startOf = (activity: number): Point => 2 * activity;
export const endOf = (activity: number): Point => 2 * activity + 1;

export interface Activity {
  /** Bounds of its length, 0 at least; `most` may be Infinity. */
  readonly least: number;
  readonly most: number;
  /** It starts no earlier. */
  readonly release?: number;
  /** It ends no later. */
  readonly due?: number;
  /** The calendar whose closed stretches it must not overlap; an activity without length may stand anywhere. */
  readonly calendar?: number;
  /** The rule behind its length, release and due; several where they differ. */
  readonly rule: number;
  readonly releaseRule?: number;
  readonly dueRule?: number;
  readonly calendarRule?: number;
}

/** `x[to] >= x[from] + weight`. A negative weight is a maximal time lag the other way round. */
export interface Lag {
  readonly from: Point;
  readonly to: Point;
  readonly weight: number;
  readonly rule: number;
}

/** Renewable: at no time may more than `capacity` be taken. */
export interface Resource {
  readonly capacity: number;
  readonly claims: readonly Claim[];
}

/** So much is taken over the half-open stretch `[from, to)`, which may span several activities; a stretch without length takes nothing. */
export interface Claim {
  readonly from: Point;
  readonly to: Point;
  readonly amount: number;
  readonly rule: number;
}

/** A resource that is in one state at a time, such as an oven at a temperature. States are numbered from 0. */
export interface StateResource {
  readonly capacity: number;
  /** `change[a][b]`: the least time from the end of a demand in state a to the start of one in state b. */
  readonly change: readonly (readonly number[])[];
  /** `together[a][b]`: whether demands in the two states may overlap; it must be so both ways. */
  readonly together: readonly (readonly boolean[])[];
  /** `warmUp[a]`: a demand in state a starts no earlier than this after `begin`, and ends no later than `finish`; undefined: both ask nothing of it. */
  readonly warmUp: readonly (number | undefined)[];
  readonly begin?: Point;
  readonly finish?: Point;
  /** `ready[a]`: no demand in state a starts before this time, unless it takes over. */
  readonly ready?: readonly number[];
}

/** A state wanted over `[start, end)`. A stretch without length asks nothing. */
export interface StateDemand {
  readonly start: Point;
  readonly end: Point;
  readonly state: number;
  readonly amount: number;
  /** Nothing may go in or out strictly inside the stretch. A load that stays in from one demand of its group to the next opens no door. */
  readonly shut: boolean;
  /** It shares with nobody, whatever `together` says. */
  readonly alone: boolean;
  readonly group: number;
  /** The change from the demand before it in its group takes no time (a falling oven, whose clock starts with the setting). */
  readonly takesOver: boolean;
  /** It is known to agree with all other settled demands, so that nothing is asked of two of them. */
  readonly settled?: boolean;
  readonly rule: number;
}

/** Demands that go to one and the same state resource, in order: each starts no earlier than the one before it ends. */
export interface DemandGroup {
  readonly demands: readonly number[];
  /** Indexes of state resources that will do; at least one. */
  readonly candidates: readonly number[];
}

export interface Calendar {
  readonly closed: readonly { readonly from: number; readonly to: number }[];
}

/** A sum that is made as small as it can be. */
export interface Level {
  readonly name: string;
  readonly terms: readonly { readonly point: Point; readonly weight: number }[];
  /** Adds `weight` when the activity overlaps `[from, to)`. */
  readonly overlaps?: readonly {
    readonly activity: number;
    readonly from: number;
    readonly to: number;
    readonly weight: number;
  }[];
}

/** How much may be spent. Whichever is used up first ends the search. */
export interface Budget {
  /** Counted work (bounds moved, clauses and tasks looked at): the same on every machine for the same problem and seed. */
  readonly work?: number;
  /** Asked now and then; true ends the search. It makes the answer depend on whoever is asked. */
  readonly stop?: () => boolean;
}

export interface SolveOptions {
  readonly budget: Budget;
  readonly seed?: number;
  /** Times by point (and resources by group) of a schedule that is near what is wanted; it need not be right. */
  readonly warmStart?: { readonly times: ArrayLike<number>; readonly ovenOf?: ArrayLike<number> };
  /** Told of each better schedule as it is found. */
  readonly onImprovement?: (levels: readonly LevelResult[], schedule: Schedule) => void;
  /** End with the first schedule, whatever its objective. */
  readonly anyWillDo?: boolean;
}

export interface Schedule {
  /** The time of each point. */
  readonly times: Int32Array;
  /** The state resource of each group. */
  readonly ovenOf: Int32Array;
}

/** What a level came to, and what no schedule (that is as good on the levels before it) can be below. */
export interface LevelResult {
  readonly name: string;
  readonly value: number;
  readonly bound: number;
}

export type SolveResult =
  /** optimal: every level is at its bound. feasible: right, and not proven best. */
  | {
      readonly status: 'optimal' | 'feasible';
      readonly schedule: Schedule;
      readonly levels: readonly LevelResult[];
      readonly work: number;
    }
  | { readonly status: 'infeasible'; readonly work: number }
  /** The budget was spent before any schedule was found; `bound` holds for the first level. */
  | { readonly status: 'unknown'; readonly bound: number; readonly work: number };
