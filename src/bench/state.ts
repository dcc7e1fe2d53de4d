import type { ComponentId, Door, OvenHeat, StepId } from '../plan/index.ts';
import type { Progress, Timetable } from '../planner/index.ts';
import type { Celsius, EpochMs, Seconds, Temperature } from '../units/index.ts';
import type { CoolingRun, ProbeTrack } from '../heat/index.ts';
import type {
  BenchEvent,
  Effect,
  FeedReport,
  ForecastClash,
  Happening,
  Offer,
  OtherWay,
  Priority,
  RunSetup,
} from './events.ts';

/** What has become of a step in this run. */
export type StepRun = { readonly step: StepId } & (
  | {
      readonly state: 'waiting';
      /** By how much it was stretched (cut: less than nothing) before it began. */
      readonly extra?: Seconds;
    }
  | {
      readonly state: 'running';
      readonly startedAt: EpochMs;
      /** More time that was given; less than nothing where it was cut. */
      readonly extra: Seconds;
      /** Since when only the cook's word is missing: a rest long enough, a temperature reached. */
      readonly readyAt?: EpochMs;
      /** For each goal of the trigger that is held by what was last read: since when, and when that was last read. */
      readonly within: Readonly<Record<string, EpochMs>>;
      readonly heard: Readonly<Record<string, EpochMs>>;
      /** Goals of the trigger that have been held long enough. */
      readonly met: readonly string[];
    }
  | {
      readonly state: 'ended';
      readonly startedAt: EpochMs;
      readonly endedAt: EpochMs;
      readonly by: 'clock' | 'cook' | 'probe';
      /** Ended by the cook although its probe last said otherwise. */
      readonly overruled?: true;
    }
  | { readonly state: 'skipped'; readonly endedAt: EpochMs }
);

export interface ComponentRun {
  readonly component: ComponentId;
  /** The state its machine is in: `chill.running`, or `(finished)`. */
  readonly at: string;
  /** 1, and one more each time it was lost and is made again. */
  readonly attempt: number;
  /** When this attempt began to be possible: the run's beginning, or when the one before was lost. */
  readonly since: EpochMs;
  /** One for each step of the component, in order: ended or skipped ones first, then at most one running, then waiting ones. */
  readonly steps: readonly StepRun[];
  readonly finishedAt?: EpochMs;
}

export interface OvenRun {
  readonly oven: string;
  readonly heat: OvenHeat;
  /** When the knob was last turned. */
  readonly setAt: EpochMs;
  /** What it is reckoned to have stood at then. */
  readonly from: Celsius;
  /** off: standing or falling to the room; heating / cooling: on its way; at temperature: arrived and soaked. */
  readonly phase: 'off' | 'heating' | 'at temperature' | 'cooling';
  /** When it is reckoned to be right, soak included. */
  readonly readyAt: EpochMs;
  readonly door: Exclude<Door, 'usable'> | 'open';
  /** The door must stay shut until then, for that step. */
  readonly lockedUntil?: { readonly at: EpochMs; readonly step: StepId };
  /** Times the door was opened while it was locked. */
  readonly earlyOpenings: readonly EpochMs[];
  /** Every opening that is known, the latest last: for how long (nothing while it is open), and what it is reckoned to cost. */
  readonly openings: readonly Opening[];
  /** What is inside for these steps has been turned round. */
  readonly turned: readonly StepId[];
  /** From what it is reckoned, where something has changed it since the knob was turned. */
  readonly since?: OvenBase;
  /** What a probe in its air read in the last minutes, as far as it was believed, the latest last. */
  readonly air?: readonly AirReading[];
}

/** A moment at which it is known, or reckoned, what an oven stood at. */
export interface OvenBase {
  readonly at: EpochMs;
  readonly celsius: Celsius;
  readonly by: 'door' | 'load' | 'reading';
  /** How many times as long as its model says it takes on its way, as far as its probe shows: 1 as the model has it. */
  readonly pace: number;
  /** Whether it still has to soak once it is there. */
  readonly soaks: boolean;
}

/** One reading of an oven's air. */
export interface AirReading {
  readonly at: EpochMs;
  readonly celsius: Celsius;
  /** The cook read it: it counts at once. */
  readonly deliberate?: true;
}

/** One opening of an oven's door. */
export interface Opening {
  readonly at: EpochMs;
  readonly shutAt?: EpochMs;
  /** How far the air is reckoned to have fallen, and when it is reckoned to be back. */
  readonly fell?: Celsius;
  readonly backAt?: EpochMs;
}

/** What a call asks for. Answering it is the happening it would make (see `answer`). */
export type CallAsks =
  | { readonly kind: 'start'; readonly step: StepId }
  | { readonly kind: 'done'; readonly step: StepId }
  | { readonly kind: 'oven set'; readonly oven: string; readonly heat: OvenHeat; readonly step: StepId }
  | { readonly kind: 'turn'; readonly oven: string; readonly step: StepId }
  | { readonly kind: 'timer done'; readonly name: string }
  | { readonly kind: 'served' };

