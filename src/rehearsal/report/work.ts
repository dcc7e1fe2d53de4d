import type { RunSetup } from '../../bench/index.ts';
import { replan } from '../../planner/index.ts';
import { seconds, type EpochMs, type Seconds } from '../../units/index.ts';
import { chance } from '../chance.ts';
import {
  courseOf,
  createPlayedRun,
  play,
  playReal,
  type Course,
  type CourseOptions,
  type PlayedRun,
} from '../fast/index.ts';
import { beginOf, changed, type Change } from './changes.ts';
import { frameOf, type Frame } from './frame.ts';
import { count, spread, type Spread } from './spread.ts';
import {
  blame,
  blamer,
  isOnTime,
  readiness,
  take,
  tally,
  wentWell,
  type Blame,
  type Tally,
} from './tally.ts';

/** A part of a study, for a thread: plain data. Seeds count up from `from`. */
export type Job =
  /** How late things get: what later jobs are to ask about. */
  | { readonly kind: 'gauge'; readonly from: number; readonly runs: number }
  /** Rehearsals without new timetables; those ready `askFrom` seconds after service or later are asked why. */
  | { readonly kind: 'play'; readonly from: number; readonly runs: number; readonly askFrom: number }
  /** One rehearsal on the real bench, with new timetables. */
  | { readonly kind: 'bench'; readonly seed: number }
  /** The same rehearsals without and with a change. */
  | { readonly kind: 'compare'; readonly change: Change; readonly from: number; readonly runs: number }
  /** How many are ready by service where all comes so much earlier. */
  | { readonly kind: 'shift'; readonly earlier: Seconds; readonly from: number; readonly runs: number };

/** Rehearsals by what they are: those in which no new timetable was wanted, and the others, as they went without one. */
export const CLASSES = ['plain', 'wanting, on time', 'wanting, late'] as const;

export type Done =
  | { readonly kind: 'gauged'; readonly ready: Spread; readonly late: number; readonly runs: number }
  | {
      readonly kind: 'played';
      /** One for each of {@link CLASSES}. */
      readonly classes: readonly Tally[];
      readonly blame: Blame;
      /** Of the classes that want a new timetable: the seeds that chance puts first. */
      readonly drawn: readonly Drawn[];
    }
  | { readonly kind: 'benched'; readonly tally: Tally }
  | { readonly kind: 'compared'; readonly outcome: Compared | undefined }
  | { readonly kind: 'shifted'; readonly inTime: number; readonly runs: number };

/** A seed whose rehearsal wants a new timetable, and a number by which chance puts such seeds in order. */
export interface Drawn {
  readonly seed: number;
  readonly of: 1 | 2;
  readonly order: number;
}

/** What a change did to the same rehearsals. */
export interface Compared {
  readonly runs: number;
  readonly onTime: Paired;
  readonly well: Paired;
  /** How much sooner they were ready in the mean, s. */
  readonly sooner: number;
  /** When work begins with it. */
  readonly begin: EpochMs;
}

/** How many rehearsals had something without a change, and how many only with it or only without it. */
export interface Paired {
  readonly without: number;
  readonly gained: number;
  readonly lost: number;
}

/** No job hands on more seeds than this of each class. */
export const MOST_DRAWN = 500;

/** What does the jobs of one study; it keeps what they have in common. */
export function worker(setup: RunSetup, options: CourseOptions = {}): (job: Job) => Done {
  const course = courseOf(setup, options);
  const frame = frameOf(course);
  const room = createPlayedRun(course);
  let base: { readonly from: number; readonly outcomes: readonly Outcome[] } | undefined;
  return (job) => {
    switch (job.kind) {
      case 'gauge':
        return gauge(course, frame, room, job);
      case 'play':
        return playSome(course, frame, room, job);
      case 'bench':
        return playOnBench(course, frame, room, job.seed);
      case 'compare': {
        const { from, runs, change } = job;
        if (base?.from !== from || base.outcomes.length !== runs)
          base = { from, outcomes: outcomesOf(course, frame, from, runs) };
        return { kind: 'compared', outcome: compare(setup, options, base.outcomes, change, from) };
      }
      case 'shift': {
        const shifted = changed(setup, { kind: 'all earlier', by: job.earlier });
        const { from, runs } = job;
        const outcomes = shifted ? outcomesOf(courseOf(shifted, options), undefined, from, runs) : [];
        return { kind: 'shifted', inTime: outcomes.filter(({ ready }) => ready <= 0).length, runs };
      }
    }
  };
}

