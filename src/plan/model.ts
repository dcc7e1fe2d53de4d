import type {
  Celsius,
  ClockTime,
  DurationRange,
  Seconds,
  Temperature,
  WorkingHours,
} from '../units/index.ts';

export type { DayHours, WorkingHours } from '../units/index.ts';

declare const stepBrand: unique symbol;
declare const componentBrand: unique symbol;

/** Names one component of a workload: its name in the plan, with `plan/` before it where several plans are laid together. */
export type ComponentId = string & { readonly [componentBrand]: true };
/** Names one step of a workload: `component.step`. */
export type StepId = string & { readonly [stepBrand]: true };

export const componentId = (name: string): ComponentId => name as ComponentId;
export const stepId = (component: ComponentId, step: string): StepId => `${component}.${step}` as StepId;

/** Where something stands in a file. Lines and columns count from 1; columns count UTF-16 units. */
export interface Place {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
}

/** How long a step is and who decides it. */
export type StepLength =
  /** Nature decides within the range. A single figure (`low = high`) is ended by the clock. */
  | { readonly kind: 'takes'; readonly range: DurationRange }
  /** So long for each piece; `range` is already multiplied by the yield. The cook says when it is over. */
  | { readonly kind: 'each'; readonly per: Seconds; readonly pieces: number; readonly range: DurationRange }
  /** The cook decides: at least, and at most where there is a limit. */
  | { readonly kind: 'rest'; readonly atLeast: Seconds; readonly atMost?: Seconds };

export type Hands = 'busy' | 'near' | 'free';
export type Door = 'shut' | 'usable' | 'ajar';
export type OvenHeat = { readonly kind: 'at'; readonly temperature: Temperature } | { readonly kind: 'off' };

/** What a step wants of an oven for its whole length. */
export interface OvenDemand {
  /** The oven's name; without one, any oven of the kitchen will do, the same one for all oven steps of the component in a row. */
  readonly oven?: string;
  /** Without a name, the ovens of which any will do, where that is not all of them. No plan says so: only what is to be shown asks for it. */
  readonly among?: readonly string[];
  readonly heat: OvenHeat;
  readonly door: Door;
  /** Shelves taken, already scaled by the yield; at least 1. */
  readonly shelves: number;
}

/** What ends a step beside or instead of its length. */
export type Trigger =
  /** Doneness that is seen or felt; only a person can confirm it. */
  | { readonly kind: 'cue'; readonly text: string }
  /** A temperature, held for `lasting` (default 10 s) so that a spike ends nothing. */
  | {
      readonly kind: 'probe';
      readonly probe: string;
      readonly goal: ProbeGoal;
      readonly lasting: Seconds;
      /** The goal is told for sea level and falls with the boiling point of water: sugar cooks by what has boiled off. */
      readonly fromBoiling?: true;
    }
  /** Several probes within one goal at the same time, for `lasting`; no further `apart` from each other where that is given. */
  | {
      readonly kind: 'join';
      readonly probes: readonly string[];
      readonly goal: ProbeGoal;
      readonly apart?: Celsius;
      readonly lasting: Seconds;
    }
  | { readonly kind: 'any' | 'all'; readonly of: readonly Trigger[] };

export type ProbeGoal =
  | { readonly kind: 'reaches'; readonly to: Temperature }
  | { readonly kind: 'falls to'; readonly to: Temperature }
  | { readonly kind: 'between'; readonly low: Temperature; readonly high: Temperature };

/** Counted equipment claimed for the whole of a step; `count` is already scaled by the yield. */
export interface Claim {
  readonly item: string;
  readonly count: number;
}

/**
 * Counted equipment kept from the start of this step to the end of a later one (a tray, from piping to filling).
 * Steps of the same component in between that use the item use the held ones first.
 */
export interface HeldClaim extends Claim {
  readonly until: StepId;
}

