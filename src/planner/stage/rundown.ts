import type { ComponentId, ShownPart, StepId, Workload } from '../../plan/index.ts';
import type { DurationRange, EpochMs, Seconds } from '../../units/index.ts';
import type { Refusal } from '../plan.ts';
import type { Timetable } from '../timetable.ts';

/**
 * A demonstration as it is to go: what is shown from which copy, when each copy is begun, and what every hand does. Plain
 * data: it survives JSON. Moments are whole seconds.
 */
export interface Rundown {
  /** The plan's title. */
  readonly title: string;
  /** On air from here to `ends`. */
  readonly begins: EpochMs;
  readonly ends: EpochMs;
  readonly lasts: Seconds;
  /** How far off `ends` the demonstration may end. */
  readonly within: Seconds;
  readonly helper: boolean;
  readonly ovens: { readonly onStage: readonly string[]; readonly behind: readonly string[] };
  /** The steps of the derived workload that are nobody's showing: everybody to their places, and the time on air. A run of an older version has none. */
  readonly air?: { readonly places: StepId; readonly onAir: StepId };
  /** In order, each beginning where the one before it ends. */
  readonly showings: readonly Showing[];
  /** In the order of their use. */
  readonly swaps: readonly Swap[];
  /** Titles of components of which a backup is wanted, and none is made: nothing of them is fetched. */
  readonly unbacked?: readonly string[];
  /** What the presenter and the helper do, in order of time: showings too. */
  readonly jobs: readonly Job[];
  /**
   * The demonstration as an ordinary workload of one plan, served when the demonstration ends: each object on the table is a
   * component of it, and so is whatever a copy is made of. A bench can run it, and a sheet print it.
   */
  readonly workload: Workload;
  readonly timetable: Timetable;
  /** Whether, with nothing carried on that could only just be ready, no choice has fewer swaps, or as many with less work ahead; else it is the best that was found. */
  readonly proven: boolean;
}

/** One stretch of the demonstration. */
export interface Showing {
  /** The step of the derived workload that is this showing: it names the showing. */
  readonly step: StepId;
  readonly start: EpochMs;
  readonly end: EpochMs;
  readonly shows:
    | {
        readonly kind: 'step';
        /** In the plan. */
        readonly component: ComponentId;
        readonly step: StepId;
        readonly part: ShownPart;
        /** It goes piece by piece: after a few the audience has seen it. */
        readonly each?: true;
      }
    | { readonly kind: 'talk' | 'break' | 'beauty'; readonly about: string };
  /** What a call says: the plan's words for the step, or what the talk is about. */
  readonly action: string;
  /** What it may come to: as the presenter likes, or as nature does; `usual` is what it was planned with. */
  readonly length: DurationRange;
  readonly decides: 'presenter' | 'nature';
  /** What the presenter may cut it to and stretch it to; both as planned where nature decides. */
  readonly shortest: Seconds;
  readonly longest: Seconds;
  /** `press`: the presenter says when it is over. `clock`: it has one length. */
  readonly ends: 'press' | 'clock';
  readonly say?: string;
  readonly from: ShownFrom;
  /** What is taken along beside it: copies of other components, or what was carried on of them. */
  readonly brings: readonly Brought[];
  /** Steps of the derived workload that must be over before it can begin, beside the showing before it. */
  readonly after: readonly StepId[];
  /**
   * How long before it what it waits for off view is over, if all of that takes its longest and the showings go as planned;
   * negative: it is not. Left out where it waits for nothing off view.
   */
  readonly slack?: Seconds;
}

/** Where the object on the table comes from. */
export type ShownFrom =
  /** Nothing is on the table, or it is begun with what was weighed out. */
  | { readonly kind: 'nothing' }
  /** It is what was shown of it in that showing, carried on since: what happened to it off view is in `steps`. */
  | { readonly kind: 'live'; readonly since: StepId; readonly steps: readonly StepId[] }
  /** Copies made ahead, by their ids: one, but for the beauty of several components. */
  | { readonly kind: 'swap'; readonly swaps: readonly string[] };

/** Something that a showing needs of another component. */
export type Brought =
  | { readonly kind: 'swap'; readonly swap: string }
  /** The step of the derived workload that must be over. */
  | { readonly kind: 'live'; readonly step: StepId };

/** A copy of a component in one state, made ahead. */
export interface Swap {
  /** A letter, as on its label: A, B, ... Z, AA. */
  readonly id: string;
  /** In the plan. */
  readonly component: ComponentId;
  readonly title: string;
  readonly state: SwapState;
  /** shown: it is put on the table. needed: a showing, or work off view, takes it along. beauty: it is (part of) the finished plate. */
  readonly use: 'shown' | 'needed' | 'beauty';
  /** The showing, or the step off view, that takes it: a step of the derived workload. */
  readonly for: StepId;
  /** When it is wanted. */
  readonly at: EpochMs;
  /** How many copies stand ready: one to be shown, and the backups. */
  readonly copies: number;
  readonly backups: number;
  /** How many times the plan's amounts are wanted for all copies together. */
  readonly factor: number;
  /** Components of the derived workload that make it: its own first, then those of what it needs. */
  readonly made: readonly ComponentId[];
  /** When the first of the work for it begins. */
  readonly starts: EpochMs;
  /** When its last step ends: it is taken out of the cold, off the rack, out of the oven. */
  readonly ready: EpochMs;
  /** The earliest and the latest moment at which it is right, made when it is made; without a latest it keeps. */
  readonly usableFrom: EpochMs;
  readonly useBy?: EpochMs;
  /** How long before it is wanted it is right if all that makes it takes its longest; negative: it is not. A run of an older version has none. */
  readonly slack?: Seconds;
  /** Where it stands until it is wanted, in order of time. */
  readonly waits: readonly Waiting[];
}

export type SwapState =
  | { readonly kind: 'after'; readonly step: StepId }
  /** Within a step of the plan, so long before its end. */
  | { readonly kind: 'inside'; readonly step: StepId; readonly left: Seconds };

export interface Waiting {
  /** Equipment of the kitchen, an oven, or `bench`. */
  readonly where: string;
  readonly from: EpochMs;
  readonly until: EpochMs;
}

/** A stretch of work for one pair of hands. A step that is handed over when a showing begins has two. */
export interface Job {
  readonly who: 'presenter' | 'helper';
  /** A busy step of the derived workload. */
  readonly step: StepId;
  readonly start: EpochMs;
  readonly end: EpochMs;
  /** It is a showing. */
  readonly onView: boolean;
}

export type StageResult =
  | { readonly status: 'solved'; readonly rundown: Rundown }
  | { readonly status: 'refused'; readonly reasons: readonly Refusal[] }
  /** The effort was spent before anything was found. */
  | { readonly status: 'unknown' };

/** What is asked of a demonstration. */
export interface StageRequest {
  readonly when: { readonly kind: 'on air'; readonly at: EpochMs } | { readonly kind: 'soonest' };
  /** No step may be asked for before it. Needed for the soonest. */
  readonly now?: EpochMs;
  /** Instead of what the plan says. */
  readonly helper?: boolean;
  /** How much all searches together may do, in counted work; by default what takes some seconds. */
  readonly effort?: number;
}
