import type { ComponentId, Workload } from '../../plan/index.ts';
import type { Planned } from './first-timetable.ts';
import type { Derived } from './derive.ts';
import { slackened, type Shares } from './slack.ts';

/** A derived workload with as much slack as there is, and a timetable of it. */
export interface WithSlack {
  readonly slack: Workload;
  readonly result: Planned;
}

/**
 * Gives a derived workload that has a timetable as much slack as it can have: each component all that it wants, or half of
 * it, or none, those that come first in the story before others.
 * @param timetable a timetable of a workload, where one is found.
 */
export function mostSlack(
  derived: Derived,
  without: Planned,
  timetable: (workload: Workload) => Planned | undefined,
): WithSlack {
  const given = new Map<ComponentId, 1 | 0.5>();
  let best: WithSlack = { slack: derived.workload, result: without };
  const give = (to: readonly ComponentId[], share: 1 | 0.5): boolean => {
    const shares: Shares = (id) => (to.includes(id) ? share : (given.get(id) ?? 0));
    const slack = slackened(derived, shares);
    const result = timetable(slack);
    if (!result) return false;
    for (const id of to) given.set(id, share);
    best = { slack, result };
    return true;
  };
  // Mostly one or two of many cannot have it: half of the others at once, and so on.
  const raise = (ids: readonly ComponentId[], share: 1 | 0.5): void => {
    if (ids.length === 0 || give(ids, share)) return;
    if (ids.length === 1) {
      if (share === 1) give(ids, 0.5);
      return;
    }
    const half = Math.ceil(ids.length / 2);
    raise(ids.slice(0, half), share);
    raise(ids.slice(half), share);
  };
  raise(
    [...derived.made.values()].map(({ component }) => component.id),
    1,
  );
  return best;
}
