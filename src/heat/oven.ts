import type { Door as WantedDoor, Oven, OvenFigure, OvenPace } from '../plan/index.ts';
import { celsius, type Celsius } from '../units/index.ts';

/** How an oven's door stands. (A demand that says `usable` leaves it shut but for moments.) */
export type OvenDoor = Exclude<WantedDoor, 'usable'> | 'open';

/**
 * What an oven does, as one body that warms and cools by Newton's law: with its heater on it goes towards `hottest`, with
 * the heater off towards the room, each with a time constant of its own. What is reckoned is what the oven as a whole
 * stands at (walls, racks, and what bakes); the air swings around it. docs/ovens.md has the formulas and their sources.
 */
export interface OvenModel {
  /** What it falls to when it is off. */
  readonly ambient: number;
  /** What it would come to with its heater always on and the door shut. */
  readonly hottest: number;
  /** Above this the curve of heating goes on as a straight line, so that every temperature is reached some time. */
  readonly knee: number;
  /** Time constant with the heater on and the door shut, in seconds. */
  readonly heating: number;
  /** Time constants with the heater off, in seconds. */
  readonly cooling: Readonly<Record<OvenDoor, number>>;
  /** How far it stands above what its knob says. */
  readonly offset: number;
  /** Seconds after it reads hot until it truly is. */
  readonly soak: number;
  /** Demands no further apart than this share the oven. */
  readonly tolerance: number;
  /** How far the air shoots past the goal the first time, and swings to either side later. */
  readonly overshoot: number;
  readonly swing: number;
  /** How far a shelf of cold load takes it down. */
  readonly load: number;
  /** Figures that nobody gave or measured. */
  readonly guessed: readonly OvenFigure[];
}

/**
 * Guesses for what the kitchen file does not say, all to be replaced by one's own figures: made by eye from reports of
 * ordinary ovens (docs/ovens.md). `shareAjar` and `shareOpen`: the time constant of cooling as a share of that with the
 * door shut (45-75 min shut, 15-25 min ajar, 5-10 min open).
 */
const GUESS = { hottest: 400, shareAjar: 1 / 3, shareOpen: 1 / 8, overshoot: 35, swing: 14, load: 10 };
/** A mean rate of heating holds from the room to here, one of cooling between these two. */
const HEATS_TO = 200;
const COOLS_FROM = 220;
const COOLS_TO = 180;
/** An oven that is no further than this from the room has cooled to it: by Newton's law it never gets there. */
const NEAR_ROOM = 1;
/** A hottest temperature lies at least so far above what an oven was watched to reach. */
const HEADROOM = 50;
/** Heating runs in a straight line once so much of the way to a given, or to a guessed, hottest temperature is done. */
const KNEE_GIVEN = 0.98;
const KNEE_GUESSED = 0.9;

const models = new WeakMap<Oven, OvenModel>();

/** The model of an oven in a room of `ambient` degrees. */
export function ovenModel(oven: Oven, ambient: number): OvenModel {
  const known = models.get(oven);
  if (known?.ambient === ambient) return known;
  const made = modelOf(oven, ambient);
  models.set(oven, made);
  return made;
}

function modelOf(oven: Oven, ambient: number): OvenModel {
  const guessed = guessedOf(oven);
  const watched = typeof oven.heats === 'number' ? HEATS_TO : Math.max(oven.heats.from, oven.heats.to);
  const hottest = Math.max(oven.hottest ?? GUESS.hottest, watched + HEADROOM, ambient + HEADROOM);
  const shut = coolingOf(oven.cools, ambient);
  const cooling = {
    shut,
    ajar: oven.ajar === undefined ? shut * GUESS.shareAjar : coolingOf(oven.ajar, ambient),
    open: oven.open === undefined ? shut * GUESS.shareOpen : coolingOf(oven.open, ambient),
  };
  const share = guessed.includes('hottest') ? KNEE_GUESSED : KNEE_GIVEN;
  return {
    ambient,
    hottest,
    knee: ambient + share * (hottest - ambient),
    heating: heatingOf(oven.heats, ambient, hottest),
    cooling,
    offset: oven.offset ?? 0,
    soak: oven.soak,
    tolerance: oven.tolerance,
    overshoot: oven.overshoot ?? GUESS.overshoot,
    swing: oven.swing ?? GUESS.swing,
    load: oven.load ?? GUESS.load,
    guessed,
  };
}

const FIGURES: readonly OvenFigure[] = [
  'heats',
  'cools',
  'ajar',
  'open',
  'hottest',
  'soak',
  'tolerance',
  'offset',
  'overshoot',
  'swing',
  'load',
];

function guessedOf(oven: Oven): readonly OvenFigure[] {
  return FIGURES.filter(
    (figure) => oven[figure] === undefined || (oven.given !== undefined && !oven.given.includes(figure)),
  );
}

/** The time constant under which what was watched takes as long as it took. */
function heatingOf(pace: OvenPace, ambient: number, hottest: number): number {
  const room = Math.min(ambient, HEATS_TO - HEADROOM);
  const [from, to, time] =
    typeof pace === 'number'
      ? [room, HEATS_TO, ((HEATS_TO - room) / pace) * 60]
      : [Math.min(pace.from, pace.to), Math.max(pace.from, pace.to), pace.in];
  return time / Math.log((hottest - from) / (hottest - to));
}

