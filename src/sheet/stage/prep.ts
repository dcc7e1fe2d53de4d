import type { Rundown as StageRundown } from '../../planner/index.ts';
import { rundown, type Rundown } from '../rundown.ts';

/** The work off stage as a run sheet: every step that is no showing, for the moment at which it goes on air. */
export function prepOf({ workload, timetable, showings, begins }: StageRundown): Rundown {
  const shown = new Set(showings.map(({ step }) => step));
  const steps = timetable.steps.filter(({ step }) => !shown.has(step));
  return rundown(workload, { ...timetable, service: timetable.service.map(() => begins), steps });
}

/** How many times the plan's amounts are wanted. */
export interface Amount {
  /** The component as the plan titles it. */
  readonly title: string;
  readonly times: number;
  /** For which swaps, and `on air` for what is begun before the audience. */
  readonly uses: readonly string[];
}

/**
 * What is weighed out: for each title, how many times the plan's amounts, over all swaps that it goes into and what is begun on
 * air. A plan has no amounts but in its comments, so they can be multiplied only by whoever reads them.
 */
export function amountsOf({ workload, swaps, timetable }: StageRundown): Amount[] {
  const planned = new Set(timetable.steps.map(({ step }) => step));
  const found = new Map<string, { title: string; times: number; uses: string[] }>();
  for (const { id, title, steps } of workload.components) {
    const own = swaps.filter(({ made }) => made.includes(id));
    const isOnAir = own.length === 0 && id !== STAGE && steps.some((step) => planned.has(step.id));
    if (own.length === 0 && !isOnAir) continue;
    const amount = found.get(title) ?? { title, times: 0, uses: [] };
    amount.times += isOnAir ? 1 : own.reduce((sum, { factor }) => sum + factor, 0);
    amount.uses.push(...(isOnAir ? ['on air'] : own.map((swap) => swap.id)));
    found.set(title, amount);
  }
  return [...found.values()];
}

/** The component of the derived workload that is talk. */
const STAGE = 'stage';
