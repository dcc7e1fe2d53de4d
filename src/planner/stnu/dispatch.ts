import { NO_LABEL, type EdgeStore } from './edges.ts';
import type { DispatchNetwork, OrdinaryLink, UncertainNetwork, WaitLink } from './network.ts';

/**
 * What is left of all edges for the one who executes: the tightest between two points, and the longest wait of a point for a link. A wait
 * of a contingent end is left out: nobody but nature decides about it, and its start was bounded instead.
 */
export function dispatchOf({ points, contingent }: UncertainNetwork, edges: EdgeStore): DispatchNetwork {
  const ends = new Set(contingent.map(({ end }) => end));
  const links = new Map<number, OrdinaryLink>();
  const waits = new Map<number, WaitLink>();
  const { from, to, weight, label } = edges;
  for (let edge = 0; edge < edges.count; edge += 1) {
    const [tail, head, length] = [from[edge] ?? 0, to[edge] ?? 0, weight[edge] ?? 0];
    const link = label[edge] ?? NO_LABEL;
    if (link === NO_LABEL) {
      if (tail === head) continue;
      const key = tail * points + head;
      if (length < (links.get(key)?.weight ?? Infinity))
        links.set(key, { from: tail, to: head, weight: length });
    } else if (!ends.has(tail)) {
      const key = tail * contingent.length + link;
      if (-length > (waits.get(key)?.time ?? 0))
        waits.set(key, { point: tail, contingent: link, time: -length });
    }
  }
  const needed = [...waits.values()].filter(({ point, contingent: link, time }) => {
    const start = contingent[link]?.start ?? 0;
    return time > -(links.get(point * points + start)?.weight ?? Infinity);
  });
  return { points, links: [...links.values()], waits: needed, contingent };
}