/** "It is time to do this now." Stays until it is done. */
export interface Call {
  /** Unique in a run for one situation: raised once, however often it is looked at. */
  readonly key: string;
  readonly asks: CallAsks;
  readonly component?: ComponentId;
  /** Component, verb and place: `shells: tray into the oven, middle shelf`. */
  readonly text: string;
  readonly caution?: string;
  /** Since when it is due, or when it will be: until then it may be answered, and nobody is pressed. */
  readonly due: EpochMs;
  /** The last moment at which doing it breaks nothing, where there is one, and what breaks then. */
  readonly latest?: { readonly at: EpochMs; readonly breaks: string };
  readonly priority: Priority;
  /** How often it has been raised so far: 0 before it is due, 1, then again while it is not done. */
  readonly raised: number;
  /** Silent until it is raised again. */
  readonly heard: boolean;
}

/** "Something is going wrong." */
export interface Alarm {
  readonly key: string;
  readonly kind: AlarmKind;
  readonly component?: ComponentId;
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  /** When the harm is done; the time left to answer runs to here. */
  readonly by?: EpochMs;
  readonly priority: Priority;
  readonly raisedAt: EpochMs;
  /** `returned`: its cause is gone, but nobody has heard it yet. */
  readonly state: 'unacknowledged' | 'heard' | 'returned';
  readonly returnedAt?: EpochMs;
  /** It came first among alarms that followed each other closely: the others may be its consequences. */
  readonly firstOut?: true;
  /** When it last rang. */
  readonly rangAt: EpochMs;
  /** Since when its cause is gone, while it is waited whether that lasts. */
  readonly goneSince?: EpochMs;
  /** It is to ring once more, from then on: it has become graver or come back, and rang a moment ago. */
  readonly owesFrom?: EpochMs;
}

/** An alarm that was set aside. */
export interface Shelved {
  readonly key: string;
  readonly kind: AlarmKind;
  readonly cause: string;
  /** What it was when it was set aside: it comes back if it becomes graver. */
  readonly priority: Priority;
  readonly until: EpochMs;
  readonly reason: string;
}

/** A kind of alarm that was taken out of service for this run. */
export interface OutOfService {
  readonly kind: AlarmKind;
  readonly since: EpochMs;
  readonly reason: string;
}

/** The documented alarms (docs/alarms.md has a row for each). */
export type AlarmKind =
  | 'not started'
  | 'waits'
  | 'waited too long'
  | 'keeps'
  | 'kept too long'
  | 'runs over'
  | 'oven clash'
  | 'oven not hot'
  | 'hands clash'
  | 'door opened early'
  | 'late for service'
  /** A probe that is waited for says nothing that can be believed. */
  | 'probe'
  /** Food will not be, or is not, as cold as the chosen cooling rules want it in their time. */
  | 'cooling'
  | 'cooling limit passed'
  /** A component will not be cold (or warm) enough when it is wanted. */
  | 'not there in time'
  /** An oven does not do what its model says: too low, too high, not heating. */
  | 'oven off its mark'
  /** What is in an oven should have been turned round. */
  | 'not turned'
  /** The forecast: two demands will clash, certainly or in many cases. */
  | 'clash ahead';

/** The cooling of one component's present attempt, held to the kitchen's rules. */
export interface CoolingWatch {
  readonly component: ComponentId;
  readonly attempt: number;
  readonly run: CoolingRun;
}

export interface QuickTimer {
  readonly name: string;
  readonly startedAt: EpochMs;
  readonly endsAt: EpochMs;
}

export interface ProbeState {
  readonly probe: string;
  /** The last reading that was believed, corrected for the probe's own error. */
  readonly temperature: Temperature;
  readonly at: EpochMs;
  /** How it has behaved, and the readings from which is predicted. */
  readonly track: ProbeTrack;
}

/** One line of what happened, for people. */
export interface LogLine {
  readonly at: EpochMs;
  /** When it became known, where that is later (dated back, or nobody was watching). */
  readonly knownAt?: EpochMs;
  readonly text: string;
  readonly kind: 'step' | 'oven' | 'alarm' | 'timer' | 'offer' | 'note';
  readonly component?: ComponentId;
  /** Of an alarm: which. */
  readonly key?: string;
}

/** A stretch in which nobody kept the run. */
export interface Gap {
  readonly from: EpochMs;
  readonly to: EpochMs;
  readonly reason: 'keeper stopped' | 'machine slept' | 'clock stepped';
}

/** Why the timetable that was told will not do. One situation has one key for as long as one timetable is told. */
export interface Situation {
  readonly key: string;
  /** In words, for "because ...": `cream is to be made again`. */
  readonly reason: string;
}

/** A new timetable that waits for the cook's word. */
export interface Proposal extends Offer {
  /** The event that brought it. */
  readonly id: string;
  readonly madeAt: EpochMs;
  readonly reason: string;
  /** Keys of the situations it answers: all that stood when it was made. */
  readonly answers: readonly string[];
  /** The attempt of each component it was made for, in the order of the workload. */
  readonly attempts: readonly number[];
  /** Other verified ways out, at most two. */
  readonly others: readonly OtherWay[];
}

