import type { StepId } from '../../plan/index.ts';
import { cutsFor, type Rundown, type StageChange } from '../../planner/index.ts';
import { plus, seconds, type EpochMs, type Seconds } from '../../units/index.ts';
import { wilson, type Chance } from '../report/chances.ts';
import { beforeOf, playBefore, type BeforeAir } from './before.ts';
import { playEvening, type Evening } from './evening.ts';
import { showOf, type Show } from './show.ts';
import { USUAL_PRESENTER, type Presenter } from './presenter.ts';
import { count, quantile, total, type Quantile, type Tally } from './tally.ts';

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

/** How the work before going on air goes, rehearsed apart: the demonstration itself is taken to begin with all of it done. */
export interface BeforeReport {
  /** It was rehearsed on fewer evenings, for it takes longer. */
  readonly runs: number;
  /** Chance that all of it is done in time: when it goes on air, or when it is wanted on air where it can still be finished there. */
  readonly ready: Chance;
  /** In 95 of 100 evenings the latest of it is late by no more than this, in seconds; in time where negative. */
  readonly late95: Quantile;
  /** Where it was late: what was latest, and its share of those evenings, the commonest first. */
  readonly last: readonly { readonly step: StepId; readonly share: number }[];
}

/** How a demonstration goes: what many evenings of it say. */
export interface StageReport {
  readonly runs: number;
  readonly seed: number;
  readonly lasts: Seconds;
  readonly within: Seconds;
  /** The work before it; left out where there is none. */
  readonly before?: BeforeReport;
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

/** A showing that is longer than meant by less than this has not run over. */
const RUNS_OVER = seconds(10);

/** Many evenings of one demonstration, counted as they are played: what is kept does not grow with them. */
export interface StageStudy {
  /** Plays the next evening, as planned and with cuts, with the same luck. */
  play(): void;
  /** What has been played so far says. */
  report(): StageReport;
}

/** On how many evenings the work before is rehearsed at most: it has more steps, and more can happen. */
const MOST_BEFORE = 200;
const MOST_BEFORE_SLOW = 20;

/** Sets out to play a demonstration on many evenings with the seeds `seed`, `seed + 1`, ... */
export function stageStudy(
  rundown: Rundown,
  seed: number,
  presenter: Presenter = USUAL_PRESENTER,
): StageStudy {
  const show = showOf(rundown);
  const before = beforeOf(rundown);
  const counts = emptyCounts(rundown);
  const most = before?.isFast ? MOST_BEFORE : MOST_BEFORE_SLOW;
  return {
    play() {
      if (before && counts.runs < most) countBefore(counts, playBefore(before, seed + counts.runs));
      countEvening(counts, rundown, seed + counts.runs, show, presenter);
    },
    report: () => reportOf(show, seed, counts),
  };
}

/** Plays so many evenings and says how they went. */
export function rehearseStage(
  rundown: Rundown,
  runs: number,
  seed: number,
  presenter?: Presenter,
): StageReport {
  const study = stageStudy(rundown, seed, presenter);
  for (let run = 0; run < runs; run += 1) study.play();
  return study.report();
}

/** What is counted over the evenings; of showings and swaps by their index. */
interface Counts {
  runs: number;
  /** How long after going on air the work before was done, and what was done last where that was late. */
  readonly before: Tally;
  readonly last: Map<StepId, number>;
  /** How long after its time it ended. */
  readonly planned: Tally;
  readonly adjusted: Tally;
  /** As planned: by how much each showing ran over, and the silence before it. */
  readonly over: readonly Tally[];
  readonly waits: readonly Tally[];
  /** With cuts: evenings on which it was. */
  readonly cut: number[];
  readonly stretched: number[];
  readonly early: number[];
  readonly late: number[];
  readonly broken: Map<StepId, number>;
}

function emptyCounts({ showings, swaps }: Rundown): Counts {
  const [none, unused] = [showings.map(() => 0), swaps.map(() => 0)];
  return {
    runs: 0,
    before: new Map(),
    last: new Map(),
    planned: new Map(),
    adjusted: new Map(),
    over: showings.map(() => new Map()),
    waits: showings.map(() => new Map()),
    cut: [...none],
    stretched: [...none],
    early: [...unused],
    late: [...unused],
    broken: new Map(),
  };
}

function countBefore({ before, last: counted }: Counts, played: BeforeAir | undefined): void {
  if (!played) return;
  count(before, played.late);
  if (played.late > 0) counted.set(played.last, (counted.get(played.last) ?? 0) + 1);
}

function beforeReport({ before, last }: Counts): Pick<StageReport, 'before'> {
  const runs = total(before);
  if (runs === 0) return {};
  const late = total(before, (by) => by > 0);
  return {
    before: {
      runs,
      ready: wilson(runs - late, runs),
      late95: quantile(before, 0.95),
      last: [...last]
        .toSorted(([, a], [, b]) => b - a)
        .map(([step, often]) => ({ step, share: often / late })),
    },
  };
}

function countEvening(
  counts: Counts,
  { lasts }: Rundown,
  seed: number,
  show: Show,
  presenter: Presenter,
): void {
  const planned = playEvening(show, seed, presenter, false);
  const adjusted = playEvening(show, seed, presenter, true);
  counts.runs += 1;
  count(counts.planned, planned.length - lasts);
  count(counts.adjusted, adjusted.length - lasts);
  for (const [index, { over, waits }] of planned.showings.entries()) {
    count(counts.over[index] ?? new Map(), over);
    count(counts.waits[index] ?? new Map(), waits);
  }
  const changed = (is: (change: StageChange) => boolean): Set<number> =>
    new Set(adjusted.changes.filter(is).map(({ index }) => index));
  addOne(
    counts.cut,
    changed(({ from, to }) => to < from),
  );
  addOne(
    counts.stretched,
    changed(({ from, to }) => to > from),
  );
  const swapsThat = (what: Evening['swaps'][number]): Set<number> =>
    new Set(adjusted.swaps.flatMap((each, index) => (each === what ? [index] : [])));
  addOne(counts.early, swapsThat('early'));
  addOne(counts.late, swapsThat('late'));
  for (const step of adjusted.broken) counts.broken.set(step, (counts.broken.get(step) ?? 0) + 1);
}

function addOne(to: number[], indexes: ReadonlySet<number>): void {
  for (const index of indexes) to[index] = (to[index] ?? 0) + 1;
}

function reportOf(show: Show, seed: number, counts: Counts): StageReport {
  const { rundown } = show;
  const { runs } = counts;
  const showings = rundown.showings.map((showing, index): ShowingReport => {
    const [over, waits] = [counts.over[index] ?? new Map(), counts.waits[index] ?? new Map()];
    const silences: Tally = new Map([...waits].filter(([length]) => length > 0));
    return {
      showing: showing.step,
      action: showing.action,
      start: showing.start,
      over: wilson(
        total(over, (by) => by > RUNS_OVER),
        runs,
      ),
      over95: quantile(over, 0.95),
      silence: wilson(total(silences), runs),
      silence95: seconds(quantile(silences, 0.95).value),
    };
  });
  return {
    runs,
    seed,
    lasts: rundown.lasts,
    within: rundown.within,
    ...beforeReport(counts),
    asPlanned: endingOf(rundown, counts.planned),
    withCuts: endingOf(rundown, counts.adjusted),
    showings,
    cutPoints: cutPoints(show, showings),
    taken: rundown.showings.flatMap(({ step, action }, index) => {
      const [cut, stretched] = [counts.cut[index] ?? 0, counts.stretched[index] ?? 0];
      return cut + stretched > 0
        ? [{ showing: step, action, cut: wilson(cut, runs), stretched: wilson(stretched, runs) }]
        : [];
    }),
    swaps: rundown.swaps.flatMap(({ id, title }, index) => {
      const [early, late] = [counts.early[index] ?? 0, counts.late[index] ?? 0];
      return early + late > 0 ? [{ id, title, early: wilson(early, runs), late: wilson(late, runs) }] : [];
    }),
    broken: [...counts.broken]
      .toSorted(([, a], [, b]) => b - a)
      .map(([step, often]) => ({ step, chance: wilson(often, runs) })),
  };
}

function endingOf({ within }: Rundown, off: Tally): Ending {
  const away: Tally = new Map();
  for (const [by, often] of off) away.set(Math.abs(by), (away.get(Math.abs(by)) ?? 0) + often);
  return {
    inTime: wilson(
      total(away, (by) => by <= within),
      total(away),
    ),
    early: quantile(off, 0.1),
    usual: quantile(off, 0.5),
    late: quantile(off, 0.9),
    off95: quantile(away, 0.95),
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
