import {
  endOf,
  startOf,
  type Claim,
  type Problem,
  type Schedule,
  type StateDemand,
  type StateResource,
} from './core/index.ts';

/** That something comes no earlier than something else, because a timetable gives to one before the other what both want. */
export interface Order {
  /** Points of the problem: `x[to] >= x[from] + weight`. */
  readonly from: number;
  readonly to: number;
  readonly weight: number;
  /** What the two share: a resource of the problem, or an oven. */
  readonly shared: { readonly kind: 'resource' | 'oven'; readonly index: number };
  /** The activities that the two claims begin with. */
  readonly before: number;
  readonly after: number;
}

/** Seconds from the end of one demand until an oven can take the next, and nothing where that is seen to elsewhere. */
export type Change = (oven: number, before: StateDemand, after: StateDemand) => number;

const activityOf = (point: number): number => point >> 1;

/** The order that a schedule gives to everything that is shared: hands, near slots, counted equipment, ovens and their shelves. */
export function orderOf(problem: Problem, schedule: Schedule, change: Change): Order[] {
  const depths = depthsOf(problem);
  return [
    ...problem.resources.flatMap(({ capacity, claims }, index) =>
      handedOn(claims, capacity, schedule, depths).map(([before, after]) => ({
        ...order(before.to, after.from, { kind: 'resource', index }),
        before: activityOf(before.from),
        after: activityOf(after.from),
      })),
    ),
    ...problem.ovens.flatMap((oven, index) => inOven(problem, schedule, oven, index, change, depths)),
  ];
}

const order = (from: number, to: number, shared: Order['shared'], weight = 0): Order => ({
  from,
  to,
  weight,
  shared,
  before: activityOf(from),
  after: activityOf(to),
});

/** How many points must come before each, one after the other: the order of what is planned at one moment. */
function depthsOf({ activities, lags }: Problem): readonly number[] {
  const depths = activities.flatMap(() => [0, 1]);
  const least = [
    ...activities.map((_, activity) => ({ from: startOf(activity), to: endOf(activity) })),
    ...lags.filter(({ weight, rule }) => weight >= 0 && rule >= 0),
  ];
  let moved = true;
  for (let round = 0; moved && round < depths.length; round += 1) {
    moved = false;
    for (const { from, to } of least) {
      const depth = (depths[from] ?? 0) + 1;
      if (depth <= (depths[to] ?? 0)) continue;
      depths[to] = depth;
      moved = true;
    }
  }
  return depths;
}

/**
 * Which claim takes over from which: each unit of a resource is handed from one claim to the next (a resource flow, Artigues
 * et al. 2003), so that as long as each waits for those it takes over from, no more is ever taken than there is. A claim of
 * several units takes them from as few others as it can. What is planned to last no time may last some, and waits its turn as well
 * where it has one.
 */
function handedOn(
  claims: readonly Claim[],
  capacity: number,
  { times }: Schedule,
  depths: readonly number[],
): [Claim, Claim][] {
  const at = (point: number): number => times[point] ?? 0;
  const total = claims.reduce((sum, { amount }) => sum + amount, 0);
  if (total <= capacity) return [];
  const units: (Claim | undefined)[] = Array.from({ length: Math.min(capacity, total) });
  const found: [Claim, Claim][] = [];
  const inOrder = claims.toSorted(
    (a, b) => at(a.from) - at(b.from) || at(a.to) - at(b.to) || (depths[a.from] ?? 0) - (depths[b.from] ?? 0),
  );
  for (const claim of inOrder) {
    const sources = new Set<Claim>();
    for (let wanted = claim.amount; wanted > 0; wanted -= 1) {
      const unit = freeUnit(units, sources, (point) => at(point), at(claim.from));
      if (unit < 0) break;
      const source = units[unit];
      if (source) sources.add(source);
      units[unit] = claim;
    }
    for (const source of sources) found.push([source, claim]);
  }
  return found;
}

/** The unit that is best taken at a time: from a claim that is waited for anyway, else the one that has been free the longest. */
function freeUnit(
  units: readonly (Claim | undefined)[],
  sources: ReadonlySet<Claim>,
  at: (point: number) => number,
  time: number,
): number {
  let best = -1;
  let since = Infinity;
  units.forEach((holder, unit) => {
    const from = holder ? at(holder.to) : -Infinity;
    if (from > time) return;
    const rank = holder && sources.has(holder) ? -Infinity : from;
    if (best < 0 || rank < since) [best, since] = [unit, rank];
  });
  return best;
}

/** Loads that cannot be in an oven together wait for each other; doors that must stay shut are not opened; shelves are handed on. */
function inOven(
  { demands, groups }: Problem,
  schedule: Schedule,
  oven: StateResource,
  index: number,
  change: Change,
  depths: readonly number[],
): Order[] {
  const at = (point: number): number => schedule.times[point] ?? 0;
  const inside = groups
    .flatMap((group, place) => (schedule.ovenOf[place] === index ? group.demands : []))
    .flatMap((demand) => demands[demand] ?? [])
    .filter((demand) => at(demand.end) > at(demand.start))
    .toSorted((a, b) => at(a.start) - at(b.start) || at(a.end) - at(b.end));
  const shelves = inside.map(({ start, end, amount, rule }): Claim => ({
    from: start,
    to: end,
    amount,
    rule,
  }));
  const shared = { kind: 'oven', index } as const;
  return [
    ...handedOn(shelves, oven.capacity, schedule, depths)
      // What stays in from one step to the next hands its own shelf on.
      .map(([before, after]) => order(before.to, after.from, shared)),
    ...inside.flatMap((after, place) =>
      inside
        .slice(0, place)
        .filter((before) => before.group !== after.group)
        .flatMap((before) => {
          if (at(before.end) > at(after.start))
            return together(before, after, at).map(([a, b]) => order(a, b, shared));
          const may = oven.together[before.state]?.[after.state] === true && !before.alone && !after.alone;
          if (may && !before.shut && !after.shut) return [];
          return [order(before.end, after.start, shared, may ? 0 : change(index, before, after))];
        }),
    ),
  ];
}

/** What keeps a shut door shut while two loads are in an oven together: nothing goes in or out while one of them asks for that. */
function together(
  before: StateDemand,
  after: StateDemand,
  at: (point: number) => number,
): [number, number][] {
  const found: [number, number][] = [];
  if (before.shut)
    found.push(
      [after.start, before.start],
      at(after.end) < at(before.end) ? [after.end, before.end] : [before.end, after.end],
    );
  if (after.shut) found.push([before.start, after.start], [after.end, before.end]);
  return found;
}
