import type { Parts, Settled } from './part.ts';
import { Profile } from './profile.ts';
import { endOf, startOf, type Schedule } from './problem.ts';
import type { SettledDemand } from './runs.ts';
import type { Windows } from './windows.ts';

/** A schedule in the making: what has its place, and what that leaves to the others. */
export class Placing {
  private readonly parts: Parts;
  private readonly windows: Windows;
  readonly settled: Settled;
  readonly schedule: { readonly times: Int32Array; readonly ovenOf: Int32Array };

  constructor(parts: Parts, windows: Windows, schedule?: Schedule) {
    const { problem } = parts;
    this.parts = parts;
    this.windows = windows;
    this.settled = {
      profiles: problem.resources.map(() => new Profile()),
      ovens: problem.ovens.map(() => []),
    };
    this.schedule = {
      times: schedule?.times.slice() ?? new Int32Array(2 * problem.activities.length),
      ovenOf:
        schedule?.ovenOf.slice() ?? Int32Array.from(problem.groups, ({ candidates }) => candidates[0] ?? -1),
    };
  }

  /** Takes over what the schedule of a part says of its activities and groups. */
  take(members: readonly number[], groups: readonly number[], { times, ovenOf }: Schedule): void {
    members.forEach((activity, i) => {
      this.schedule.times[startOf(activity)] = times[startOf(i + 1)] ?? 0;
      this.schedule.times[endOf(activity)] = times[endOf(i + 1)] ?? 0;
    });
    groups.forEach((group, i) => (this.schedule.ovenOf[group] = ovenOf[i] ?? -1));
  }

  /** Activities and groups stay where they are from now on; false when that leaves another no time. */
  settle(members: readonly number[], groups: readonly number[]): boolean {
    const { times } = this.schedule;
    const bounds: (readonly [number, number, number])[] = [];
    for (const activity of members) {
      for (const { resource, claim } of this.parts.claims[activity] ?? [])
        this.settled.profiles[resource]?.add(times[claim.from] ?? 0, times[claim.to] ?? 0, claim.amount);
      for (const point of [startOf(activity), endOf(activity)])
        bounds.push([point, times[point] ?? 0, times[point] ?? 0]);
    }
    for (const group of groups) this.settleGroup(group, bounds);
    return this.windows.narrow(bounds);
  }

  private settleGroup(group: number, bounds: (readonly [number, number, number])[]): void {
    const { problem } = this.parts;
    const { times, ovenOf } = this.schedule;
    const index = ovenOf[group] ?? -1;
    const oven = problem.ovens[index];
    for (const each of problem.groups[group]?.demands ?? []) {
      const demand = problem.demands[each];
      if (!demand || !oven) continue;
      const [from, to] = [times[demand.start] ?? 0, times[demand.end] ?? 0];
      if (to <= from) continue;
      insert(this.settled.ovens[index] ?? [], { demand, from, to });
      const warmUp = oven.warmUp[demand.state];
      if (warmUp === undefined) continue;
      if (oven.begin !== undefined) bounds.push([oven.begin, -Infinity, from - warmUp]);
      if (oven.finish !== undefined) bounds.push([oven.finish, to, Infinity]);
    }
  }
}

function insert(settled: SettledDemand[], one: SettledDemand): void {
  let low = 0;
  let high = settled.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((settled[middle]?.from ?? 0) <= one.from) low = middle + 1;
    else high = middle;
  }
  settled.splice(low, 0, one);
}
