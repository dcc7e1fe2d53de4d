import type { EpochMs, Seconds } from '../../units/index.ts';
import { epochMs, minutes, plus, seconds } from '../../units/index.ts';
import type { Window } from '../fast/index.ts';
import { named, type Trouble } from './candidates.ts';
import { beginOf, mayComeEarlier } from './changes.ts';
import { difference, pooled, wilson, type Chance } from './chances.ts';
import type {
  Band,
  ClashChance,
  LatestStart,
  Measured,
  Quantile,
  Report,
  StepBand,
  StepBlame,
  TriedChange,
  WindowChance,
} from './report.ts';
import { quantile, quantileWithError, type Spread, type Weighed } from './spread.ts';
import type { Findings, Tried } from './study.ts';
import { correlation, ON_TIME, type Tally } from './tally.ts';
import { REASONS, type Reason } from './waits.ts';
import type { Paired } from './work.ts';

/** A class of rehearsals as it counts: what is known of it, and how many there are of it. */
interface Part {
  readonly tally: Tally;
  readonly size: number;
}

/**
 * The classes, each as it truly goes: where a new timetable was wanted, as those went that were played on the real bench. A
 * class of which none was (because it was stopped before) counts as it went without one.
 */
function partsOf({ classes, onBench }: Findings): readonly Part[] {
  return classes.map((fast, of) => {
    const real = onBench[of];
    return { tally: real && real.runs > 0 ? real : fast, size: fast.runs };
  });
}

/** The classes as they went without new timetables. */
const plainParts = ({ classes }: Findings): readonly Part[] =>
  classes.map((tally) => ({ tally, size: tally.runs }));

const weighed = (parts: readonly Part[], of: (tally: Tally) => Spread | undefined): Weighed[] =>
  parts.flatMap(({ tally, size }) => {
    const spread = of(tally);
    return spread && tally.runs > 0 ? [{ spread, weight: size / tally.runs }] : [];
  });

function chanceOf(parts: readonly Part[], hits: (tally: Tally) => number): Chance {
  const all = parts.reduce((sum, { size }) => sum + size, 0);
  return pooled(
    parts.map(({ tally, size }) => ({
      weight: size / Math.max(1, all),
      hits: hits(tally),
      tries: tally.runs,
    })),
    all,
  );
}

/** Everything that was found, as far as it goes. */
export function reportOf(found: Findings): Report {
  const { course, options, classes, onBench } = found;
  const { workload, timetable } = course.setup;
  const parts = partsOf(found);
  const sum = (of: readonly Tally[], from: number): number =>
    of.slice(from).reduce((all, { runs }) => all + runs, 0);
  const quantiles = (of: (tally: Tally) => Spread, percents: readonly number[]): Quantile[] =>
    percents.map((percent) => ({
      percent,
      seconds: quantileWithError(weighed(parts, of), percent / 100),
    }));
  const steps = blameOf(found);
  return {
    plans: workload.plans.map(({ title, makes }, index) => ({
      title,
      makes: `${makes.count} ${makes.of}`,
      service: timetable.service[index] ?? epochMs(NaN),
    })),
    timeZone: workload.kitchen.timeZone,
    begin: beginOf(timetable),
    got: {
      runs: sum(classes, 0),
      seed: options.seed,
      asked: options.runs,
      stopped: found.stopped,
      wanting: sum(classes, 1),
      onBench: sum(onBench, 0),
      stoodFor: classes.reduce((all, { runs }, of) => all + ((onBench[of]?.runs ?? 0) > 0 ? runs : 0), 0),
      ...stuckIn(classes, onBench),
      ...(course.life && { life: course.life }),
      compared: found.changes[0]?.outcome.runs ?? [...found.minuteLess.values()][0]?.runs ?? 0,
    },
    onTime: chanceOf(parts, ({ onTime }) => onTime),
    well: chanceOf(parts, ({ well }) => well),
    ready: quantiles(({ ready }) => ready, [10, 50, 90, 95, 99]),
    late: quantiles(({ late }) => late, [50, 90, 95, 99]),
    windows: windowChances(found, parts),
    blame: {
      of: found.askedFrom === ON_TIME ? 'late' : 'latest tenth',
      runs: found.blame.asked,
      steps: steps.map(({ place: _place, ...step }) => step),
    },
    clashes: clashesOf(found),
    latestStarts: latestStarts(found),
    changes: triedChanges(found),
    ...bestChange(found),
    bands: bandsOf(found, parts),
  };
}

