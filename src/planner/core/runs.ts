import { changeTime, excludes } from './compile-ovens.ts';
import type { StateDemand, StateResource } from './problem.ts';

/** A demand that is settled, and where. */
export interface SettledDemand {
  readonly demand: StateDemand;
  readonly from: number;
  readonly to: number;
}

/** A demand that has no place yet, and its least length. */
export interface OpenDemand {
  readonly demand: StateDemand;
  readonly least: number;
}

/** Settled demands between which nothing that has no place yet can go in, and so one block. */
export interface Run {
  readonly first: SettledDemand;
  readonly from: number;
  to: number;
  count: number;
  /** By state of those without a place: the least time from its end to the start of the run, and from the end of the run to its start. */
  readonly before: number[];
  readonly after: number[];
}

/**
 * The runs of settled demands, which come in order of their start, among which others are to be placed.
 * Demands of which some may overlap with one without a place are not drawn together.
 */
export function runsOf(
  oven: StateResource,
  settled: readonly SettledDemand[],
  open: readonly OpenDemand[],
): Run[] {
  const kinds = new Map<number, OpenDemand>();
  for (const each of open) {
    const known = kinds.get(each.demand.state);
    if (!known || each.least < known.least) kinds.set(each.demand.state, each);
  }
  const all = [...kinds.values()];
  const runs: Run[] = [];
  let wasApart = false;
  for (const one of settled) {
    const run = runs.at(-1);
    const isApart = open.every(({ demand }) => excludes(oven, demand, one.demand));
    const before = all.map(({ demand }) => changeTime(oven, demand, one.demand));
    const after = all.map(({ demand }) => changeTime(oven, one.demand, demand));
    if (
      run &&
      isApart &&
      wasApart &&
      all.every(
        ({ least }, i) =>
          one.from - run.to < (run.after[i] ?? 0) + least + (before[i] ?? 0) ||
          (least === 0 && one.from <= run.to),
      )
    )
      extend(run, one, before, after);
    else runs.push({ first: one, from: one.from, to: one.to, count: 1, before, after });
    wasApart = isApart;
  }
  return runs;
}

function extend(run: Run, one: SettledDemand, before: readonly number[], after: readonly number[]): void {
  const to = Math.max(run.to, one.to);
  before.forEach((wait, i) => {
    run.before[i] = Math.max(run.before[i] ?? 0, run.from - one.from + wait);
    run.after[i] = Math.max((run.after[i] ?? 0) + run.to - to, (after[i] ?? 0) + one.to - to);
  });
  run.to = to;
  run.count += 1;
}
