import { BackPropagation } from './back-propagation.ts';
import { dispatchOf } from './dispatch.ts';
import { narrow, type Uncontrollable } from './narrow.ts';
import type { Controllability, CycleLink, UncertainNetwork } from './network.ts';

/**
 * Decides dynamic controllability: whether somebody who sees each length of nature's only when it ends (and may act in the very same
 * moment) can keep every link. For the method see {@link BackPropagation}.
 *
 * @throws Error where the network is not one: a point that is not there, a weight that is no whole number, two contingent links with one end.
 */
export function decide(network: UncertainNetwork): Controllability {
  check(network);
  const propagation = new BackPropagation(network);
  const circle = circleOf(network, propagation);
  if (!circle) return { kind: 'controllable', dispatch: dispatchOf(network, propagation.edges) };
  return narrow(network, circle, (part) => circleOf(part, new BackPropagation(part)));
}

/** The first circle met, which may have links that are not needed; undefined when there is none. */
function circleOf(network: UncertainNetwork, propagation: BackPropagation): Uncontrollable | undefined {
  const circle = propagation.run(latestFirst(network));
  if (!circle) return undefined;
  return {
    kind: 'uncontrollable',
    cycle: propagation.edges.trace(circle.edges).map((origin) => cycleLink(network, origin)),
    short: -circle.length,
  };
}

function cycleLink({ links }: UncertainNetwork, origin: number): CycleLink {
  if (origin < links.length) return { kind: 'ordinary', index: origin };
  const code = origin - links.length;
  return { kind: 'contingent', index: code >> 1, side: code & 1 ? 'high' : 'low' };
}

/**
 * All points, roughly the latest first: then most of what must be settled before a point is settled already when its turn comes. By
 * the earliest times that follow within a few rounds; it is a matter of speed and not of the answer.
 */
function latestFirst({ points, links, contingent }: UncertainNetwork): number[] {
  const earliest = new Float64Array(points);
  let moved = true;
  for (let round = 0; moved && round < 20; round += 1) {
    moved = false;
    const lift = (point: number, time: number): void => {
      if (time <= (earliest[point] ?? 0)) return;
      earliest[point] = time;
      moved = true;
    };
    for (const { from, to, weight } of links) if (weight < 0) lift(from, (earliest[to] ?? 0) - weight);
    for (const { start, end, low } of contingent) lift(end, (earliest[start] ?? 0) + low);
  }
  return Array.from({ length: points }, (_, point) => point).toSorted(
    (a, b) => (earliest[b] ?? 0) - (earliest[a] ?? 0) || b - a,
  );
}

function check({ points, links, contingent }: UncertainNetwork): void {
  const mustBePoint = (point: number): void => {
    if (!Number.isInteger(point) || point < 0 || point >= points)
      throw new Error(`there is no point ${point} among ${points}`);
  };
  for (const { from, to, weight } of links) {
    mustBePoint(from);
    mustBePoint(to);
    if (!Number.isSafeInteger(weight))
      throw new Error(`the weight ${weight} from ${from} to ${to} is no whole number`);
  }
  const ends = new Set<number>([0]);
  for (const { start, end, low, high } of contingent) {
    mustBePoint(start);
    mustBePoint(end);
    if (!Number.isSafeInteger(low) || !Number.isSafeInteger(high) || low <= 0 || low > high)
      throw new Error(`the contingent link to ${end} takes from ${low} to ${high}: 0 < low <= high is right`);
    if (ends.has(end)) throw new Error(`nature decides point ${end} twice, or it is the zero point`);
    ends.add(end);
  }
}
