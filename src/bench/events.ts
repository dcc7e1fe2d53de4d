import type { ComponentId, OvenHeat, StepId, Workload } from '../plan/index.ts';
import type {
  BrokenWindow,
  Change,
  OtherWay as PlannedWay,
  Proposal,
  Rundown,
  Timetable,
} from '../planner/index.ts';
import type { EpochMs, Seconds, Temperature } from '../units/index.ts';
import type { AlarmKind } from './state.ts';

/** What a run begins from; journalled once, before any event. Plain data. */
export interface RunSetup {
  /** The run's name: letters, digits and hyphens, at most 64. */
  readonly run: string;
  readonly workload: Workload;
  readonly timetable: Timetable;
  readonly begunAt: EpochMs;
  /** What is shown when, where the run is a demonstration. */
  readonly rundown?: StageSetup;
  /** It is a rehearsal, with the luck of this seed: nothing was cooked, and it teaches nothing. */
  readonly rehearsal?: { readonly seed: number };
  /** Calls come so that the timetable's promise is kept, where it holds from `begunAt` on; else as the timetable has them. */
  readonly keeps?: 'promise';
}

/** The rundown of a run: its workload and its timetable are those of the run. */
export type StageSetup = Omit<Rundown, 'workload' | 'timetable'>;

/** Who or what an event came from. */
export type Source = 'cook' | 'clock' | 'probe' | 'rehearsal';

/**
 * Everything that can happen to a run. `id` is unique in the run (applying one id twice is once); `time` is when it
 * reached the keeper, never earlier than the event before it.
 */
export type BenchEvent = { readonly id: string; readonly time: EpochMs; readonly source: Source } & Happening;

export type Happening =
  /** Time has come to `time`. Deadlines that have passed take effect at their own moments, in order. */
  | { readonly kind: 'clock' }
  /** A step was started at `at` (not after `time`; earlier where it is dated back). */
  | { readonly kind: 'start'; readonly step: StepId; readonly at: EpochMs }
  /** A step was ended at `at`, by the cook's word. Ends a rest too: it was taken out. */
  | { readonly kind: 'done'; readonly step: StepId; readonly at: EpochMs }
  | { readonly kind: 'reading'; readonly probe: string; readonly temperature: Temperature }
  /** The oven's knob was set. */
  | { readonly kind: 'oven set'; readonly oven: string; readonly heat: OvenHeat }
  | { readonly kind: 'door'; readonly oven: string; readonly door: 'shut' | 'open' | 'ajar' }
  /** A quick timer that belongs to no step. */
  | { readonly kind: 'timer'; readonly name: string; readonly length: Seconds }
  /** A quick timer is answered or thrown away. */
  | { readonly kind: 'timer done'; readonly name: string }
  /** A running step gets so much more. */
  | { readonly kind: 'more'; readonly step: StepId; readonly length: Seconds }
  /** A step is to last so long from its start, whether it is going or to come: it was cut or stretched. */
  | { readonly kind: 'length'; readonly step: StepId; readonly length: Seconds }
  /** A step is left out: it counts as ended at once. */
  | { readonly kind: 'skip'; readonly step: StepId }
  /** Of a demonstration: a copy of that swap is spoilt. Its backup is taken, or what cannot be shown without it is left out. */
  | { readonly kind: 'spoilt'; readonly swap: string }
  /** A component is spoilt and is to be made again from its first step. */
  | { readonly kind: 'lost'; readonly component: ComponentId }
  /** A call or alarm was heard: it falls silent, and stays until it is done or has returned. */
  | { readonly kind: 'heard'; readonly key: string }
  /** The next service went out to the table. The last one ends the run. */
  | { readonly kind: 'served' }
  /** Takes back the latest act of the cook that has not been taken back. */
  | { readonly kind: 'undo' }
  /** A new timetable for what is still to come. */
  | { readonly kind: 'timetable'; readonly timetable: Timetable }
  /**
   * The guests come at another time: a plan's service is moved, and those of the plans in `also` with it. With a timetable
   * that is told from now on, if it still fits; without one a new one is wanted.
   */
  | ({
      readonly kind: 'service moved';
      readonly also?: readonly ServiceMove[];
      readonly timetable?: Timetable;
    } & ServiceMove)
  /** The cook asks for a new timetable. */
  | { readonly kind: 'timetable asked' }
  /** A new timetable is offered for the situation named by `because`. It changes nothing until it is taken. */
  | ({
      readonly kind: 'proposed';
      readonly because: string;
      /** Other ways out that the planner has verified, at most two; each says in a few words what it is. */
      readonly others?: readonly OtherWay[];
    } & Offer)
  /** There is nothing to offer for that situation; `why` is in words where there is something to say. */
  | {
      readonly kind: 'not proposed';
      readonly because: string;
      readonly outcome: 'as told' | 'none' | 'unknown' | 'failed';
      readonly why: string;
    }
  /** The new timetable that stands is not taken: the one that was told goes on. */
  | { readonly kind: 'declined' }
  /** What is in the oven for that step was turned round. */
  | { readonly kind: 'turned'; readonly step: StepId }
  /** An alarm is set aside for so long, for a reason: it neither shows nor sounds until then. */
  | { readonly kind: 'shelved'; readonly key: string; readonly length: Seconds; readonly reason: string }
  | { readonly kind: 'unshelved'; readonly key: string }
  /** A kind of alarm is taken out of service for this run, for a reason, until it is put back. */
  | { readonly kind: 'out of service'; readonly alarm: AlarmKind; readonly reason: string }
  | { readonly kind: 'in service'; readonly alarm: AlarmKind }
  /** Nothing sounds for so long (0: sound again from now); the board shows everything all the same. */
  | { readonly kind: 'quiet'; readonly length: Seconds }
  /** Lets a priority sound once, to hear whether it can be heard. */
  | { readonly kind: 'sound test'; readonly priority: Priority }
  /** How a feed of readings stands, and what has come by it so far. Sent when it comes, goes, or its counts have grown. */
  | ({ readonly kind: 'feed' } & FeedReport)
  /** What lies ahead over the ranges of what is open: an answer to what was asked of a state, see `forecastWanted`. */
  | { readonly kind: 'forecast'; readonly of: EpochMs; readonly clashes: readonly ForecastClash[] }
  /** Nobody kept the run from `from` until `time`. */
  | {
      readonly kind: 'gap';
      readonly from: EpochMs;
      readonly reason: 'keeper stopped' | 'machine slept' | 'clock stepped';
    };

