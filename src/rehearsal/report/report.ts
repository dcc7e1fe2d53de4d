import type { StepId } from '../../plan/index.ts';
import type { EpochMs, Seconds } from '../../units/index.ts';
import type { Window } from '../fast/index.ts';
import type { Life } from '../life.ts';
import type { Chance, Difference } from './chances.ts';
import type { Estimate } from './spread.ts';

/** What many rehearsals of one timetable have shown. Plain data. */
export interface Report {
  readonly plans: readonly { readonly title: string; readonly makes: string; readonly service: EpochMs }[];
  readonly timeZone: string;
  readonly begin: EpochMs;
  /** How it was got. */
  readonly got: {
    readonly runs: number;
    /** The seeds count up from this one. */
    readonly seed: number;
    /** How many had been asked for: more than `runs` where it was stopped. */
    readonly asked: number;
    readonly stopped: boolean;
    /** In how many a new timetable was wanted, and how many of those were played again on the real bench with one. */
    readonly wanting: number;
    readonly onBench: number;
    /** For how many of those that wanted one they stand; the others count as they went without one. */
    readonly stoodFor: number;
    /** How many came to no end, on the real bench or off it, and the least seed of them. They count as late. */
    readonly stuck: number;
    readonly firstStuck?: number;
    /** What days were taken to be like, beside the plan's ranges; nothing where each draw stood for itself. */
    readonly life?: Life;
    /** On how many of these seeds every change was measured. */
    readonly compared: number;
  };
  /** Every service less than a minute late. */
  readonly onTime: Chance;
  /** On time, and no limit broken. */
  readonly well: Chance;
  /** Ready, in seconds after service (negative: before it), below which so many of a hundred lie; Infinity: never. */
  readonly ready: readonly Quantile[];
  /** How late the latest service went out, s. */
  readonly late: readonly Quantile[];
  /** Every limit with its chance of being broken, the likeliest first. */
  readonly windows: readonly WindowChance[];
  readonly blame: {
    /** Whose paths were looked at: late rehearsals, or where there are too few of them the latest tenth. */
    readonly of: 'late' | 'latest tenth';
    readonly runs: number;
    readonly steps: readonly StepBlame[];
  };
  readonly clashes: readonly ClashChance[];
  readonly latestStarts: readonly LatestStart[];
  /** What was tried, what helps most first. */
  readonly changes: readonly TriedChange[];
  /** The first of these that helped more than luck would, measured once more with other seeds; none where it did not again. */
  readonly best?: TriedChange;
  readonly bands: readonly StepBand[];
}

export interface Quantile {
  /** Of a hundred. */
  readonly percent: number;
  readonly seconds: Estimate;
}

export interface WindowChance {
  readonly kind: Window['kind'];
  readonly steps: readonly StepId[];
  readonly words: string;
  readonly broken: Chance;
}

/** What a step had to do with lateness. */
export interface StepBlame {
  readonly step: StepId;
  readonly words: string;
  /** In what share of the rehearsals that were looked at it lay on the path that made them late (its criticality). */
  readonly onPath: number;
  /** What share of all that lengthened those paths it added itself. */
  readonly added: number;
  /** How closely its length goes with readiness, -1 to 1; null where one of them is always the same. */
  readonly correlation: number | null;
  /** What one minute less of it bought, measured on the same rehearsals; only for the first few. */
  readonly minuteLess?: { readonly sooner: Seconds; readonly onTime: Difference };
}

/** A step that waited for another one. */
export interface ClashChance {
  readonly kind: 'hands' | 'tool' | 'oven';
  readonly item?: string;
  /** The one that waited, and the one that it waited for. */
  readonly step: StepId;
  readonly behind: StepId;
  readonly words: string;
  readonly chance: Chance;
  /** How long it waited where it did, in the mean, s. */
  readonly seconds: Seconds;
}

/**
 * The latest beginning with which so many of a hundred rehearsals are ready by service, everything else being the same: what
 * was told comes earlier (or later) as a whole, and no new timetable is made on the way.
 */
export interface LatestStart {
  readonly percent: number;
  /** Undefined where no beginning is early enough: too many rehearsals never come to an end. */
  readonly begin?: EpochMs;
  /** How much earlier than planned, s; negative: later. With its interval. */
  readonly earlier: Estimate;
  /** Played again with other seeds, so many earlier: how many were ready by service. */
  readonly verified?: Chance;
  /** Whether a rule of the plan forbids to move everything so far: something would be kept too long, or lie outside the hours. */
  readonly breaksRules: boolean;
}

export interface TriedChange {
  readonly words: string;
  /** Chances with it and without it, and the difference, on the same rehearsals. */
  readonly onTime: Measured;
  readonly well: Measured;
  /** How much sooner they were ready, in the mean; s. */
  readonly sooner: Seconds;
  readonly begin: EpochMs;
}

export interface Measured {
  readonly without: number;
  readonly with: number;
  readonly difference: Difference;
}

/** When a step starts and ends: in one of ten before `low`, in nine of ten before `high`. */
export interface StepBand {
  readonly step: StepId;
  readonly start: Band;
  readonly end: Band;
}

/** Moments; undefined where it never came so often. */
export interface Band {
  readonly low?: EpochMs;
  readonly usual?: EpochMs;
  readonly high?: EpochMs;
}
