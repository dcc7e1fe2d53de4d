import { secondsTo, secondsUntilRight, type OvenModel } from '../heat/index.ts';
import type { OvenHeat, StepId } from '../plan/index.ts';
import { agree, change, lead } from './oven-times.ts';

/** One demand as it was scheduled, in seconds. */
export interface PlacedDemand {
  readonly step: StepId;
  readonly start: number;
  readonly end: number;
  readonly heat: OvenHeat;
  readonly temperature: number | undefined;
  /** It directly follows an oven step of its component in this oven and is no hotter: its clock starts with the setting. */
  readonly takesOver: boolean;
}

export interface PlacedSetting {
  readonly heat: OvenHeat;
  readonly at: number;
  readonly hotBy: number;
  readonly step: StepId;
}

/** How an oven stands when its settings are asked for on the way; without it, it is off and cold, and always was. */
export interface OvenNow {
  readonly now: number;
  readonly knob: number | undefined;
  readonly celsius: number;
  /** When it is right at what its knob says. */
  readonly readyAt: number;
}

/** An oven that nobody wants for so much longer than it takes to heat up again is switched off in between. */
const IDLE = 3600;

/**
 * What has to be set on one oven, and when, for its demands (in order of start, each with a length). The gaps between
 * the demands are known to be long enough; this only says how they are used.
 */
export function settingsFor(
  oven: OvenModel,
  demands: readonly PlacedDemand[],
  standing?: OvenNow,
): PlacedSetting[] {
  const found: PlacedSetting[] = [];
  let knob = standing?.knob;
  let setFor: PlacedDemand | undefined;
  const set = (step: StepId, heat: OvenHeat, at: number, hotBy: number): void => {
    found.push({ step, heat, at, hotBy });
  };
  demands.forEach((demand, place) => {
    const earlier = demands.slice(0, place);
    const lastEnd = latestEnd(earlier);
    const latestUser = earlier.findLast((other) => other.end === lastEnd);
    if (knob !== undefined && latestUser && idle(oven, knob, demand, lastEnd)) {
      set(latestUser.step, { kind: 'off' }, lastEnd, lastEnd);
      knob = undefined;
    }
    if (demand.temperature === undefined) {
      if (knob === undefined) return;
      const latest = Math.min(demand.start, coolsFrom(oven, knob, demands.slice(place + 1)));
      const at = Math.max(lastEnd, latest, standing?.now ?? -Infinity);
      set(demand.step, demand.heat, at, Math.max(at, demand.start));
    } else {
      const shared = earlier.some((other) => other.end > demand.start);
      if (knob === demand.temperature) return;
      if (knob !== undefined && shared && agree(oven, knob, demand.temperature)) return;
      const turn = whenToTurn(oven, knob, demand, earlier, demands);
      const at = standing && earlier.length === 0 ? turnFirst(oven, standing, demand, turn) : turn;
      set(demand.step, demand.heat, at, Math.max(at, demand.start));
    }
    knob = demand.temperature;
    setFor = demand;
  });
  const end = latestEnd(demands);
  const last = demands.findLast((demand) => demand.end === end) ?? setFor;
  if (knob !== undefined && last) set(last.step, { kind: 'off' }, end, end);
  return found;
}

const latestEnd = (demands: readonly PlacedDemand[]): number =>
  demands.reduce((end, demand) => Math.max(end, demand.end), -Infinity);

function idle(oven: OvenModel, knob: number, demand: PlacedDemand, lastEnd: number): boolean {
  const wait = demand.start - lastEnd;
  if (demand.temperature === undefined) return wait >= IDLE;
  return wait >= IDLE + Math.max(lead(oven, demand.temperature), change(oven, knob, demand.temperature));
}

/** The latest moment to switch off an oven so that what comes after finds it no hotter than it wants. */
function coolsFrom(oven: OvenModel, knob: number, after: readonly PlacedDemand[]): number {
  let latest = Infinity;
  for (const { start, temperature, takesOver } of after)
    if (!takesOver && temperature !== undefined && temperature < knob && !agree(oven, knob, temperature))
      latest = Math.min(latest, start - change(oven, knob, temperature));
  return latest;
}

/** When the knob is first turned in an oven that stands as it does: early enough for how it stands, and not in the past. */
function turnFirst(oven: OvenModel, standing: OvenNow, demand: PlacedDemand, turn: number): number {
  const wait = demand.temperature === undefined ? 0 : waitFor(oven, standing, demand.temperature);
  return Math.max(standing.now, Math.min(turn, demand.start - wait));
}

/** Seconds until an oven that stands so is right at a temperature, if it is set to it now. */
export function waitFor(oven: OvenModel, standing: OvenNow, temperature: number): number {
  const { knob, celsius, readyAt, now } = standing;
  if (knob !== undefined && agree(oven, knob, temperature)) return Math.max(0, readyAt - now);
  return Math.ceil(secondsUntilRight(oven, celsius, temperature));
}

/** When the knob is turned to a temperature: in time, but not while an earlier load wants something else. */
function whenToTurn(
  oven: OvenModel,
  knob: number | undefined,
  demand: PlacedDemand,
  earlier: readonly PlacedDemand[],
  all: readonly PlacedDemand[],
): number {
  const { start, temperature } = demand;
  if (temperature === undefined) return start;
  // A load that tolerates both settings may stay in while one is changed for the other.
  const others = earlier.filter(
    (other) => other.temperature === undefined || !agree(oven, other.temperature, temperature),
  );
  if (demand.takesOver && knob !== undefined && temperature <= knob) {
    const after = all.filter((other) => other !== demand && other.start >= start);
    return Math.max(latestEnd(others), Math.min(start, coolsFrom(oven, knob, after)));
  }
  if (knob === undefined && earlier.every((other) => other.temperature === undefined)) {
    // The first heating is in time for every demand of the oven, each reckoned from the room's temperature.
    const needed = all.map((other) =>
      other.temperature === undefined ? Infinity : other.start - lead(oven, other.temperature),
    );
    return Math.max(latestEnd(earlier), Math.min(...needed));
  }
  const exact =
    knob !== undefined && agree(oven, knob, temperature)
      ? Math.ceil(secondsTo(oven, knob, temperature))
      : change(oven, knob, temperature);
  const free = knob !== undefined && agree(oven, knob, temperature) ? latestEnd(earlier) : latestEnd(others);
  return Math.min(start, Math.max(free, start - exact));
}
