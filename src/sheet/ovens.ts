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
  /** Its temperature as the kitchen's rates say, from the first setting on, without a gap; empty for an oven that nobody sets. */
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

/** A stretch in which an oven's temperature runs in a straight line. */
export interface Reach {
  readonly at: EpochMs;
  readonly end: EpochMs;
  readonly from: Celsius;
  readonly to: Celsius;
  /** warms and falls: on its way to what is set. holds: at what is set. off: falling to the room, at a guess, for the door may stand ajar. */
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
        course: courseOf(oven, kitchen.ambient, settings, end),
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

/**
 * The temperature from the first setting to `end`: straight lines at the kitchen's rates from the room's temperature
 * (`heats` and `cools` in degrees a minute). A setting that comes before the last one is reached takes over from where the
 * oven then is.
 */
function courseOf(
  oven: Pick<Oven, 'heats' | 'cools'>,
  ambient: Celsius,
  settings: readonly OvenSetting[],
  end: EpochMs,
): Reach[] {
  const course: Reach[] = [];
  let now: number = ambient;
  settings.forEach(({ at, heat }, place) => {
    const until = settings[place + 1]?.at ?? end;
    if (until <= at) return;
    const goal = heat.kind === 'off' ? ambient : heat.temperature.celsius;
    const rate = goal > now ? oven.heats : oven.cools;
    const there = plus(at, (Math.abs(goal - now) / rate) * 60);
    const turn = earlier(there, until);
    if (turn > at) {
      const share = there > until ? secondsBetween(at, until) / secondsBetween(at, there) : 1;
      const to = now + (goal - now) * share;
      const kind = heat.kind === 'off' ? 'off' : goal > now ? 'warms' : 'falls';
      course.push({ at, end: turn, from: celsius(now), to: celsius(to), kind });
      now = to;
    }
    // An oven that is off and as cold as the room has nothing more to show.
    if (turn < until && heat.kind === 'at')
      course.push({ at: turn, end: until, from: celsius(now), to: celsius(now), kind: 'holds' });
  });
  return course;
}
