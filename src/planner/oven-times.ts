import { FIRST, type Demand, type Edge, type OvenModel, type Problem } from './problem.ts';

/** Whether two temperatures can stand in one oven at once. */
export const agree = (oven: OvenModel, a: number, b: number): boolean => Math.abs(a - b) <= oven.tolerance;

/** Whether two demands ask for things that no oven gives at one time. */
export function exclude(oven: OvenModel, a: Demand, b: Demand): boolean {
  if (a.alone || b.alone || a.temperature === undefined || b.temperature === undefined) return true;
  return !agree(oven, a.temperature, b.temperature);
}

/** Seconds an oven takes from the room's temperature until it is truly hot. */
export function lead(oven: OvenModel, temperature: number): number {
  if (temperature <= oven.ambient) return 0;
  return Math.ceil((temperature - oven.ambient) / oven.heats + oven.soak);
}

/** Seconds from one state to another: heating counts the soak; after an oven was off it is taken to be as cold as the room. */
export function change(oven: OvenModel, from: number | undefined, to: number | undefined): number {
  if (to === undefined) return 0;
  if (from === undefined) return lead(oven, to);
  if (agree(oven, from, to)) return 0;
  if (to > from) return Math.ceil((to - from) / oven.heats + oven.soak);
  return Math.ceil((from - to) / oven.cools);
}

/**
 * The least time between the end of `a` and the start of `b` in one oven. A load that stays with its oven while the
 * setting goes down, or stays, waits for nothing: its clock starts when the setting is changed.
 */
export function gap(problem: Problem, oven: OvenModel, a: Demand, b: Demand): number {
  if (a.group === b.group && followsCooler(problem, oven, b)) return 0;
  return change(oven, a.temperature, b.temperature);
}

/** Whether the demand takes over from the one directly before it without a rise. One that may vanish is not relied on alone. */
function followsCooler(problem: Problem, oven: OvenModel, demand: Demand): boolean {
  let before = demand.before === undefined ? undefined : problem.demands[demand.before];
  if (!before) return false;
  for (;;) {
    if (rises(oven, before.temperature, demand.temperature)) return false;
    if (!before.mayVanish || before.before === undefined) return true;
    before = problem.demands[before.before];
    if (!before) return true;
  }
}

function rises(oven: OvenModel, from: number | undefined, to: number | undefined): boolean {
  if (to === undefined) return false;
  return from === undefined || to > from + oven.tolerance;
}

/** What going to this oven means for a group by itself: gaps between its own demands, and time to heat up before each. */
export function withinGroup(problem: Problem, group: number, oven: OvenModel): Edge[] {
  const edges: Edge[] = [];
  const demands = (problem.groups[group]?.demands ?? []).flatMap((index) => problem.demands[index] ?? []);
  demands.forEach((demand, place) => {
    if (demand.temperature !== undefined && !demand.mayVanish)
      edges.push({ from: FIRST, to: demand.start, weight: lead(oven, demand.temperature) });
    for (const earlier of demands.slice(0, place)) {
      const wait = gap(problem, oven, earlier, demand);
      if (wait > 0 && !earlier.mayVanish && !demand.mayVanish)
        edges.push({ from: earlier.end, to: demand.start, weight: wait });
    }
  });
  return edges;
}
