import type { Controllability, CycleLink, UncertainNetwork } from './network.ts';

export type Uncontrollable = Extract<Controllability, { readonly kind: 'uncontrollable' }>;

/** A circle with more links than this is left as it was met: narrowing takes a decision for each of them. */
const LONG = 100;

/**
 * A circle of which every link is needed. One that was met by chance may have smaller ones in it: a link is left out, what is left is decided by
 * itself, and where it is still uncontrollable, its circle takes the place of the first.
 */
export function narrow(
  network: UncertainNetwork,
  found: Uncontrollable,
  circleOf: (network: UncertainNetwork) => Uncontrollable | undefined,
): Uncontrollable {
  let circle = found;
  if (found.cycle.length > LONG) return found;
  for (const link of found.cycle) {
    if (link.kind === 'contingent') continue;
    const left = circle.cycle.filter((other) => other.kind !== 'ordinary' || other.index !== link.index);
    if (left.length === circle.cycle.length) continue;
    const part = partOf(network, left);
    const smaller = circleOf(part.network);
    if (smaller) circle = { ...smaller, cycle: smaller.cycle.map(part.whole) };
  }
  return circle;
}

/** Some links as a network of their own, with only the points they touch, and the way back to the whole. */
function partOf(
  { links, contingent }: UncertainNetwork,
  cycle: readonly CycleLink[],
): { readonly network: UncertainNetwork; readonly whole: (link: CycleLink) => CycleLink } {
  const indexes = (kind: CycleLink['kind']): number[] => [
    ...new Set(cycle.filter((link) => link.kind === kind).map(({ index }) => index)),
  ];
  const [ordinary, uncertain] = [indexes('ordinary'), indexes('contingent')];
  const points = new Map([[0, 0]]);
  const point = (old: number): number => {
    const known = points.get(old) ?? points.size;
    points.set(old, known);
    return known;
  };
  const network = {
    links: ordinary.flatMap((index) => {
      const link = links[index];
      return link ? [{ ...link, from: point(link.from), to: point(link.to) }] : [];
    }),
    contingent: uncertain.flatMap((index) => {
      const link = contingent[index];
      return link ? [{ ...link, start: point(link.start), end: point(link.end) }] : [];
    }),
    points: points.size,
  };
  return {
    network,
    whole: (link) => ({
      ...link,
      index: (link.kind === 'ordinary' ? ordinary : uncertain)[link.index] ?? 0,
    }),
  };
}
