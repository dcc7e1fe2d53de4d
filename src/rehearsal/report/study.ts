import type { RunSetup } from '../../bench/index.ts';
import type { Step } from '../../plan/index.ts';
import { minutes, type Seconds } from '../../units/index.ts';
import { courseOf, type Course, type CourseOptions } from '../fast/index.ts';
import { candidates, type Candidate } from './candidates.ts';
import type { Change } from './changes.ts';
import { frameOf, type Frame } from './frame.ts';
import type { Report } from './report.ts';
import { bestOf, blameOf, clashesOf, latestShifts, reportOf, troubleOf } from './summary.ts';
import { quantile } from './spread.ts';
import { addBlame, addTally, blame, ON_TIME, tally, type Blame, type Tally } from './tally.ts';
import { CLASSES, firstOf, MOST_DRAWN, type Compared, type Done, type Drawn, type Job } from './work.ts';

export interface StudyOptions extends CourseOptions {
  /** At least 1. */
  readonly runs: number;
  /** Rehearsals have the seeds from this one on. */
  readonly seed: number;
}

/** Some jobs to be done at once. Whoever has them done gives what came of each to `take`, in the order of the jobs. */
export interface Batch {
  /** For people, while they wait: `rehearsing`. */
  readonly what: string;
  readonly jobs: readonly Job[];
  readonly take: (done: Done) => void;
}

/** How a batch ended: `stopped` where not all of it was done, because nobody wants to wait any longer. */
export type Ended = 'done' | 'stopped';

/** A change, and what it did to the same rehearsals. */
export interface Tried {
  readonly words: string;
  readonly change: Change;
  readonly outcome: Compared;
}

/** What a study has found so far. */
export interface Findings {
  readonly course: Course;
  readonly frame: Frame;
  readonly options: StudyOptions;
  readonly classes: readonly Tally[];
  readonly blame: Blame;
  askedFrom: number;
  drawn: Drawn[];
  /** By class, as {@link CLASSES}: what came of those that were played on the real bench. */
  readonly onBench: readonly Tally[];
  readonly shifts: { readonly percent: number; readonly earlier: Seconds; inTime: number; runs: number }[];
  readonly minuteLess: Map<number, Compared>;
  readonly changes: Tried[];
  /** Of these the one that helps most, as it went with seeds with which nothing was chosen. */
  best?: Tried;
  stopped: boolean;
}

/** Rehearsals in one job: a fraction of a second of work. */
const CHUNK = 250;
/** Rehearsals from which it is told how late things get. */
const GAUGED = 200;
/** On how many rehearsals a change is measured, and a latest beginning is held to the proof. */
const COMPARED = 500;
/** Steps of which it is measured what a minute less would buy. */
const MINUTES = 6;

/**
 * Plays a timetable many times and finds out what there is to know, as a course of batches: they can be done one after the
 * other or in threads, and what comes of them does not depend on it. Where a batch is stopped the report is of what there is.
 */
export function* study(setup: RunSetup, options: StudyOptions): Generator<Batch, Report, Ended> {
  const course = courseOf(setup, options);
  const frame = frameOf(course);
  const empty = (): Tally => tally(frame, course.windows.length);
  const found: Findings = {
    course,
    frame,
    options,
    classes: CLASSES.map(empty),
    blame: blame(frame),
    askedFrom: ON_TIME,
    drawn: [],
    onBench: CLASSES.map(empty),
    shifts: [],
    minuteLess: new Map(),
    changes: [],
    stopped: false,
  };
  for (const stage of [gauge, rehearse, playOnBench, holdStarts, tryMinutes, tryChanges, holdBest]) {
    const batch = stage(found);
    if (batch.jobs.length === 0) continue;
    if ((yield batch) === 'stopped') {
      found.stopped = true;
      break;
    }
  }
  return reportOf(found);
}

/** A few rehearsals first tell from when on one counts as late: from the latest tenth where hardly any is. */
function gauge(found: Findings): Batch {
  const { options } = found;
  const runs = Math.min(GAUGED, options.runs);
  return {
    what: 'beginning',
    jobs: [{ kind: 'gauge', from: options.seed, runs }],
    take(done) {
      if (done.kind !== 'gauged') return;
      const tenth = quantile([{ spread: done.ready, weight: 1 }], 0.9);
      if (done.late < 0.05 * done.runs && Number.isFinite(tenth)) found.askedFrom = tenth;
    },
  };
}

function rehearse(found: Findings): Batch {
  const { seed, runs } = found.options;
  const jobs = Array.from({ length: Math.ceil(runs / CHUNK) }, (_, index): Job => {
    const from = seed + index * CHUNK;
    return { kind: 'play', from, runs: Math.min(CHUNK, seed + runs - from), askFrom: found.askedFrom };
  });
  return {
    what: `rehearsing ${runs} times`,
    jobs,
    take(done) {
      if (done.kind !== 'played') return;
      for (const [index, own] of found.classes.entries())
        if (done.classes[index]) addTally(own, done.classes[index]);
      addBlame(found.blame, done.blame);
      found.drawn = firstOf([...found.drawn, ...done.drawn]);
    },
  };
}