/** The best change as it went with seeds of its own, unless luck alone had made it the best. */
function bestChange({ best }: Findings): Pick<Report, 'best'> {
  const change = best && triedChange(best);
  return change && helps(change) ? { best: change } : {};
}

/** How many came to no end, and one of them to be looked at. */
function stuckIn(
  classes: readonly Tally[],
  onBench: readonly Tally[],
): Pick<Report['got'], 'stuck' | 'firstStuck'> {
  const never = (of: readonly Tally[]): number => of.reduce((sum, { late }) => sum + late.never, 0);
  // One may be among both.
  const stuck = Math.max(never(classes), never(onBench));
  const first = Math.min(...[...classes, ...onBench].map((own) => own.stuck));
  return { stuck, ...(stuck > 0 && { firstStuck: first }) };
}

const windowChances = (found: Findings, parts: readonly Part[]): WindowChance[] =>
  windowsByChance(found, parts).map(({ window: { kind, steps, words }, broken }) => ({
    kind,
    steps,
    words,
    broken,
  }));

function windowsByChance(
  { course }: Findings,
  parts: readonly Part[],
): { readonly window: Window; readonly broken: Chance }[] {
  return course.windows
    .map((window, place) => ({ window, broken: chanceOf(parts, ({ broken }) => broken[place] ?? 0) }))
    .toSorted((a, b) => b.broken.share - a.broken.share || b.broken.high - a.broken.high);
}

/** What each step had to do with lateness, the one most on its path first. */
export function blameOf(found: Findings): (StepBlame & { readonly place: number })[] {
  const { course, blame } = found;
  const added = blame.added.reduce((all, one) => all + one, 0);
  return course.steps
    .map((step, place) => {
      const related = correlation(blame, place);
      const less = found.minuteLess.get(place);
      return {
        place,
        step: step.id,
        words: named(step),
        onPath: (blame.onPath[place] ?? 0) / Math.max(1, blame.asked),
        added: (blame.added[place] ?? 0) / Math.max(1, added),
        correlation: Number.isNaN(related) ? null : related,
        ...(less && {
          minuteLess: {
            sooner: seconds(less.sooner),
            onTime: difference(less.onTime.gained, less.onTime.lost, less.runs),
          },
        }),
      };
    })
    .toSorted((a, b) => b.added - a.added || b.onPath - a.onPath);
}

/** Which step waited for which, the likeliest first. */
export function clashesOf({ course, frame, blame, classes }: Findings): ClashChance[] {
  const runs = classes.reduce((sum, { runs: own }) => sum + own, 0);
  return [...blame.clashes]
    .flatMap(([key, clash]): ClashChance[] => {
      const [waiting = -1, why = -1, cause = -1, tool = -1] = key.split(':').map(Number);
      const [step, behind] = [course.steps[waiting], course.steps[cause]];
      const kind: Reason | undefined = REASONS[why];
      if (!step || !behind || (kind !== 'hands' && kind !== 'tool' && kind !== 'oven')) return [];
      const item = kind === 'tool' ? frame.ties[waiting]?.tools[tool]?.item : undefined;
      const what = kind === 'hands' ? 'hands' : kind === 'oven' ? 'the oven' : `the ${item}`;
      return [
        {
          kind,
          ...(item === undefined ? {} : { item }),
          step: step.id,
          behind: behind.id,
          words: `${named(step)} waited for ${what}, behind ${named(behind)}`,
          chance: wilson(clash.runs, runs),
          seconds: seconds(clash.seconds / clash.runs),
        },
      ];
    })
    .toSorted((a, b) => b.chance.share * b.seconds - a.chance.share * a.seconds);
}

/** Clashes that are rarer than this are no reason to buy anything. */
const RARE = 0.01;