/** How a run stands with new timetables. */
export interface Replanning {
  /** The situations that stand, the gravest first. */
  readonly situations: readonly Situation[];
  /** Keys of those that need no answer any more while the present timetable is told. */
  readonly answered: readonly string[];
  /** The key of what was asked for, until it is answered: `asked` by the cook, or `service` that was moved. */
  readonly asked?: string;
  readonly proposal?: Proposal;
  /** A timetable has just been taken: what stands at the next look was known to whoever made it. */
  readonly justTaken?: true;
}

/** Whether what is told holds whatever nature does within the ranges. */
export interface PromiseRun {
  readonly holds: boolean;
  /** How far the run had come, and in which attempt each component was, when that was last reckoned; nothing: from the beginning. */
  readonly since?: { readonly progress: Progress; readonly attempts: readonly number[] };
}

/** The whole of a run at one moment. Immutable plain data; the same setup and events give the same state to the byte. */
export interface BenchState {
  readonly setup: RunSetup;
  readonly timetable: Timetable;
  /** In the order of the workload. */
  readonly components: readonly ComponentRun[];
  readonly ovens: readonly OvenRun[];
  /** Standing calls, the one that space answers first. Those that are open for an answer but not yet due come last. */
  readonly calls: readonly Call[];
  /** Standing alarms, the most urgent first. */
  readonly alarms: readonly Alarm[];
  /** Alarms whose cause stands, but not yet for long enough to be raised: since when, by key. */
  readonly arising: Readonly<Record<string, EpochMs>>;
  /** Alarms that were heard and have been over for less than a minute. */
  readonly lately: readonly Alarm[];
  readonly shelved: readonly Shelved[];
  readonly outOfService: readonly OutOfService[];
  /** Nothing sounds until then. */
  readonly quietUntil?: EpochMs;
  readonly timers: readonly QuickTimer[];
  readonly probes: readonly ProbeState[];
  /** For each component whose cooling is watched and has begun: its clocks. */
  readonly cooling: readonly CoolingWatch[];
  readonly feeds: readonly FeedReport[];
  /** What the last forecast saw ahead, and of which moment's state. */
  readonly forecast?: { readonly of: EpochMs; readonly clashes: readonly ForecastClash[] };
  readonly replanning: Replanning;
  /** How the run stands with the promise of what is told; nothing where it is not asked to keep one. */
  readonly promise?: PromiseRun;
  readonly log: readonly LogLine[];
  /** How often each call and alarm has rung, by key: what keeps one raising from ringing twice. */
  readonly rung: Readonly<Record<string, number>>;
  /** Every applied event in order: what undo replays. */
  readonly history: readonly BenchEvent[];
  /** What was taken back, and by which `undo` event. */
  readonly undone: readonly { readonly event: string; readonly by: string }[];
  /** The last gap, until the cook has acted again. */
  readonly gap?: Gap;
  /** The time of the latest event. */
  readonly time: EpochMs;
  /** The next moment at which time alone changes the state. */
  readonly deadline?: EpochMs;
  /** Of a demonstration: how many copies are spoilt, by swap. */
  readonly spoilt?: Readonly<Record<string, number>>;
  /** When each service went out so far, in order: several where plans are served at different times. */
  readonly servings: readonly EpochMs[];
  /** When the last of them did: the run is over. */
  readonly servedAt?: EpochMs;
}

/** What applying an event gives. A refused event changes nothing and says why, for people. */
export type Outcome =
  | { readonly ok: true; readonly state: BenchState; readonly effects: readonly Effect[] }
  | { readonly ok: false; readonly state: BenchState; readonly why: string };

/** A clash that lies ahead if everything goes on as usual. */
export interface Clash {
  readonly kind: 'oven' | 'not hot' | 'hands';
  /** When it happens. */
  readonly at: EpochMs;
  /** The two that clash, the one that is under way or earlier first; one alone where the oven itself is late. */
  readonly steps: readonly StepId[];
  /** In words: what the two want. */
  readonly why: string;
}

/** When a step is expected to start (or did) and end (or did). */
export interface ExpectedStep {
  readonly step: StepId;
  readonly start: EpochMs;
  readonly end: EpochMs;
  readonly oven?: string;
  /** When it would start if its oven were right, where that is earlier. */
  readonly wanted?: EpochMs;
}

/** How the run is expected to go on. */
export interface Projection {
  /** One for each step that is running or waiting, in the order of the timetable. */
  readonly steps: readonly ExpectedStep[];
  /** For each plan: when it can be ready at the soonest, keeping the timetable's order of hands and oven. */
  readonly soonest: readonly EpochMs[];
  /** Seconds in hand before the tightest service is missed; negative when it will be. */
  readonly margin: Seconds;
  readonly clashes: readonly Clash[];
}

/** The happening that answers a call at `at` (now, or earlier where it is dated back). */
export type Answer = (call: Call, at: EpochMs) => Happening;
