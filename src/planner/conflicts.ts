import { Latest, type Conflict, type Standing } from './conflict.ts';
import { overloads } from './overloads.ts';
import { ovenConflicts } from './oven-conflicts.ts';
import type { Edge } from './problem.ts';

/** The latest conflicts of the present times, at most `limit`. None: the times meet everything but open oven choices. */
export function conflicts(standing: Standing, limit: number): Conflict[] {
  const latest = new Latest(limit);
  for (const resource of standing.problem.resources)
    overloads(standing, resource.blocks, resource.capacity, latest);
  ovenConflicts(standing, latest);
  return latest.found;
}

/** The oven choice of the open group that comes last, or nothing where every group has its oven. */
export function openGroup(
  standing: Standing,
  edgesOf: (group: number, oven: number) => Edge[],
): Conflict | undefined {
  const { problem, latest, ovenOf } = standing;
  let chosen = -1;
  let chosenTime = -Infinity;
  problem.groups.forEach((group, index) => {
    if ((ovenOf[index] ?? 0) >= 0) return;
    const first = problem.demands[group.demands[0] ?? -1];
    const time = first ? (latest[first.start] ?? 0) : 0;
    if (time <= chosenTime) return;
    chosen = index;
    chosenTime = time;
  });
  const group = problem.groups[chosen];
  if (!group) return undefined;
  return {
    time: chosenTime,
    choices: () =>
      differing(standing, group.candidates).map((oven) => ({
        edges: edgesOf(chosen, oven),
        assign: { group: chosen, oven },
        crowding: crowding(standing, chosen, oven),
      })),
  };
}

/** Of ovens that are alike and still empty one is as good as another. */
function differing(standing: Standing, candidates: readonly number[]): number[] {
  const seen = new Set<string>();
  return candidates.filter((oven) => {
    if (standing.ovenOf.includes(oven)) return true;
    const likeness = JSON.stringify(standing.problem.ovens[oven]);
    if (seen.has(likeness)) return false;
    seen.add(likeness);
    return true;
  });
}

/** How much of the group's time the oven is already wanted by others. */
function crowding({ problem, latest, ovenOf, tally }: Standing, group: number, oven: number): number {
  const at = (point: number): number => latest[point] ?? 0;
  const mine = problem.groups[group]?.demands.flatMap((index) => problem.demands[index] ?? []) ?? [];
  let shared = 0;
  for (const other of problem.demands) {
    if (ovenOf[other.group] !== oven) continue;
    tally.looks += mine.length;
    for (const demand of mine)
      shared += Math.max(
        0,
        Math.min(at(demand.end), at(other.end)) - Math.max(at(demand.start), at(other.start)),
      );
  }
  return shared;
}
