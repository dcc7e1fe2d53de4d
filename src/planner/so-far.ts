import type { Workload } from '../plan/index.ts';
import { secondsBetween, type EpochMs } from '../units/index.ts';
import {
  endOf,
  startOf,
  type Activity,
  type Claim,
  type Lag,
  type Level,
  type Point,
  type Problem,
} from './core/index.ts';
import type { Extraction } from './extract.ts';
import { costOfWaiting } from './ladder.ts';
import type { Progress } from './progress.ts';
import { lagsSoFar } from './so-far-lags.ts';
import { ovensSoFar } from './so-far-ovens.ts';

/** What may give way so that there is a timetable at all. */
export interface Yielding {
  /** Longest waits, keeping times and longest rests: those that can be kept hold, or all may give. */
  readonly windows: 'hold' | 'give';
  readonly service: 'hold' | 'give';
}

/** A window that may be stretched: it was, where `stretched` stands after `limit`. */
export interface Stretched {
  readonly rule: number;
  readonly limit: Point;
  readonly stretched: Point;
}

export interface SoFar {
  readonly problem: Problem;
  readonly windows: readonly Stretched[];
}

/** A step's place in the run, in whole seconds from the base: points that stand still, and whether it is over. */
export interface Standing {
  /** Times of the points that cannot change any more. */
  readonly fixed: ReadonlyMap<Point, number>;
  /** When rests that are under way will have been long enough, by activity. */
  readonly soonest: ReadonlyMap<number, number>;
  readonly now: number;
  /** By activity. */
  readonly kind: (activity: number) => 'ended' | 'going' | 'open';
}

/**
 * A problem in which what has happened stands still: what is done is fixed, what is under way is fixed at its start, nothing is
 * asked for before now, and ovens are as they are. Rules about what is over are left out. The first aim is to stretch no
 * window and no service, the next to move as little as can be of what was told.
 */
export function soFar(
  workload: Workload,
  extraction: Extraction,
  progress: Progress,
  base: EpochMs,
  yielding: Yielding,
): SoFar {
  const standing = standingOf(extraction, progress, base);
  const adding = new Adding(
    extraction.problem.activities.map((each, index) => frozen(each, index, standing)),
  );
  const { lags, windows } = lagsSoFar(extraction, standing, adding, yielding);
  const moved = movedLevel(extraction, progress, base, standing, adding);
  const ovens = ovensSoFar(workload, extraction, progress, base, standing, adding);
  const served = workload.plans.flatMap((_, plan) =>
    progress.served.includes(plan) ? [] : [extraction.extras.service(plan)],
  );
  if (yielding.service === 'give') for (const activity of served) adding.release(activity, standing.now);
  return {
    windows,
    problem: {
      ...extraction.problem,
      ...ovens,
      activities: adding.activities,
      lags: [...lags, ...adding.lags],
      resources: extraction.problem.resources.map(({ capacity, claims }) => ({
        capacity,
        claims: claimsSoFar(claims, capacity, standing),
      })),
      objective: [
        ...(windows.length > 0 ? [stretchedLevel(extraction, windows)] : []),
        ...(yielding.service === 'give' ? [servedLevel(served)] : []),
        moved,
        ...extraction.problem.objective.flatMap((level) => levelSoFar(level, standing)),
      ],
    },
  };
}

/** A problem's activities and distances while new ones are added. */
export class Adding {
  readonly activities: Activity[];
  readonly lags: Lag[] = [];

  constructor(activities: readonly Activity[]) {
    this.activities = [...activities];
  }

  /** Adds an activity that lasts from then until then; without length it is a point. */
  add(bounds: { readonly release?: number; readonly due?: number }, length = 0): number {
    this.activities.push({ least: length, most: length, rule: NO_RULE, ...bounds });
    return this.activities.length - 1;
  }

  lag(from: Point, to: Point, weight = 0): void {
    this.lags.push({ from, to, weight, rule: NO_RULE });
  }

  /** Lets an activity that stood still come later. */
  release(activity: number, notBefore: number): void {
    const old = this.activities[activity];
    if (!old) return;
    const { due: _, ...rest } = old;
    this.activities[activity] = { ...rest, release: Math.max(old.release ?? notBefore, notBefore) };
  }
}

