import type { OvenModel } from '../../heat/index.ts';
import type { Letters } from '../chance.ts';
import type { Lot } from '../nature.ts';

/*
 * What the fast bench moves: a plan's steps, ovens, tools and components as objects that know each other, made once and set
 * back before each rehearsal. All moments and lengths are whole milliseconds, moments since the run's beginning. A limit that
 * is not there is Infinity; what has not happened was {@link NEVER}. (No field that is often written is ever NaN or Infinity:
 * whole numbers are kept in the object itself, others in a box of their own.)
 */

/** Before anything: the moment of what has not happened. */
export const NEVER = -1;

/** How far a step is. */
export const WAITING = 0;
export const RUNNING = 1;
export const ENDED = 2;

export interface StepPart {
  readonly index: number;
  /** Its place in the order in which courses are reckoned. */
  place: number;
  readonly component: ComponentPart;
  readonly before: StepPart | undefined;
  next: StepPart | undefined;
  readonly isRest: boolean;
  /** A rest that is over when what comes after it is started; one in an oven that is taken out before that. */
  endsItself: boolean;
  isTakenOut: boolean;
  /** Rests that are over when it is started. */
  resting: readonly StepPart[];
  /** What ends it: the clock, a probe that nature's length has brought to its goal, or the cook who sees that it is done. */
  readonly byClock: boolean;
  readonly byProbe: boolean;
  readonly byCook: boolean;
  readonly low: number;
  readonly usual: number;
  readonly high: number;
  /** Of a rest. */
  readonly atMost: number;
  readonly hands: 'busy' | 'near' | 'free';
  readonly within: number;
  readonly after: number;
  /** In the order of the plan: what it needs; and these with the step before it. */
  needs: readonly StepPart[];
  /** Whether it needs what another component makes. */
  meets: boolean;
  readonly toldStart: number;
  readonly toldEnd: number;
  /** Called as soon as what it follows is over, since its timetable has no wait there. */
  isAtOnce: boolean;
  /** What follows it closely and has needs of its own. */
  ahead: readonly AheadPart[];
  /** Steps that use what this one, its component's last, makes. */
  users: readonly StepPart[];
  readonly oven: OvenPart | undefined;
  /** What it wants of its oven. */
  readonly isHot: boolean;
  readonly celsius: number;
  readonly door: 'shut' | 'usable' | 'ajar';
  readonly shelves: number;
  /** It changes its oven while its load stays in. */
  readonly followsInOven: boolean;
  readonly turn: number;
  /** What goes into its oven before it by the timetable, in order. */
  earlierIn: readonly StepPart[];
  settings: readonly SettingPart[];
  uses: readonly Use[];
  readonly holds: readonly Use[];
  /** What was held until this step. */
  readonly frees: (Use & { readonly by: StepPart })[];
  readonly draws: StepDraws;
  /** What its expected times are reckoned from, and those that are reckoned from its own. */
  sources: readonly StepPart[];
  dependents: readonly StepPart[];
  /** If it ends no later than this, what comes after it can be done before service (see ample.ts). */
  latestEnd: number;

  // From here on: how this rehearsal has it.
  state: typeof WAITING | typeof RUNNING | typeof ENDED;
  startedAt: number;
  endedAt: number;
  /** When nature has done with it, and when it ends by a probe or by the cook's word; while it runs. */
  doneAt: number;
  pressAt: number;
  /** Nature's length, s. */
  drawn: number;
  isTurned: boolean;
  startDelay: number;
  doneDelay: number;
  turnDelay: number;
  /** When it is expected to start and end, or did; and to end at the soonest. */
  expectedStart: number;
  expectedEnd: number;
  soonestEnd: number;
  /** Its oven will be too late, such that a new timetable is wanted. */
  isLate: boolean;
  /** Whether the soonest schedule has come to it. */
  isListed: boolean;
}

/** The questions that are asked of the seed for one step. */
export interface StepDraws {
  readonly lot: Lot;
  readonly luck: Letters;
  readonly oven: OvenLuck | undefined;
  readonly start: DelayLetters;
  readonly end: DelayLetters;
  readonly done: DelayLetters;
  readonly turn: DelayLetters;
}

/** The luck of all that bakes in ovens of one name. */
export interface OvenLuck {
  readonly letters: Letters;
  value: number;
}

/** The questions of one press: how soon it comes, whether it is forgotten, and for how long. */
export interface DelayLetters {
  readonly delay: Letters;
  readonly forgets: Letters;
  readonly forgottenFor: Letters;
}

/** What a step has to wait for because of one that follows it closely; the moment wanted is moved by `shift` (below 0). */
export interface AheadPart {
  readonly needs: readonly StepPart[];
  /** The following step, where it goes into an oven that must be hot. */
  readonly hot: StepPart | undefined;
  readonly shift: number;
}

export interface ComponentPart {
  readonly index: number;
  readonly plan: PlanPart;
  readonly keeps: number;
  steps: readonly StepPart[];
  /** The step that is open: waiting or running. Nothing once it is finished. */
  current: StepPart | undefined;
  finishedAt: number;
}

export interface PlanPart {
  readonly service: ServicePart;
  /** When it was told to be ready. */
  toldReady: number;
  components: readonly ComponentPart[];
  isServed: boolean;
  open: number;
  /** When the last of its steps that are over ended. */
  lastEnd: number;
}

export interface ServicePart {
  readonly at: number;
  readonly plans: PlanPart[];
}

/** A claim of equipment. */
export interface Use {
  readonly item: ItemPart;
  readonly count: number;
}

/** Equipment of one kind, and how much of it each component uses and keeps. */
export interface ItemPart {
  stock: number;
  readonly used: Float64Array;
  readonly held: Float64Array;
  /** When a step that used it last ended. */
  freedAt: number;
}

/** A turn of an oven's knob in the timetable. */
export interface SettingPart {
  readonly oven: OvenPart;
  readonly step: StepPart;
  readonly isHot: boolean;
  readonly celsius: number;
  readonly at: number;
  readonly hotBy: number;
  /** Told by no timetable, but wanted if the oven is not left as it was told, and none of these is still to come. */
  unless: readonly SettingPart[];
  readonly letters: DelayLetters;
  delay: number;
}

export interface OvenPart {
  readonly name: string;
  readonly model: OvenModel;
  /** Every step that goes into it, in the order of the timetable. */
  loads: readonly StepPart[];
  /** The same in the order of the soonest schedule. */
  inTurn: readonly StepPart[];
  readonly shelves: number;
  /** Steps whose expected times hang on how it stands. */
  dependents: readonly StepPart[];

  isOn: boolean;
  /** What it is to come to, C, where it is on. */
  goal: number;
  setAt: number;
  phase: 'off' | 'heating' | 'there' | 'cooling';
  readyAt: number;
  door: 'shut' | 'ajar' | 'open';
  /** From when, and from what, it is reckoned. */
  baseAt: number;
  base: number;
  /** Whether it still has to soak once it is there. */
  soaks: boolean;
  /** When something last came out of it. */
  emptiedAt: number;
  /** How many of its loads have gone in. */
  started: number;
  /** Whether loads may clash that did not: one of them is expected at another time. */
  isChanged: boolean;
  /** Used while its loads are gone through. */
  lastEnd: number;
  lastHot: number;
  hasLast: boolean;
}
