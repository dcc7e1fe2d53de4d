import {
  copiesLeft,
  lateSwaps,
  leftOut,
  windowOf,
  type BenchState,
  type StageStanding,
} from '../bench/index.ts';
import type { Showing, Swap } from '../planner/index.ts';
import { countdown, roughly, secondsBetween, type EpochMs } from '../units/index.ts';
import { clean, clockWords } from './text.ts';

export interface SwapView {
  /** `B: shells, after bake low, 1 backup`. */
  readonly what: string;
  /** `freezer shelf`, `bench`. */
  readonly where: string;
  /** How long until it is wanted: `now`, `in 2:10`. */
  readonly wanted: string;
  /** `use by 20:31`, `to be used by 19:58, 2 min ago`; nothing where it keeps. */
  readonly by?: string;
  readonly late: boolean;
}

/** The first copy that a showing from `from` on takes, with where it stands. */
export function swapAhead(
  state: BenchState,
  { rundown }: StageStanding,
  from: number,
  startOf: (index: number) => EpochMs,
  now: EpochMs,
): { readonly swap?: SwapView } {
  const gone = leftOut(state);
  const begun = new Set(
    state.components.flatMap((run) =>
      run.steps.flatMap((step) => (step.state === 'waiting' ? [] : [step.step])),
    ),
  );
  for (const [index, showing] of rundown.showings.entries()) {
    if (index < from || gone.has(showing.step)) continue;
    const ids = [
      ...(showing.from.kind === 'swap' ? showing.from.swaps : []),
      ...showing.brings.flatMap((brought) => (brought.kind === 'swap' ? [brought.swap] : [])),
    ];
    // What was taken for an earlier showing is on the table.
    const taken = rundown.swaps.filter(
      (swap) =>
        ids.includes(swap.id) &&
        copiesLeft(state, swap) > 0 &&
        (swap.for === showing.step || !begun.has(swap.for)),
    );
    const other = taken.find(({ use }) => use !== 'needed') ?? taken[0];
    if (other) return { swap: swapView(state, other, startOf(index), now) };
  }
  return {};
}

function swapView(state: BenchState, swap: Swap, at: EpochMs, now: EpochMs): SwapView {
  const { kitchen } = state.setup.workload;
  const wait = Math.ceil(secondsBetween(now, at));
  const place = swap.waits.findLast(({ from }) => from <= now) ?? swap.waits[0];
  const { useBy } = windowOf(state, swap);
  const late = useBy !== undefined && useBy < now;
  const clock = useBy === undefined ? undefined : clockWords(useBy, now, kitchen.timeZone);
  const left = copiesLeft(state, swap);
  const copies = left < swap.copies ? ', the backup' : swap.backups > 0 ? `, ${swap.backups} backup` : '';
  return {
    what: `${clean(swap.id)}: ${clean(swap.title)}, ${stateWords(swap)}${copies}`,
    where: clean(place?.where ?? 'bench'),
    wanted: wait < 1 ? 'now' : `in ${countdown(wait)}`,
    ...(clock === undefined ? {} : { by: late ? `was to be used by ${clock}` : `use by ${clock}` }),
    late,
  };
}

/** `after bake low`, `2 min before the end of bake low`. */
function stateWords({ state: stands }: Swap): string {
  const name = clean(stands.step.slice(stands.step.lastIndexOf('.') + 1));
  return stands.kind === 'after' ? `after ${name}` : `${roughly(stands.left)} before the end of ${name}`;
}

/** `swap B`, `swaps H and J`, `the backup of swap B`: without those of which no copy is left. */
export function swapNames(state: BenchState, ids: readonly string[]): string {
  const swaps = (state.setup.rundown?.swaps ?? []).filter(
    (swap) => ids.includes(swap.id) && copiesLeft(state, swap) > 0,
  );
  const names = swaps.map(({ id }) => clean(id)).join(' and ');
  const isBackup = swaps.some((swap) => copiesLeft(state, swap) < swap.copies);
  return `${isBackup ? 'the backup of ' : ''}swap ${names}`;
}

/** The swap that will be late for the first thing that wants it. */
export function lateWords(state: BenchState, now: EpochMs): { readonly late?: string } {
  const [first, ...others] = lateSwaps(state, now);
  if (!first) return {};
  const { swap, ready, wanted } = first;
  const clock = (moment: EpochMs): string => clockWords(moment, now, state.setup.workload.kitchen.timeZone);
  const more = others.length === 0 ? '' : `, and ${others.length} more`;
  return {
    late: `swap ${clean(swap.id)}: ${clean(swap.title)}, ready ${clock(ready)}, wanted ${clock(wanted)}${more}`,
  };
}

/** What is left out for want of a swap, and is not past. */
export function outWords(state: BenchState, showings: readonly Showing[]): string[] {
  const gone = leftOut(state);
  const runs = new Map(state.components.flatMap((run) => run.steps).map((run) => [run.step, run]));
  const shown = showings.findLastIndex(({ step }) => {
    const run = runs.get(step);
    return run !== undefined && 'startedAt' in run;
  });
  return showings.flatMap((showing, index) =>
    index > shown && gone.has(showing.step) ? [clean(showing.action)] : [],
  );
}
