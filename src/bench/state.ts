import type { ComponentId, Door, OvenHeat, StepId } from '../plan/index.ts';
import type { Timetable } from '../planner/index.ts';
import type { Celsius, EpochMs, Seconds, Temperature } from '../units/index.ts';
import type { BenchEvent, Effect, Happening, Offer, Priority, RunSetup } from './events.ts';

/** What has become of a step in this run. */
export type StepRun = { readonly step: StepId } & (
  | { readonly state: 'waiting' }
  | {
      readonly state: 'running';
      readonly startedAt: EpochMs;
      /** More time that was given. */
      readonly extra: Seconds;
      /** Since when only the cook's word is missing: a rest long enough, a temperature reached. */
      readonly readyAt?: EpochMs;
      /** For each probe of the trigger whose last reading is within its goal: since when. */
      readonly within: Readonly<Record<string, EpochMs>>;
      /** Probes of the trigger whose goal has been held long enough. */
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
}

/** What a call asks for. Answering it is the happening it would make (see `answer`). */
export type CallAsks =
  | { readonly kind: 'start'; readonly step: StepId }
  | { readonly kind: 'done'; readonly step: StepId }
  | { readonly kind: 'oven set'; readonly oven: string; readonly heat: OvenHeat; readonly step: StepId }
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
}

/** The documented alarms (docs/board.md has a line on each). */
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
  | 'late for service';

export interface QuickTimer {
  readonly name: string;
  readonly startedAt: EpochMs;
  readonly endsAt: EpochMs;
}

export interface ProbeState {
  readonly probe: string;
  readonly temperature: Temperature;
  readonly at: EpochMs;
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
}

/** How a run stands with new timetables. */
export interface Replanning {
  /** The situations that stand, the gravest first. */
  readonly situations: readonly Situation[];
  /** Keys of those that need no answer any more while the present timetable is told. */
  readonly answered: readonly string[];
  /** The key of the cook's own request, until it is answered. */
  readonly asked?: string;
  readonly proposal?: Proposal;
  /** A timetable has just been taken: what stands at the next look was known to whoever made it. */
  readonly justTaken?: true;
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
  readonly timers: readonly QuickTimer[];
  readonly probes: readonly ProbeState[];
  readonly replanning: Replanning;
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