/**
 * How many of those that want a new timetable are played on the real bench: a twentieth of all runs, from 12 to 50. Each takes as
 * long as a hundred others; so of very many only as many more as that more rehearsals still make the figures surer.
 */
export const benchedOf = (runs: number): number =>
  Math.min(MOST_DRAWN, Math.max(12, Math.min(50, Math.ceil(runs / 20)), Math.ceil(Math.sqrt(runs) / 2)));

/** A sample of those that want a new timetable, drawn by lot, is played again on the real bench, where there is one. */
function playOnBench(found: Findings): Batch {
  const most = benchedOf(found.options.runs);
  const sizes = [1, 2].map((of) => found.classes[of]?.runs ?? 0);
  const all = sizes.reduce((sum, size) => sum + size, 0);
  const chosen = [1, 2].flatMap((of, index) => {
    // Each class in proportion, but never by fewer than a third, so that a rare one is not left out.
    const part = Math.max(Math.ceil(most / 3), Math.round((most * (sizes[index] ?? 0)) / Math.max(1, all)));
    return found.drawn.filter((each) => each.of === of).slice(0, Math.min(part, most));
  });
  // By lot among each other too, so that each is known of where it is stopped half-way.
  chosen.sort((a, b) => a.order - b.order);
  let next = 0;
  return {
    what: 'with new timetables on the way',
    jobs: chosen.map(({ seed }) => ({ kind: 'bench', seed })),
    take(done) {
      const into = found.onBench[chosen[next]?.of ?? 0];
      next += 1;
      if (done.kind === 'benched' && into) addTally(into, done.tally);
    },
  };
}

/** Each latest beginning is held to the proof with seeds that it was not found with. */
function holdStarts(found: Findings): Batch {
  const { seed, runs } = found.options;
  const shifts = latestShifts(found);
  const each = Math.min(COMPARED, runs);
  let next = 0;
  return {
    what: 'trying the latest beginnings',
    jobs: shifts.map(({ earlier }) => ({ kind: 'shift', earlier, from: seed + runs, runs: each })),
    take(done) {
      const shift = shifts[next];
      next += 1;
      if (done.kind === 'shifted' && shift)
        found.shifts.push({ ...shift, inTime: done.inTime, runs: done.runs });
    },
  };
}

function tryMinutes(found: Findings): Batch {
  const { course, options } = found;
  const steps = blameOf(found)
    .filter(({ onPath }) => onPath > 0)
    .flatMap(({ place }) => {
      const step = course.steps[place];
      return step && leastOf(step) >= 60 ? [{ place, step }] : [];
    })
    .slice(0, MINUTES);
  let next = 0;
  return {
    what: 'taking a minute off each step',
    jobs: steps.map(({ step }) => ({
      kind: 'compare',
      change: {
        kind: 'easier',
        easing: { kind: 'shorter', step: step.id, by: minutes(1) },
        timetable: 'as told',
      },
      from: options.seed,
      runs: Math.min(COMPARED, options.runs),
    })),
    take(done) {
      const place = steps[next]?.place;
      next += 1;
      if (done.kind === 'compared' && done.outcome && place !== undefined)
        found.minuteLess.set(place, done.outcome);
    },
  };
}

const leastOf = ({ length }: Step): number => (length.kind === 'rest' ? length.atLeast : length.range.low);

function tryChanges(found: Findings): Batch {
  const { course, options, classes } = found;
  const isFlawless = classes.every(({ runs, well }) => runs === well);
  const tried: readonly Candidate[] = isFlawless
    ? []
    : candidates(course.setup, troubleOf(found, clashesOf(found)));
  let next = 0;
  return {
    what: 'trying changes',
    jobs: tried.map(({ change }) => ({
      kind: 'compare',
      change,
      from: options.seed,
      runs: Math.min(COMPARED, options.runs),
    })),
    take(done) {
      const one = tried[next];
      next += 1;
      if (done.kind === 'compared' && done.outcome && one)
        found.changes.push({ ...one, outcome: done.outcome });
    },
  };
}

/**
 * Of many changes the one that looks best has often been lucky as well, and all were chosen by trouble that these seeds
 * have. So what is told of it is measured once more, with seeds that had no say in it.
 */
function holdBest(found: Findings): Batch {
  const { seed, runs } = found.options;
  const best = bestOf(found);
  return {
    what: 'trying once more what helps most',
    jobs: best
      ? [{ kind: 'compare', change: best.change, from: seed + runs, runs: Math.min(COMPARED, runs) }]
      : [],
    take(done) {
      if (done.kind === 'compared' && done.outcome && best) found.best = { ...best, outcome: done.outcome };
    },
  };
}

/** The whole study in this very thread. */
export function studied(setup: RunSetup, options: StudyOptions, work: (job: Job) => Done): Report {
  const course = study(setup, options);
  let step = course.next();
  while (!step.done) {
    for (const job of step.value.jobs) step.value.take(work(job));
    step = course.next('done');
  }
  return step.value;
}