/** Where a change could help. */
export function troubleOf(found: Findings, clashes: readonly ClashChance[]): Trouble {
  const { course } = found;
  const stepOf = new Map(course.steps.map((step) => [step.id, step]));
  return {
    windows: windowsByChance(found, partsOf(found)).flatMap(({ window, broken }) =>
      broken.share > 0 ? [window] : [],
    ),
    late: blameOf(found)
      .filter(({ onPath }) => onPath > 0)
      .flatMap(({ step }) => stepOf.get(step) ?? []),
    clashes: clashes
      .filter(({ chance }) => chance.share >= RARE)
      .flatMap(({ step: id, kind, item }) => {
        const step = stepOf.get(id);
        return step ? [{ step, reason: kind, ...(item === undefined ? {} : { item }) }] : [];
      }),
  };
}

const SURE = [90, 95, 99] as const;

/** By how much everything would have to come earlier, in whole minutes, so that so many of a hundred are ready by service. */
export function latestShifts(
  found: Findings,
): { readonly percent: number; readonly earlier: Seconds; readonly exact: LatestStart['earlier'] }[] {
  const ready = weighed(plainParts(found), (tally) => tally.ready);
  return SURE.flatMap((percent) => {
    const exact = quantileWithError(ready, percent / 100);
    if (!Number.isFinite(exact.value)) return [];
    return [{ percent, earlier: minutes(Math.ceil(exact.value / 60)), exact }];
  });
}

function latestStarts(found: Findings): LatestStart[] {
  const { setup } = found.course;
  const begin = beginOf(setup.timetable);
  const shifts = latestShifts(found);
  return SURE.map((percent): LatestStart => {
    const shift = shifts.find((each) => each.percent === percent);
    const never = { value: Infinity, low: Infinity, high: Infinity };
    if (!shift) return { percent, earlier: never, breaksRules: false };
    const proof = found.shifts.find((each) => each.percent === percent);
    return {
      percent,
      begin: plus(begin, -1 * shift.earlier),
      earlier: { ...shift.exact, value: shift.earlier },
      ...(proof && { verified: wilson(proof.inTime, proof.runs) }),
      breaksRules: !mayComeEarlier(setup, shift.earlier),
    };
  });
}

/** What was tried, what lets most rehearsals go well first. */
const triedChanges = (found: Findings): TriedChange[] => ranked(found).map(({ change }) => change);

/** The change that helps most, if it seems to help at all. */
export const bestOf = (found: Findings): Tried | undefined =>
  ranked(found).find(({ change }) => helps(change))?.tried;

function ranked({ changes }: Findings): { readonly tried: Tried; readonly change: TriedChange }[] {
  return changes
    .map((tried) => ({ tried, change: triedChange(tried) }))
    .toSorted(
      ({ change: a }, { change: b }) => b.well.difference.by - a.well.difference.by || b.sooner - a.sooner,
    );
}

const triedChange = ({ words, outcome: { runs, onTime, well, sooner, begin } }: Tried): TriedChange => ({
  words,
  onTime: measured(onTime, runs),
  well: measured(well, runs),
  sooner: seconds(sooner),
  begin,
});

/** Whether it helps more than luck would. */
const helps = ({ well, onTime }: TriedChange): boolean =>
  well.difference.low > 0 || onTime.difference.low > 0;

const measured = ({ without, gained, lost }: Paired, runs: number): Measured => ({
  without: without / Math.max(1, runs),
  with: (without + gained - lost) / Math.max(1, runs),
  difference: difference(gained, lost, runs),
});

function bandsOf({ course }: Findings, parts: readonly Part[]): StepBand[] {
  const { begunAt } = course.setup;
  const band = (told: number, spreads: readonly Weighed[]): Band => {
    const at = (share: number): EpochMs | undefined => {
      const late = quantile(spreads, share);
      return Number.isFinite(late) && Number.isFinite(told) ? plus(epochMs(begunAt + told), late) : undefined;
    };
    const [low, usual, high] = [at(0.1), at(0.5), at(0.9)];
    return {
      ...(low !== undefined && { low }),
      ...(usual !== undefined && { usual }),
      ...(high !== undefined && { high }),
    };
  };
  return course.steps.map((step, place) => ({
    step: step.id,
    start: band(
      course.planned[place] ?? NaN,
      weighed(parts, ({ starts }) => starts[place]),
    ),
    end: band(
      course.plannedEnds[place] ?? NaN,
      weighed(parts, ({ ends }) => ends[place]),
    ),
  }));
}