function gauge(
  course: Course,
  frame: Frame,
  room: PlayedRun,
  { from, runs }: Extract<Job, { kind: 'gauge' }>,
): Done {
  const ready = spread(1);
  let late = 0;
  for (let seed = from; seed < from + runs; seed += 1) {
    play(course, seed, room);
    count(ready, readiness(frame, room));
    if (!isOnTime(room)) late += 1;
  }
  return { kind: 'gauged', ready, late, runs };
}

function playSome(
  course: Course,
  frame: Frame,
  room: PlayedRun,
  { from, runs, askFrom }: Extract<Job, { kind: 'play' }>,
): Done {
  const classes = CLASSES.map(() => tally(frame, course.windows.length));
  const found = blame(frame);
  const ask = blamer(frame, askFrom);
  let drawn: Drawn[] = [];
  for (let seed = from; seed < from + runs; seed += 1) {
    play(course, seed, room);
    const of = room.leaves === 'played' ? 0 : isOnTime(room) ? 1 : 2;
    const own = classes[of];
    if (own) take(own, frame, room);
    ask(found, room);
    if (of > 0) drawn.push({ seed, of: of === 1 ? 1 : 2, order: chance(seed, 'looked at on the bench') });
    if (drawn.length > 8 * MOST_DRAWN) drawn = firstOf(drawn);
  }
  return { kind: 'played', classes, blame: found, drawn: firstOf(drawn) };
}

/** Of each class those that chance puts first: a random sample, whatever order they come in. */
export function firstOf(drawn: readonly Drawn[]): Drawn[] {
  const sorted = drawn.toSorted((a, b) => a.order - b.order || a.seed - b.seed);
  return ([1, 2] as const).flatMap((of) => sorted.filter((each) => each.of === of).slice(0, MOST_DRAWN));
}

function playOnBench(course: Course, frame: Frame, room: PlayedRun, seed: number): Done {
  playReal(course, seed, room, { replan });
  const own = tally(frame, course.windows.length);
  take(own, frame, room);
  return { kind: 'benched', tally: own };
}

interface Outcome {
  readonly onTime: boolean;
  readonly well: boolean;
  readonly ready: number;
}

function outcomesOf(course: Course, known: Frame | undefined, from: number, runs: number): Outcome[] {
  const frame = known ?? frameOf(course);
  const room = createPlayedRun(course);
  return Array.from({ length: runs }, (_, index) => {
    play(course, from + index, room);
    return { onTime: isOnTime(room), well: wentWell(room), ready: readiness(frame, room) };
  });
}

function compare(
  setup: RunSetup,
  options: CourseOptions,
  base: readonly Outcome[],
  change: Change,
  from: number,
): Compared | undefined {
  const other = changed(setup, change);
  if (!other) return undefined;
  const outcomes = outcomesOf(courseOf(other, options), undefined, from, base.length);
  const paired = (has: (outcome: Outcome) => boolean): Paired => {
    const both = base.map((one, index) => [has(one), has(outcomes[index] ?? one)] as const);
    return {
      without: both.filter(([before]) => before).length,
      gained: both.filter(([before, after]) => !before && after).length,
      lost: both.filter(([before, after]) => before && !after).length,
    };
  };
  const sooner = base.flatMap(({ ready }, index) => {
    const less = ready - (outcomes[index]?.ready ?? NaN);
    return Number.isFinite(less) ? [less] : [];
  });
  return {
    runs: base.length,
    onTime: paired(({ onTime }) => onTime),
    well: paired(({ well }) => well),
    sooner: seconds(sooner.reduce((sum, less) => sum + less, 0) / Math.max(1, sooner.length)),
    begin: beginOf(other.timetable),
  };
}