export interface Step {
  readonly id: StepId;
  readonly component: ComponentId;
  /** The step's name in the plan: `bake high`. */
  readonly name: string;
  /** What the hands do, as a call says it; the step's name where the plan says nothing more. */
  readonly action: string;
  readonly length: StepLength;
  readonly hands: Hands;
  /** The longest wait between the end of the step before it and its start. */
  readonly within?: Seconds;
  /** The shortest wait between the end of the step before it and its start. */
  readonly after: Seconds;
  /** Steps that must have ended before this one starts (a needed component is its last step). */
  readonly needs: readonly StepId[];
  readonly uses: readonly Claim[];
  readonly holds: readonly HeldClaim[];
  readonly oven?: OvenDemand;
  /** So long after its start what is in the oven is turned round once, by an opening of the door that is allowed for. */
  readonly turn?: Seconds;
  readonly until?: Trigger;
  /** What it stands in while this step lasts (an ice bath: 0.5 C), where no cold shelf says so. */
  readonly around?: Celsius;
  readonly caution?: string;
  /** As the plan says it: true, its length grows with the yield; false, nothing of it does. */
  readonly scales?: boolean;
  readonly place: Place;
}

export interface Component {
  readonly id: ComponentId;
  /** The short name, as in the plan: `shells`. */
  readonly name: string;
  readonly title: string;
  /** The index of its plan in the workload. */
  readonly plan: number;
  /** From its last step's end to the end of the last step that needs it, or to service where none does. */
  readonly keeps?: Seconds;
  /** Whether the kitchen's chosen cooling rules are to be watched, and for which kind of food. */
  readonly cooling?: 'cooked' | 'ambient';
  /** The probe that stands in it, by which its cooling is watched; by default one named in its triggers, else as the component. */
  readonly probe?: string;
  /** How thick it lies while it cools, in mm: what a cooling time is guessed from while nothing has been measured. */
  readonly depth?: number;
  /** At least one, in order. */
  readonly steps: readonly Step[];
  readonly place: Place;
}

/** One plan as read, checked and scaled. */
export interface Plan {
  /** The file's name without its ending: `gallery-opening`. */
  readonly name: string;
  readonly file: string;
  readonly title: string;
  readonly makes: { readonly count: number; readonly of: string };
  readonly serve?: ClockTime;
  /** How long before service everything is to be ready. */
  readonly margin: Seconds;
  /** What the timetable is to favour, the most important first; what is not named follows in the usual order. */
  readonly prefer?: readonly Preference[];
  /** How it is shown to an audience, where it is. */
  readonly demonstration?: Demonstration;
  readonly components: readonly ComponentId[];
}

/** A demonstration as it is told in a plan: the presenter's story. When it is told is for the planner. */
export interface Demonstration {
  /** The time on air. */
  readonly lasts: Seconds;
  readonly onAir?: ClockTime;
  /** How far off its length the end may be. */
  readonly within: Seconds;
  /** A second pair of hands works off view. */
  readonly helper: boolean;
  /** The ovens that the audience sees, at least one where the kitchen has any; the others stand behind. */
  readonly ovens: readonly string[];
  /** Components of whose swaps one more copy is wanted. */
  readonly backups: readonly ComponentId[];
  /** At least one, in order; those of one component in the order of its steps. */
  readonly shows: readonly Show[];
  readonly place: Place;
}

/** One entry of the story. */
export type Show = {
  /**
   * What it lasts: between `low` and `high` as the presenter likes, usually `usual`. A step shown whole lasts as long as it
   * takes.
   */
  readonly lasts: DurationRange;
  /** The cue to speak. */
  readonly say?: string;
  readonly place: Place;
} & (
  | { readonly kind: 'step'; readonly step: StepId; readonly part: ShownPart }
  /** In a talk the presenter's hands are the audience's; in a break nobody watches them. */
  | { readonly kind: 'talk' | 'break' | 'beauty'; readonly about: string }
);

/** How much of a step is shown: all of it, only its beginning, or only its end. */
export type ShownPart = 'whole' | 'first' | 'last';

/**
 * What one timetable may have over another. fresh: little time in which something dying waits. day: no work at night, a
 * late beginning and few gaps. oven: little time with an oven hot.
 */
export type Preference = 'fresh' | 'day' | 'oven';

/** A change that was watched: from one temperature to another in so long. */
export interface WatchedChange {
  readonly from: Celsius;
  readonly to: Celsius;
  readonly in: Seconds;
}

/**
 * How fast an oven changes: a change that was watched, or degrees a minute as a mean. A mean rate of heating holds from the
 * room's temperature to 200 C, one of cooling from 220 C to 180 C.
 */
export type OvenPace = number | WatchedChange;

/** The figures of an oven that a kitchen file may give; those it does not give are guesses. */
export type OvenFigure =
  | 'heats'
  | 'cools'
  | 'ajar'
  | 'open'
  | 'hottest'
  | 'soak'
  | 'tolerance'
  | 'offset'
  | 'overshoot'
  | 'swing'
  | 'load';

