import type { Step, StepId } from '../../plan/index.ts';
import { later, plus, seconds, secondsBetween, type EpochMs, type Seconds } from '../../units/index.ts';
import { lengthBounds } from '../drafting.ts';
import type { PlannedStep } from '../timetable.ts';
import type { Derived } from './derive.ts';

/** A step, when it was told to be, and how it goes when everything off view takes its longest. */
interface Slow {
  readonly step: Step;
  readonly planned: PlannedStep;
  readonly start: EpochMs;
  readonly end: EpochMs;
}

/**
 * How a derived workload goes when every step off view takes its longest: none begins before it was told to, nor before what it
 * follows is over; each rest is as long as it must be. Showings stand at their minute.
 */
export class SlowEvening {
  readonly #steps = new Map<StepId, { readonly step: Step; readonly before: Step | undefined }>();
  readonly #planned: ReadonlyMap<StepId, PlannedStep>;
  readonly #fixed: ReadonlySet<StepId>;
  readonly #slow = new Map<StepId, Slow>();

  constructor({ workload, showings, onAir, places }: Derived, planned: ReadonlyMap<StepId, PlannedStep>) {
    for (const { steps } of workload.components)
      steps.forEach((step, index) => this.#steps.set(step.id, { step, before: steps[index - 1] }));
    this.#planned = planned;
    this.#fixed = new Set([...showings, onAir, places]);
  }

  /** How long after the end of the step, gone slowly, a moment is. */
  slack(step: StepId, wanted: EpochMs): Seconds {
    return seconds(secondsBetween(this.#of(step).end, wanted));
  }

  /** The same for a step that is fetched on its way, as soon as it could be over. */
  slackInside(step: StepId, wanted: EpochMs): Seconds {
    const { start, step: own } = this.#of(step);
    const least = own.length.kind === 'rest' ? own.length.atLeast : own.length.range.low;
    return seconds(secondsBetween(plus(start, seconds(Math.ceil(least))), wanted));
  }

  isShown(step: StepId): boolean {
    return this.#fixed.has(step);
  }

  #of(id: StepId): Slow {
    const known = this.#slow.get(id);
    if (known) return known;
    const found = this.#steps.get(id);
    const planned = this.#planned.get(id);
    if (!found || !planned) throw new Error(`there is no step "${id}"`);
    const { step, before } = found;
    let { start } = planned;
    if (!this.#fixed.has(id)) {
      if (before) start = later(start, plus(this.#of(before.id).end, seconds(Math.ceil(step.after))));
      for (const needed of step.needs) start = later(start, this.#of(needed).end);
    }
    const longest =
      step.length.kind === 'rest' ? lengthBounds(step).least : Math.ceil(step.length.range.high);
    const end = this.#fixed.has(id) ? planned.end : plus(start, seconds(longest));
    const slow: Slow = { step, planned, start, end };
    this.#slow.set(id, slow);
    return slow;
  }
}