const NO_RULE = -1;

function standingOf(extraction: Extraction, progress: Progress, base: EpochMs): Standing {
  const now = Math.ceil(secondsBetween(base, progress.now));
  const fixed = new Map<Point, number>();
  const soonest = new Map<number, number>();
  extraction.steps.forEach((step, activity) => {
    const each = progress.steps[step.id];
    if (!each || each.kind === 'open') return;
    const start = Math.floor(secondsBetween(base, each.start));
    fixed.set(startOf(activity), start);
    if (each.kind === 'ended') fixed.set(endOf(activity), Math.floor(secondsBetween(base, each.end)));
    else if (step.length.kind !== 'rest')
      fixed.set(endOf(activity), Math.max(now, Math.ceil(secondsBetween(base, each.likely))));
    else soonest.set(activity, Math.max(now, Math.ceil(secondsBetween(base, each.soonest))));
  });
  const kind = (activity: number): 'ended' | 'going' | 'open' => {
    const step = extraction.steps[activity];
    return (step && progress.steps[step.id]?.kind) ?? 'open';
  };
  return { fixed, soonest, now, kind };
}

/** An activity as far as it has come. A rest that is under way may end as soon as it has been long enough. */
function frozen(activity: Activity, index: number, { fixed, soonest, now }: Standing): Activity {
  const start = fixed.get(startOf(index));
  if (start === undefined) return activity;
  const { rule } = activity;
  const end = fixed.get(endOf(index));
  if (end !== undefined) return { least: end - start, most: end - start, release: start, due: end, rule };
  return { least: (soonest.get(index) ?? now) - start, most: Infinity, release: start, rule };
}

/** What is taken from now on. Where more is taken already than there is, what is too much is not counted: it cannot be helped. */
function claimsSoFar(claims: readonly Claim[], capacity: number, { fixed, now }: Standing): Claim[] {
  const kept: Claim[] = [];
  let taken = 0;
  for (const claim of claims) {
    const [from, to] = [fixed.get(claim.from), fixed.get(claim.to)];
    if (to !== undefined && to <= now) continue;
    if (from !== undefined) {
      if (taken + claim.amount > capacity) continue;
      taken += claim.amount;
    }
    kept.push(claim);
  }
  return kept;
}

/** By how much windows are stretched, each second by the share of the window that it is. */
function stretchedLevel({ problem }: Extraction, windows: readonly Stretched[]): Level {
  const terms = windows.flatMap(({ rule, limit, stretched }) => {
    const weight = Math.max(1, costOfWaiting(-(problem.lags.find((lag) => lag.rule === rule)?.weight ?? 0)));
    return [
      { point: stretched, weight },
      { point: limit, weight: -weight },
    ];
  });
  return { name: 'stretched', terms };
}

const servedLevel = (served: readonly number[]): Level => ({
  name: 'service',
  terms: served.map((activity) => ({ point: startOf(activity), weight: 1 })),
});

/** How far steps that are still open move from where they were told to start, or from now where that has passed. */
function movedLevel(
  extraction: Extraction,
  { told }: Progress,
  base: EpochMs,
  { now, kind }: Standing,
  adding: Adding,
): Level {
  const starts = new Map(
    told.steps.map(({ step, start }) => [step, Math.floor(secondsBetween(base, start))]),
  );
  const terms = extraction.steps.flatMap((step, activity) => {
    const planned = starts.get(step.id);
    if (planned === undefined || kind(activity) !== 'open') return [];
    const told = Math.max(planned, now);
    const [later, sooner] = [startOf(adding.add({ release: told })), startOf(adding.add({ due: told }))];
    adding.lag(startOf(activity), later);
    adding.lag(sooner, startOf(activity));
    return [
      { point: later, weight: 1 },
      { point: sooner, weight: -1 },
    ];
  });
  return { name: 'moved', terms };
}

/** A level of the ladder, for what is still open. Work has begun: when it begins is no aim any more. */
function levelSoFar(level: Level, { kind }: Standing): Level[] {
  if (level.name === 'late') return [];
  const { overlaps, ...rest } = level;
  const open = overlaps?.filter(({ activity }: { readonly activity: number }) => kind(activity) === 'open');
  return [{ ...rest, ...(open && { overlaps: open }) }];
}