export interface Oven {
  readonly name: string;
  readonly shelves: number;
  /** With its heater on, and while cooling with the door shut. */
  readonly heats: OvenPace;
  readonly cools: OvenPace;
  /** While cooling with the door ajar, and open. */
  readonly ajar?: OvenPace;
  readonly open?: OvenPace;
  /** What it would come to with its heater always on. */
  readonly hottest?: Celsius;
  /** Demands whose temperatures differ by no more than this share the oven. */
  readonly tolerance: Celsius;
  /** How long after it reads hot until it truly is. */
  readonly soak: Seconds;
  /** How far it stands above (below: negative) what its knob says. */
  readonly offset?: Celsius;
  /** How far the air shoots past the knob the first time, and swings to either side later. */
  readonly overshoot?: Celsius;
  readonly swing?: Celsius;
  /** How far one shelf of cold load takes it down. */
  readonly load?: Celsius;
  /** The figures that the kitchen file gives itself. Absent in runs of older versions: then all count as given. */
  readonly given?: readonly OvenFigure[];
  readonly place?: Place;
}

/** What a probe is believed, and where its readings come from. */
export interface Probe {
  /** As triggers name it. */
  readonly name: string;
  /** Readings outside are not believed. */
  readonly low: Celsius;
  readonly high: Celsius;
  /** Degrees a second: what changes faster is not believed. */
  readonly fastest: number;
  /** After so long without a reading it is silent. */
  readonly stale: Seconds;
  /** What it reads in ice water and in boiling water; 0 and the boiling point of the place where it is right. */
  readonly iceWater: Celsius;
  readonly boilingWater?: Celsius;
  /** It hangs in the air of this oven. */
  readonly oven?: string;
  /** Where its readings come from by MQTT: the topic, the field of a JSON payload (dots lead inside), and its scale. */
  readonly mqtt?: { readonly topic: string; readonly field?: string; readonly scale: 'C' | 'F' };
}

/** The broker that probes are read from. Secrets are named by the environment variable that holds them, never written. */
export interface Broker {
  /** `mqtt://host:1883` or `mqtts://host:8883`. */
  readonly url: string;
  readonly user?: string;
  /** The environment variable that holds the password. */
  readonly passwordFrom?: string;
  /** The file with the certificate of the authority that signed the broker's, where it is not a public one. */
  readonly authority?: string;
  /** A topic on which the broker says `off` when this program is gone without a word, and this program `on` while it is there. */
  readonly presence?: string;
}

/** Counted equipment. */
export interface Item {
  readonly name: string;
  readonly kind: 'hob' | 'cold shelf' | 'tool';
  readonly count: number;
  /** Claims on it grow with the yield, as trays do. */
  readonly carriesPieces: boolean;
}

export interface Kitchen {
  readonly name: string;
  readonly title: string;
  /** An IANA time zone; the machine's own where the file gives none. */
  readonly timeZone: string;
  readonly cooks: number;
  /** How many near steps may run at once, all cooks together. */
  readonly near: number;
  /** When hands may be asked for: busy and near steps lie within one stretch of it. At any time where there are none. */
  readonly hours?: WorkingHours;
  /** Whether work at night is as good as any other. Without it night work is avoided where `hours` do not say when there is work. */
  readonly nights?: 'allowed';
  /** What an oven that is off stands at. */
  readonly ambient: Celsius;
  /** What a fridge shelf and a freezer shelf stand at; guesses of `heat` where the file does not say. */
  readonly fridge?: Celsius;
  readonly freezer?: Celsius;
  /** Metres above the sea: water boils, and sugar is done, at lower temperatures up high. */
  readonly altitude?: number;
  /** Probes that the kitchen file describes; others are believed with usual limits. */
  readonly probes?: readonly Probe[];
  readonly broker?: Broker;
  readonly ovens: readonly Oven[];
  readonly items: readonly Item[];
  /** The chosen cooling rules by their name in `heat`, or none. */
  readonly rules?: string;
}

/** One or several plans laid on one kitchen: what a timetable is made for. Plain data: it survives JSON. */
export interface Workload {
  readonly kitchen: Kitchen;
  readonly plans: readonly Plan[];
  readonly components: readonly Component[];
}
