import type { Workload } from '../../plan/index.ts';
import { plus, seconds, type EpochMs } from '../../units/index.ts';
import { planTimetable, type PlanResult } from '../plan.ts';

/** What a timetable is wanted for. */
export interface Asked {
  /** When the demonstration ends. */
  readonly ends: EpochMs;
  /** No step may be asked for before it. */
  readonly now?: EpochMs;
  /** How much may be searched, in counted work. */
  readonly effort: number;
}

/**
 * Whether a derived workload has a timetable: the first that is found, however good. What is best is only looked for once it is
 * known which workload it is to be.
 */
export function firstTimetable(workload: Workload, { ends, now, effort }: Asked): PlanResult {
  let isFound = false;
  return planTimetable(workload, {
    service: { kind: 'at', moments: [ends] },
    reasons: 'spare',
    effort,
    ...(now !== undefined && { now }),
    onImprovement: () => {
      isFound = true;
    },
    stop: () => isFound,
  });
}

export type Planned = PlanResult & { readonly status: 'optimal' | 'feasible' };

/** How much longer than it must take at the least the work ahead is allowed to take, one after the other. */
const HORIZONS = [1.02, 1.1, 1.3, 1.6] as const;
/** Work for each of these looks. */
const A_LOOK = 500_000;

/**
 * A good timetable for a derived workload of which some timetable is known: its work ahead lies close together. The first one that is found
 * may begin days before, and the search for better ones is long in finding back; so it begins with one that has not the room for that.
 */
export function goodTimetable(workload: Workload, first: Planned, asked: Asked): Planned {
  const { ends, now, effort } = asked;
  const least = first.levels.find(({ name }) => name === 'late')?.bound;
  let start = first;
  for (const horizon of least === undefined ? [] : HORIZONS) {
    const from = plus(ends, seconds(-Math.ceil((least ?? 0) * horizon)));
    if (now !== undefined && from <= now) break;
    const found = firstTimetable(workload, { ends, now: from, effort: Math.min(A_LOOK, effort) });
    if (!('timetable' in found)) continue;
    if (isBetter(found, start)) start = found;
    break;
  }
  const better = planTimetable(workload, {
    service: { kind: 'at', moments: [ends] },
    reasons: 'spare',
    effort,
    ...(now !== undefined && { now }),
    warmStart: start.timetable,
  });
  return 'timetable' in better ? better : start;
}

function isBetter(a: Planned, b: Planned): boolean {
  const at = a.levels.findIndex(({ value }, level) => value !== b.levels[level]?.value);
  return at >= 0 && (a.levels[at]?.value ?? 0) < (b.levels[at]?.value ?? 0);
}
