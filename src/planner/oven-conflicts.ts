import type { Choice, Latest, Standing } from './conflict.ts';
import { exclude, gap, lead } from './oven-times.ts';
import { overloads } from './overloads.ts';
import { FIRST, type Demand, type Edge, type OvenModel } from './problem.ts';

/** Everything the present times do wrong with the ovens that are settled. */
export function ovenConflicts(standing: Standing, found: Latest): void {
  standing.problem.ovens.forEach((oven, index) => {
    const present = standing.problem.groups.flatMap((group, place) =>
      standing.ovenOf[place] === index
        ? group.demands.flatMap((number) => standing.problem.demands[number] ?? [])
        : [],
    );
    if (present.length > 0) ofOneOven(standing, oven, present, found);
  });
}

function ofOneOven(standing: Standing, oven: OvenModel, all: readonly Demand[], found: Latest): void {
  const at = (point: number): number => standing.latest[point] ?? 0;
  const present = all.filter((demand) => at(demand.end) > at(demand.start));
  standing.tally.looks += all.length;
  present.forEach((demand, place) => {
    standing.tally.looks += place;
    for (const other of present.slice(0, place)) {
      const time = Math.max(at(demand.start), at(other.start));
      if (!found.wants(time)) continue;
      const choices = exclude(oven, demand, other)
        ? tooNear(standing, oven, demand, other)
        : (moved(standing, demand, other) ?? moved(standing, other, demand));
      if (choices) found.add({ time, choices });
    }
    const warm = demand.mayVanish && demand.temperature !== undefined ? lead(oven, demand.temperature) : 0;
    if (at(demand.start) - warm < at(FIRST))
      found.add({
        time: at(demand.start),
        choices: () => [{ edges: [{ from: FIRST, to: demand.start, weight: warm }] }, ...vanishing(demand)],
      });
  });
  const blocks = present.map(({ start, end, shelves, mayVanish, rule }) => ({
    from: start,
    to: end,
    amount: shelves,
    mayVanish,
    rule,
  }));
  overloads(standing, blocks, oven.shelves, found);
}

type Choices = () => readonly Choice[];

/** Two demands that exclude each other and overlap, or stand nearer than the oven can change. */
function tooNear(standing: Standing, oven: OvenModel, a: Demand, b: Demand): Choices | undefined {
  const at = (point: number): number => standing.latest[point] ?? 0;
  const [aFirst, bFirst] = [gap(standing.problem, oven, a, b), gap(standing.problem, oven, b, a)];
  if (at(b.start) >= at(a.end) + aFirst || at(a.start) >= at(b.end) + bFirst) return undefined;
  return () => [
    { edges: [{ from: a.end, to: b.start, weight: aFirst }] },
    { edges: [{ from: b.end, to: a.start, weight: bFirst }] },
    ...vanishing(a),
    ...vanishing(b),
  ];
}

/** Something of `mover` goes in or out strictly inside the stretch of `still`, whose door must stay shut. */
function moved(standing: Standing, mover: Demand, still: Demand): Choices | undefined {
  if (!still.shut) return undefined;
  const at = (point: number): number => standing.latest[point] ?? 0;
  const inside = (point: number): boolean => at(point) > at(still.start) && at(point) < at(still.end);
  for (const side of ['before', 'after'] as const) {
    const point = side === 'before' ? mover.start : mover.end;
    if (!inside(point) || stays(standing, mover, side)) continue;
    return () => [
      { edges: [{ from: point, to: still.start, weight: 0 }] },
      { edges: [{ from: still.end, to: point, weight: 0 }] },
      ...joining(standing, mover, side).map((edges) => ({ edges })),
      ...vanishing(mover),
      ...vanishing(still),
    ];
  }
  return undefined;
}

/** Whether the load stays in at that side, because the neighbouring demand of its group meets it without a wait. */
function stays(standing: Standing, demand: Demand, side: 'before' | 'after'): boolean {
  const at = (point: number): number => standing.latest[point] ?? 0;
  let here = demand;
  for (;;) {
    const next = neighbour(standing, here, side);
    if (!next || at(next.end) < at(here.start) || at(here.end) < at(next.start)) return false;
    if (at(next.end) > at(next.start)) return true;
    here = next;
  }
}

function neighbour(standing: Standing, demand: Demand, side: 'before' | 'after'): Demand | undefined {
  const index = demand[side];
  return index === undefined ? undefined : standing.problem.demands[index];
}

/** The ways in which a load can stay in at that side. */
function joining(standing: Standing, demand: Demand, side: 'before' | 'after'): Edge[][] {
  const next = neighbour(standing, demand, side);
  if (!next) return [];
  const meet: Edge =
    side === 'before'
      ? { from: demand.start, to: next.end, weight: 0 }
      : { from: next.start, to: demand.end, weight: 0 };
  if (!next.mayVanish) return [[meet]];
  const lasts: Edge = { from: next.start, to: next.end, weight: 1 };
  const gone: Edge = { from: next.end, to: next.start, weight: 0 };
  return [[meet, lasts], ...joining(standing, next, side).map((further) => [meet, gone, ...further])];
}

const vanishing = (demand: Demand): Choice[] =>
  demand.mayVanish ? [{ edges: [{ from: demand.end, to: demand.start, weight: 0 }] }] : [];
