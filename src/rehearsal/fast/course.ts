import type { RunSetup } from '../../bench/index.ts';
import type { Step } from '../../plan/index.ts';
import { LIFELIKE, type Life } from '../life.ts';
import { withOwnProbes } from './own-probes.ts';
import { windowsIn, type Window } from './windows.ts';

export interface CourseOptions {
  /** What days are like; by default {@link LIFELIKE}. `plain`: each draw stands for itself, and nothing is forgotten. */
  readonly life?: Life | 'plain';
}

/**
 * A plan with its timetable, made ready for many rehearsals. What it is made of (`setup` and `options`) is plain data and can
 * be sent to a thread, which makes its own course of it.
 */
export interface Course {
  readonly setup: RunSetup;
  /** The run as it is played: where components share a probe each has its own. */
  readonly played: RunSetup;
  readonly life: Life | undefined;
  /** Every step, in the order of the workload: the indexes of all arrays by step. */
  readonly steps: readonly Step[];
  /** When each step was told to start and to end, ms since the run's beginning. */
  readonly planned: Float64Array;
  readonly plannedEnds: Float64Array;
  /** Each moment of service, in order, ms since the run's beginning. Plans that are served together have one. */
  readonly services: readonly number[];
  readonly windows: readonly Window[];
}

/** Makes a plan and its timetable ready for many rehearsals. */
export function courseOf(setup: RunSetup, options: CourseOptions = {}): Course {
  const { workload, timetable, begunAt } = setup;
  const steps = workload.components.flatMap((component) => component.steps);
  const told = new Map(timetable.steps.map((step) => [step.step, step]));
  const since = (moment: number | undefined): number => (moment ?? NaN) - begunAt;
  const { life = LIFELIKE } = options;
  return {
    setup,
    played: { ...setup, workload: withOwnProbes(workload) },
    life: life === 'plain' ? undefined : life,
    steps,
    planned: Float64Array.from(steps, ({ id }) => since(told.get(id)?.start)),
    plannedEnds: Float64Array.from(steps, ({ id }) => since(told.get(id)?.end)),
    services: [...new Set(timetable.service)].toSorted((a, b) => a - b).map(since),
    windows: windowsIn(setup),
  };
}

/** Everything that a rehearsal can break, in the order of {@link PlayedRun.broken}. */
export const windowsOf = ({ windows }: Course): readonly Window[] => windows;

/**
 * How one rehearsal went. Made once and written anew by each: copy what is to be kept. Times are ms since the run's
 * beginning; NaN is never.
 */
export interface PlayedRun {
  seed: number;
  /** When each step started and ended. */
  readonly starts: Float64Array;
  readonly ends: Float64Array;
  /** How long nature took for each step, in seconds: until it was done, or a rest had had enough, before anybody noticed. */
  readonly drawn: Float64Array;
  /** When each service went out. */
  readonly servedAt: Float64Array;
  /** How much after its time the latest service went out, in seconds; 0 when all were in time, Infinity where one never did. */
  late: number;
  /**
   * `needs bench`: a new timetable would have been wanted on the way (at `leftAt`), or something happens that only the bench
   * can play; then what came after it is how the run goes without one.
   */
  leaves: 'played' | 'needs bench';
  /** When a new timetable was first wanted. */
  leftAt: number;
  /** 1 for each window that was broken. */
  readonly broken: Uint8Array;
}

/** Room for one rehearsal's outcome. */
export function createPlayedRun({ steps, services, windows }: Course): PlayedRun {
  return {
    seed: 0,
    starts: new Float64Array(steps.length),
    ends: new Float64Array(steps.length),
    drawn: new Float64Array(steps.length),
    servedAt: new Float64Array(services.length),
    late: 0,
    leaves: 'played',
    leftAt: NaN,
    broken: new Uint8Array(windows.length),
  };
}
