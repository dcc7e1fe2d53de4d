import { ovenModel, secondsTo, temperatureAfter } from '../heat/index.ts';
import type { Oven, OvenDemand, OvenHeat } from '../plan/index.ts';
import type { OvenSetting, Timetable } from '../planner/index.ts';
import { celsius, earlier, plus, secondsBetween, type Celsius, type EpochMs } from '../units/index.ts';
import { nameOf, type Naming } from './naming.ts';

/** One oven through the whole timetable. */
export interface OvenLane {
  readonly name: string;
  readonly shelves: number;
  readonly tolerance: Celsius;
  readonly ambient: Celsius;
  readonly demands: readonly LaneDemand[];
  readonly settings: readonly OvenSetting[];
  /** Its temperature as its model has it, from the first setting on, without a gap; empty for an oven that nobody sets. */
  readonly course: readonly Reach[];
}

export interface LaneDemand {
  /** As the sheet calls it: `shells, bake high`. */
  readonly name: string;
  readonly step: string;
  readonly at: EpochMs;
  readonly end: EpochMs;
  readonly heat: OvenHeat;
  readonly door: OvenDemand['door'];
  readonly shelves: number;
}

/** A stretch of an oven's course. */
export interface Reach {
  readonly at: EpochMs;
  readonly end: EpochMs;
  readonly from: Celsius;
  readonly to: Celsius;
  /** Points on its curve, the two ends among them. */
  readonly points: readonly { readonly at: EpochMs; readonly celsius: Celsius }[];
  /** warms and falls: on its way to what is set. holds: at what is set. off: falling to the room, its door ajar where something dries so. */
  readonly kind: 'warms' | 'falls' | 'holds' | 'off';
}

/** Every oven of the kitchen that the timetable uses, in the kitchen's order. */
export function ovenLanes(naming: Naming, timetable: Timetable, end: EpochMs): OvenLane[] {
  const { kitchen } = naming.workload;
  return kitchen.ovens.flatMap((oven): OvenLane[] => {
    const settings = timetable.settings
      .filter((setting) => setting.oven === oven.name)
      .toSorted((a, b) => a.at - b.at);
    const demands = demandsOn(naming, timetable, oven.name);
    if (settings.length === 0 && demands.length === 0) return [];
    return [
      {
        name: oven.name,
        shelves: oven.shelves,
        tolerance: oven.tolerance,
        ambient: kitchen.ambient,
        demands,
        settings,
        course: courseOf(oven, kitchen.ambient, settings, demands, end),
      },
    ];
  });
}

function demandsOn(naming: Naming, timetable: Timetable, oven: string): LaneDemand[] {
  return timetable.steps.flatMap((planned): LaneDemand[] => {
    const demand = planned.oven === oven ? naming.known.get(planned.step)?.step.oven : undefined;
    if (!demand) return [];
    const { heat, door, shelves } = demand;
    const name = nameOf(naming, planned.step);
    return [{ name, step: planned.step, at: planned.start, end: planned.end, heat, door, shelves }];
  });
}

/** A curve is drawn in pieces of about so many seconds, and in no more of them than this. */
const PIECE_S = 120;
const PIECES = 24;
/** An oven that is off counts as cold so near the room. */
const COLD = 2;

/**
 * The temperature from the first setting to `end`, as its model has it from the room's temperature on. A setting that comes
 * before the last one is reached takes over from where the oven then is.
 */
function courseOf(
  oven: Oven,
  ambient: Celsius,
  settings: readonly OvenSetting[],
  demands: readonly LaneDemand[],
  end: EpochMs,
): Reach[] {
  const model = ovenModel(oven, ambient);
  const course: Reach[] = [];
  let now: number = ambient;
  settings.forEach(({ at, heat }, place) => {
    const until = settings[place + 1]?.at ?? end;
    if (until <= at) return;
    const goal = heat.kind === 'off' ? undefined : heat.temperature.celsius;
    const from: number = now;
    const door = goal === undefined && driesAjar(demands, at) ? 'ajar' : 'shut';
    const after = (moment: EpochMs): Celsius =>
      temperatureAfter(model, { from, goal, door }, secondsBetween(at, moment));
    const turn = earlier(plus(at, Math.ceil(secondsTo(model, from, goal ?? ambient + COLD, door))), until);
    const kind = goal === undefined ? 'off' : goal > from ? 'warms' : 'falls';
    if (turn > at) {
      const points = piecesOf(at, turn).map((moment) => ({ at: moment, celsius: after(moment) }));
      course.push({ at, end: turn, from: celsius(from), to: after(turn), points, kind });
      now = after(turn);
    }
    // An oven that is off and as cold as the room has nothing more to show.
    if (turn < until && goal !== undefined) {
      const [from, to] = [celsius(now), celsius(now)];
      const points = [turn, until].map((moment) => ({ at: moment, celsius: to }));
      course.push({ at: turn, end: until, from, to, points, kind: 'holds' });
    }
  });
  return course;
}

/** Whether what wants the oven off from about then wants its door ajar. */
const driesAjar = (demands: readonly LaneDemand[], at: EpochMs): boolean =>
  demands.some((demand) => demand.door === 'ajar' && demand.at <= plus(at, PIECE_S) && demand.end > at);

function piecesOf(from: EpochMs, to: EpochMs): EpochMs[] {
  const length = secondsBetween(from, to);
  const pieces = Math.max(1, Math.min(PIECES, Math.ceil(length / PIECE_S)));
  return Array.from({ length: pieces + 1 }, (_, piece) => plus(from, (length * piece) / pieces));
}
