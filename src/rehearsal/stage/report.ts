import type { StepId } from '../../plan/index.ts';
import { cutsFor, type Rundown, type StageChange } from '../../planner/index.ts';
import { plus, seconds, type EpochMs, type Seconds } from '../../units/index.ts';
import { wilson, Z, type Chance } from './chances.ts';
import { playEvening, showOf, type Evening, type Show } from './evening.ts';
import { USUAL_PRESENTER, type Presenter } from './presenter.ts';

/** A figure below which a share of the evenings lie, and between what it lies itself with 95 % confidence. */
export interface Quantile {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** When the demonstration ends, over many evenings. */
export interface Ending {
  /** Within what is allowed. */
  readonly inTime: Chance;
  /** Seconds after its time, negative before it: what one in ten evenings undercuts, the middle, and what one in ten exceeds. */
  readonly early: Quantile;
  readonly usual: Quantile;
  readonly late: Quantile;
  /** In 95 of 100 evenings it ends no further off than this, in seconds. */
  readonly off95: Quantile;
}

/** A showing over many evenings on which nothing was cut. */
export interface ShowingReport {
  readonly showing: StepId;
  readonly action: string;
  readonly start: EpochMs;
  /** Chance that it runs over by more than 10 s. */
  readonly over: Chance;
  /** In 95 of 100 evenings it runs over by no more than this, in seconds. */
  readonly over95: Quantile;
  /** Chance of a silence before it, for something off view, and what that comes to in 95 of 100 of the evenings with one. */
  readonly silence: Chance;
  readonly silence95: Seconds;
}

/** What to cut if one showing runs over. */
export interface CutPoint {
  readonly showing: StepId;
  readonly action: string;
  /** By how much it runs over in one of twenty evenings. */
  readonly over: Seconds;
  /** What can be cut after it, the least needed first. */
  readonly cuts: readonly (StageChange & { readonly action: string; readonly start: EpochMs })[];
}

/** How a demonstration goes: what many evenings of it say. */
export interface StageReport {
  readonly runs: number;
  readonly seed: number;
  readonly lasts: Seconds;
  readonly within: Seconds;
  /** As planned, with nothing cut. */
  readonly asPlanned: Ending;
  /** With what the board offers taken at the beginning of each showing. */
  readonly withCuts: Ending;
  readonly showings: readonly ShowingReport[];
  /** The showings that run over, the worst first. */
  readonly cutPoints: readonly CutPoint[];
  /** Which showings were cut or stretched in how many of the evenings on which that was done. */
  readonly taken: readonly {
    readonly showing: StepId;
    readonly action: string;
    readonly cut: Chance;
    readonly stretched: Chance;
  }[];
  /** Swaps that were out of their window when they were wanted, with cuts. */
  readonly swaps: readonly {
    readonly id: string;
    readonly title: string;
    readonly early: Chance;
    readonly late: Chance;
  }[];
  /** Steps on air that began later than the plan lets them, with cuts. */
  readonly broken: readonly { readonly step: StepId; readonly chance: Chance }[];
}

export interface StageOptions {
  readonly presenter?: Presenter;
  /** Told after each evening; what was played so far is reported once it says no. */
  readonly goOn?: (played: number) => boolean;
}

/** A showing that is longer than meant by less than this has not run over. */
const RUNS_OVER = seconds(10);

/**
 * Plays a demonstration on many evenings (seeds `seed`, `seed + 1`, ...), each as planned and with cuts, and says how it
 * goes. The work before it is taken to have gone as planned.
 */
export function rehearseStage(
  rundown: Rundown,
  { runs, seed }: { readonly runs: number; readonly seed: number },
  { presenter = USUAL_PRESENTER, goOn }: StageOptions = {},
): StageReport {
  const show = showOf(rundown);
  const planned: Evening[] = [];
  const adjusted: Evening[] = [];
  for (let run = 0; run < runs; run += 1) {
    planned.push(playEvening(show, seed + run, presenter, false));
    adjusted.push(playEvening(show, seed + run, presenter, true));
    if (goOn && !goOn(run + 1)) break;
  }
  const showings = rundown.showings.map((_, index) => showingReport(rundown, planned, index));
  return {
    runs: planned.length,
    seed,
    lasts: rundown.lasts,
    within: rundown.within,
    asPlanned: endingOf(rundown, planned),
    withCuts: endingOf(rundown, adjusted),
    showings,
    cutPoints: cutPoints(show, showings),
    taken: takenOf(rundown, adjusted),
    swaps: rundown.swaps.flatMap(({ id, title }, index) => {
      const [early, late] = (['early', 'late'] as const).map((what) =>
        counted(adjusted, ({ swaps }) => swaps[index] === what),
      );
      return early && late && early.share + late.share > 0 ? [{ id, title, early, late }] : [];
    }),
    broken: brokenOf(adjusted),
  };
}

const counted = (evenings: readonly Evening[], is: (evening: Evening) => boolean): Chance =>
  wilson(evenings.filter(is).length, evenings.length);

function endingOf({ lasts, within }: Rundown, evenings: readonly Evening[]): Ending {
  const off = evenings.map(({ length }) => length - lasts);
  return {
    inTime: wilson(off.filter((each) => Math.abs(each) <= within).length, off.length),
    early: quantile(off, 0.1),
    usual: quantile(off, 0.5),
    late: quantile(off, 0.9),
    off95: quantile(off.map(Math.abs), 0.95),
  };
}

function showingReport({ showings }: Rundown, evenings: readonly Evening[], index: number): ShowingReport {
  const showing = showings[index];
  if (!showing) throw new Error(`there is no showing ${index}`);
  const played = evenings.flatMap((evening) => evening.showings[index] ?? []);
  const silences = played.map(({ waits }) => waits).filter((waits) => waits > 0);
  return {
    showing: showing.step,
    action: showing.action,
    start: showing.start,
    over: wilson(played.filter(({ over }) => over > RUNS_OVER).length, played.length),
    over95: quantile(
      played.map(({ over }) => over),
      0.95,
    ),
    silence: wilson(silences.length, played.length),
    silence95: seconds(silences.length === 0 ? 0 : quantile(silences, 0.95).value),
  };
}

/** How many showings that run over are told of, and how many cuts for each. */
const [MOST_POINTS, MOST_CUTS] = [6, 3];

/**
 * For each showing that runs over in one of twenty evenings: what can be cut after it, if everything else went as planned.
 * The end may be `within` off, but the presenter wants to be back on time: all that it ran over is to be gained.
 */
function cutPoints({ rundown, pace }: Show, reports: readonly ShowingReport[]): CutPoint[] {
  const { showings, begins } = rundown;
  const ended: Record<number, EpochMs> = {};
  const points = showings.map((showing, index): CutPoint => {
    const over = seconds(Math.round(reports[index]?.over95.value ?? 0));
    const now = plus(showing.end, over);
    const next = index + 1;
    const cuts =
      next < showings.length && over > 0
        ? cutsFor(pace, {
            now,
            begun: begins,
            showing: next,
            since: now,
            ended: { ...ended, [index]: now },
            lengths: {},
          })
        : [];
    ended[index] = showing.end;
    return {
      showing: showing.step,
      action: showing.action,
      over,
      cuts: cuts.slice(0, MOST_CUTS).flatMap((cut) => {
        const later = showings[cut.index];
        return later ? [{ ...cut, action: later.action, start: later.start }] : [];
      }),
    };
  });
  return points
    .filter(({ over }) => over > RUNS_OVER)
    .toSorted((a, b) => b.over - a.over)
    .slice(0, MOST_POINTS);
}

function takenOf({ showings }: Rundown, evenings: readonly Evening[]): StageReport['taken'] {
  return showings.flatMap(({ step, action }) => {
    const [cut, stretched] = [
      counted(evenings, ({ changes }) =>
        changes.some((each) => each.showing === step && each.to < each.from),
      ),
      counted(evenings, ({ changes }) =>
        changes.some((each) => each.showing === step && each.to > each.from),
      ),
    ];
    return cut.share + stretched.share > 0 ? [{ showing: step, action, cut, stretched }] : [];
  });
}

function brokenOf(evenings: readonly Evening[]): StageReport['broken'] {
  const steps = [...new Set(evenings.flatMap(({ broken }) => broken))];
  return steps
    .map((step) => ({ step, chance: counted(evenings, ({ broken }) => broken.includes(step)) }))
    .toSorted((a, b) => b.chance.share - a.chance.share);
}

/**
 * The value below which a share of the values lie. Its 95 % interval is that of order statistics, whatever the
 * distribution (H. A. David, H. N. Nagaraja, Order Statistics, 3rd ed. 2003, section 7.1), with the binomial taken as normal.
 */
export function quantile(values: readonly number[], share: number): Quantile {
  const sorted = values.toSorted((a, b) => a - b);
  const at = (rank: number): number =>
    sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(rank) - 1))] ?? 0;
  const [middle, half] = [sorted.length * share, Z * Math.sqrt(sorted.length * share * (1 - share))];
  return { value: at(middle), low: at(middle - half), high: at(middle + half + 1) };
}