/** A plan, and the moment its service is moved to. */
export interface ServiceMove {
  readonly plan: number;
  readonly to: EpochMs;
}

/** A new timetable, and what is different in it. */
export interface Offer {
  readonly timetable: Timetable;
  /** What moved by a minute or more, in order of time. */
  readonly changes: readonly Change[];
  /** Services that it moves, by plan: never silently. Empty where all are kept. */
  readonly serviceMoved: Proposal['serviceMoved'];
  /** Windows that cannot be kept any more. */
  readonly broken: readonly BrokenWindow[];
}

/** A verified way out beside the one that is offered first. */
export type OtherWay = PlannedWay;

/** How one feed stands. Counts are of the whole run. */
export interface FeedReport {
  /** What the cook knows it by: `lines`, `port 9311`, `mqtt`. */
  readonly feed: string;
  readonly state: 'on' | 'off';
  /** Why it is off, or where it reads from. */
  readonly detail: string;
  /** Handed on to the run. */
  readonly used: number;
  /** Left out because readings came faster than they are needed. */
  readonly thinned: number;
  /** Not understood, or not to be trusted. */
  readonly refused: number;
}

/** A clash that may lie ahead. */
export interface ForecastClash {
  /** Names the two and what they clash on, whenever it is looked at. */
  readonly key: string;
  readonly kind: 'oven' | 'not hot' | 'hands';
  readonly steps: readonly StepId[];
  /** In words: what the two want. */
  readonly why: string;
  /** The share of cases in which it happens, 0 to 1; `certain`: whatever the durations turn out to be. */
  readonly chance: number | 'certain';
  /** When it happens: at the earliest, and in the middle of the cases. */
  readonly soonest: EpochMs;
  readonly usual: EpochMs;
}

export type Priority = 'low' | 'medium' | 'high';

/** What should leave the bench because of an event: plain data for the herald to carry out. */
export type Effect =
  /** A call or alarm is raised: for the `nth` time, 1 the first. A key and nth come once in a run. */
  | {
      readonly kind: 'ring';
      readonly key: string;
      readonly nth: number;
      readonly priority: Priority;
      readonly text: string;
    }
  | { readonly kind: 'hush'; readonly key: string };
