import type { StepId, Workload } from '../plan/index.ts';
import { epochMs, plus, secondsBetween, type EpochMs } from '../units/index.ts';
import type { Progress } from './progress.ts';
import { ANSWER, decidePromise, type Decision } from './promise-decision.ts';
import type { PromiseNetwork } from './promise-network.ts';
import { Executor, type Execution } from './stnu/index.ts';
import type { OvenSetting, Timetable } from './timetable.ts';

/** What the cook decides or sees on the way: a step is called and begins, or is over; a knob is turned; an oven is right. */
export type PromisePoint =
  | { readonly kind: 'start' | 'end'; readonly step: StepId }
  | { readonly kind: 'turned' | 'right'; readonly setting: OvenSetting };

/** Something that came, and when. */
export interface Came {
  readonly point: PromisePoint;
  readonly at: EpochMs;
}

/** How far a promise has been kept. Never changed: what comes makes a new one. */
export interface Kept {
  readonly execution: Execution;
}

/** When something that is called may come. */
export type Leash =
  /** Not before others. */
  | { readonly kind: 'waits' }
  | { readonly kind: 'open'; readonly notBefore: EpochMs; readonly notAfter: EpochMs | undefined };

/**
 * How the promise of a timetable is kept: what is called no earlier than `notBefore` and no later than `notAfter`, and answered in time,
 * keeps every window whatever nature does within the ranges. Seconds count as those of the answer: what comes a little after its
 * last moment came at it.
 */
export class PromiseDispatch {
  private readonly drawn: PromiseNetwork;
  private readonly executor: Executor;

  constructor(drawn: PromiseNetwork, executor: Executor) {
    this.drawn = drawn;
    this.executor = executor;
  }

  /** The settings that it waits for, those that have been turned already among them. */
  get settings(): readonly OvenSetting[] {
    return this.drawn.knobs.map(({ setting }) => setting);
  }

  /** Whether it speaks of something: not of what had come before it was made. */
  knows(point: PromisePoint): boolean {
    return this.indexOf(point) !== undefined;
  }

  begin(): Kept {
    return { execution: this.executor.begin() };
  }

  /** What came; nothing once it came out of its bounds, so that the promise is off. */
  observe({ execution }: Kept, { point, at }: Came): Kept | undefined {
    const index = this.indexOf(point);
    if (index === undefined) return { execution };
    const time = secondsBetween(this.drawn.begin, at);
    const standing = this.executor.standing(execution, index);
    switch (standing.kind) {
      case 'done':
        return { execution };
      case 'blocked':
        return undefined;
      case 'nature': {
        // Of a load that is in, it is only known that the oven was right when it was called; whoever goes in waits for the oven itself.
        const seen =
          point.kind === 'right'
            ? Math.max(standing.earliest, Math.min(time - ANSWER, standing.latest))
            : time;
        const isWithin = seen >= standing.earliest - SLACK && seen <= standing.latest + SLACK;
        return isWithin ? { execution: this.executor.observe(execution, index, seen) } : undefined;
      }
      case 'open': {
        const isIn = time >= standing.notBefore - SLACK && time <= standing.notAfter + ANSWER + SLACK;
        const called = Math.min(time, standing.notAfter);
        return isIn ? { execution: this.executor.observe(execution, index, called) } : undefined;
      }
    }
  }

  /** When something that has not come may come; nothing where the promise does not speak of it. What only waits for an oven is open. */
  leashOf({ execution }: Kept, point: PromisePoint): Leash | undefined {
    const index = this.indexOf(point);
    if (index === undefined) return undefined;
    const standing = this.executor.standing(execution, index);
    if (standing.kind === 'blocked')
      return standing.by.every((other) => this.isOven(other)) ? undefined : { kind: 'waits' };
    if (standing.kind !== 'open') return undefined;
    const { notBefore, notAfter } = standing;
    return {
      kind: 'open',
      notBefore: this.moment(notBefore),
      notAfter: notAfter === Infinity ? undefined : this.moment(notAfter),
    };
  }

  /** The last moment at which something that nature decides is over, if it has begun. */
  latestOf({ execution }: Kept, point: PromisePoint): EpochMs | undefined {
    const standing = this.executor.standing(execution, this.indexOf(point) ?? 0);
    return standing.kind === 'nature' ? this.moment(standing.latest + SLACK) : undefined;
  }

  private moment(time: number): EpochMs {
    return epochMs(this.drawn.begin + Math.round(time * 1000));
  }

  private isOven(index: number): boolean {
    return this.drawn.knobs.some(({ right }) => right === index);
  }

  private indexOf(point: PromisePoint): number | undefined {
    switch (point.kind) {
      case 'start':
        return this.drawn.starts.get(point.step);
      case 'end':
        return this.drawn.ends.get(point.step);
      case 'turned':
      case 'right':
        return this.drawn.knobs.find(({ setting }) => setting === point.setting)?.[point.kind];
    }
  }
}

/** Moments are rounded to seconds on the way. */
const SLACK = 1;

/** How a timetable's promise is kept, if work begins at `begin`; nothing where it does not hold. */
export function promiseDispatch(
  workload: Workload,
  timetable: Timetable,
  begin: EpochMs,
): PromiseDispatch | undefined {
  return dispatchOf(decidePromise(workload, timetable, begin));
}

/**
 * How what is left of a run can be promised: what has come by now stands still, and what is under way ends within what is left of its
 * range. Nothing where that does not hold, or where something has outrun its range and is not over.
 */
export function promiseOnTheWay(
  workload: Workload,
  timetable: Timetable,
  progress: Progress,
): PromiseDispatch | undefined {
  const isOutrun = workload.components.some(({ steps }) =>
    steps.some(({ id, length }) => {
      const standing = progress.steps[id];
      if (standing?.kind !== 'going' || length.kind === 'rest') return false;
      return progress.now > plus(standing.start, length.range.high + ANSWER);
    }),
  );
  return isOutrun ? undefined : dispatchOf(decidePromise(workload, timetable, progress.now, progress));
}

const dispatchOf = (decision: Decision): PromiseDispatch | undefined =>
  decision.kind === 'holds'
    ? new PromiseDispatch(decision.drawn, new Executor(decision.dispatch))
    : undefined;