function coolingOf(pace: OvenPace, ambient: number): number {
  const [from, to, time] =
    typeof pace === 'number'
      ? [COOLS_FROM, COOLS_TO, ((COOLS_FROM - COOLS_TO) / pace) * 60]
      : [Math.max(pace.from, pace.to), Math.min(pace.from, pace.to), pace.in];
  const end = Math.max(to - ambient, NEAR_ROOM);
  return time / Math.log(Math.max(from - ambient, end + NEAR_ROOM) / end);
}

/** What the heater can hold with the door so, and the time constant on the way there. */
function heaterOn(model: OvenModel, door: OvenDoor): { readonly holds: number; readonly constant: number } {
  if (door === 'shut') return { holds: Infinity, constant: model.heating };
  // What the door lets out comes on top of what the shut oven loses.
  const lost = Math.max(0, 1 / model.cooling[door] - 1 / model.cooling.shut);
  const constant = 1 / (1 / model.heating + lost);
  return { holds: constant * (model.hottest / model.heating + lost * model.ambient), constant };
}

/** Seconds of heating with the door shut that lie before a temperature, reckoned from the room's. */
function heated(model: OvenModel, temperature: number): number {
  const { ambient, hottest, knee, heating } = model;
  const curved = Math.min(temperature, knee);
  const straight = Math.max(0, temperature - knee);
  return heating * (Math.log((hottest - ambient) / (hottest - curved)) + straight / (hottest - knee));
}

/** The other way round: the temperature after so many seconds of heating from the room's. */
function heatedFor(model: OvenModel, time: number): number {
  const { hottest, ambient, knee, heating } = model;
  const straight = time - heated(model, knee);
  if (straight > 0) return knee + (straight / heating) * (hottest - knee);
  return hottest - (hottest - ambient) * Math.exp(-time / heating);
}

/**
 * Seconds from one temperature to another: upwards with the heater on, downwards with it off; without soak. With the door
 * shut always finite; with the door open or ajar infinite where the heater cannot hold so much.
 */
export function secondsTo(model: OvenModel, from: number, to: number, door: OvenDoor = 'shut'): number {
  if (to > from) {
    const { holds, constant } = heaterOn(model, door);
    if (door === 'shut') return heated(model, to) - heated(model, from);
    return to >= holds ? Infinity : constant * Math.log((holds - from) / (holds - to));
  }
  const goal = Math.max(to - model.ambient, NEAR_ROOM);
  const start = from - model.ambient;
  return start <= goal ? 0 : model.cooling[door] * Math.log(start / goal);
}

/** How an oven stands: what it is at, what it is to hold (nothing: off), and its door. */
export interface OvenStand {
  readonly from: number;
  /** What it is to come to and hold, in Celsius, offset allowed for; nothing where it is off. */
  readonly goal: number | undefined;
  readonly door: OvenDoor;
}

/**
 * What it stands at so many seconds later: full power to the goal, which is then held; down without the heater, along the
 * curve of the door. On the way it never passes the goal. (The air does: see {@link airAround}.)
 */
export function temperatureAfter(model: OvenModel, stand: OvenStand, time: number): Celsius {
  const { from, goal, door } = stand;
  const passed = Math.max(0, time);
  if (goal === undefined) return celsius(fallen(model, from, door, passed));
  if (from > goal) {
    const falling = secondsTo(model, from, Math.max(goal, model.ambient), door);
    const isThere = passed >= falling && goal > model.ambient + NEAR_ROOM;
    if (!isThere) return celsius(Math.max(goal, fallen(model, from, door, passed)));
    return temperatureAfter(model, { from: goal, goal, door }, passed - falling);
  }
  return celsius(Math.min(goal, risen(model, from, door, passed)));
}

const fallen = (model: OvenModel, from: number, door: OvenDoor, time: number): number =>
  model.ambient + (from - model.ambient) * Math.exp(-time / model.cooling[door]);

function risen(model: OvenModel, from: number, door: OvenDoor, time: number): number {
  if (door === 'shut') return heatedFor(model, heated(model, from) + time);
  const { holds, constant } = heaterOn(model, door);
  return holds + (from - holds) * Math.exp(-time / constant);
}

/** Seconds from one temperature until the oven is right at another: there, and soaked where it had to heat; nothing within its tolerance. */
export function secondsUntilRight(model: OvenModel, from: number, to: number): number {
  if (Math.abs(to - from) <= model.tolerance) return 0;
  return secondsTo(model, from, to) + (to > from ? model.soak : 0);
}

/** What its knob is to be turned to for the oven to stand at a temperature. */
export const knobFor = (model: OvenModel, wanted: number): Celsius => celsius(wanted - model.offset);

/** What it falls to when so many shelves of cold load go in: never by more than half of its way to the room. */
export function loaded(model: OvenModel, at: number, shelves: number): Celsius {
  return celsius(at - Math.min(model.load * shelves, Math.max(0, at - model.ambient) / 2));
}
