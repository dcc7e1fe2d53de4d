import { expectedAnew, watchAt } from '../../bench/index.ts';
import type { StepId } from '../../plan/index.ts';
import type { AirStep, Showing } from '../../planner/index.ts';
import { earlier, later, plus, type EpochMs, type Seconds } from '../../units/index.ts';
import { madeLater, type Show } from './show.ts';

/** What is known at a moment on air, in one showing. */
export interface Known {
  readonly now: EpochMs;
  readonly showing: number;
  /** A step that has begun by now, or that follows no showing but those that are over; the showing that is going has no end yet. */
  readonly played: (place: number) => { readonly start: EpochMs; readonly end: EpochMs };
  /** How long a showing is meant to last. */
  readonly meant: (showing: Showing) => Seconds;
}

/** What the bench expects at a moment, from what has begun and usual lengths: the same as it would say itself. */
export class Foresight {
  readonly #show: Show;
  readonly #known: Known;
  readonly #expected = new Map<number, EpochMs>();

  constructor(show: Show, known: Known) {
    this.#show = show;
    this.#known = known;
  }

  /** When what the showings to come wait for is expected to be over, where some of that has begun. */
  ready(): Readonly<Record<StepId, EpochMs>> {
    const { rundown } = this.#show;
    const unready = new Set(this.#unready());
    const waiting = rundown.showings.filter(
      ({ after, from }, index) =>
        index > this.#known.showing &&
        after.some(
          (each) =>
            this.#hasBegun(each) ||
            unready.has(each) ||
            (from.kind === 'live' && from.steps.some((step) => this.#hasBegun(step))),
        ),
    );
    return Object.fromEntries(
      waiting.map(({ step, after }) => [
        step,
        after.map((each) => this.#available(each)).reduce(later, rundown.begins),
      ]),
    );
  }

  /** Until when each swap is right that has been made by now, by what takes it. */
  windows(): Readonly<Record<StepId, EpochMs>> {
    const found: Record<StepId, EpochMs> = {};
    for (const [index, swap] of this.#show.rundown.swaps.entries()) {
      if (swap.useBy === undefined) continue;
      const isOver = (place: number): EpochMs | undefined => {
        const { end } = this.#known.played(place);
        return this.#isKnown(place) && end <= this.#known.now ? end : undefined;
      };
      const by = plus(swap.useBy, madeLater(this.#show, index, isOver) ?? 0);
      found[swap.for] = earlier(by, found[swap.for] ?? by);
    }
    return found;
  }

  /** Whether nothing that is still to come decides when it begins. */
  #isKnown(place: number): boolean {
    const { air, comesAfter } = this.#show;
    const showing = air[place]?.showing;
    return showing === undefined
      ? (comesAfter[place] ?? -1) < this.#known.showing
      : showing <= this.#known.showing;
  }

  #hasBegun(step: StepId): boolean {
    const place = this.#show.placeOf.get(step);
    // What is not on air was over before.
    return (
      place === undefined || (this.#isKnown(place) && this.#known.played(place).start <= this.#known.now)
    );
  }

  /** The last step of the work ahead for each swap that is not ready; what only rests was ready before. */
  #unready(): StepId[] {
    return this.#show.taken.flatMap(({ last }) => {
      const step = last === undefined ? undefined : this.#show.air[last]?.step;
      if (last === undefined || !step) return [];
      const begun = this.#hasBegun(step.id);
      const isOver = begun && this.#known.played(last).end <= this.#known.now;
      return isOver || (begun && step.length.kind === 'rest') ? [] : [step.id];
    });
  }

  /** When what a step makes can be had. */
  #available(id: StepId): EpochMs {
    const place = this.#show.placeOf.get(id);
    const air = place === undefined ? undefined : this.#show.air[place];
    if (place === undefined || !air) return this.#show.rundown.begins;
    const { length } = air.step;
    if (length.kind !== 'rest') return this.#end(place);
    const start = this.#hasBegun(id) ? this.#known.played(place).start : this.#start(air);
    return plus(start, length.atLeast);
  }

  #end(place: number): EpochMs {
    const known = this.#expected.get(place);
    if (known !== undefined) return known;
    const air = this.#show.air[place];
    if (!air) throw new Error(`nothing has the place ${place} on air`);
    const found = this.#hasBegun(air.step.id) ? this.#endOfBegun(place, air) : this.#endOfWaiting(air);
    this.#expected.set(place, found);
    return found;
  }

  #endOfBegun(place: number, { step, showing }: AirStep): EpochMs {
    const { now } = this.#known;
    const { start, end } = this.#known.played(place);
    const isGoing = showing === this.#known.showing;
    if (!isGoing && end <= now) return end;
    const watch = watchAt(now);
    if (step.length.kind === 'rest') {
      const told = later(plus(start, step.length.atLeast), this.#told(step.id));
      return told <= now ? expectedAnew(told, watch) : told;
    }
    const { usual, high } = step.length.range;
    const usualEnd = plus(start, this.#lasts(showing) ?? usual);
    if (now < usualEnd) return usualEnd;
    const highEnd = later(plus(start, high), usualEnd);
    return highEnd <= now ? expectedAnew(highEnd, watch) : earlier(expectedAnew(usualEnd, watch), highEnd);
  }

  #endOfWaiting(air: AirStep): EpochMs {
    const { step, showing } = air;
    const start = this.#start(air);
    if (step.length.kind === 'rest') return later(plus(start, step.length.atLeast), this.#told(step.id));
    return plus(start, this.#lasts(showing) ?? step.length.range.usual);
  }

  #start({ follows, notBefore }: AirStep): EpochMs {
    const due = follows.reduce(
      (at, { index, lag, isNeed }) => (isNeed ? later(at, plus(this.#end(index), lag)) : at),
      plus(this.#show.rundown.begins, notBefore),
    );
    return due <= this.#known.now ? expectedAnew(due, watchAt(this.#known.now)) : due;
  }

  #lasts(showing: number | undefined): Seconds | undefined {
    const found = showing === undefined ? undefined : this.#show.rundown.showings[showing];
    return found && this.#known.meant(found);
  }

  #told(step: StepId): EpochMs {
    const { timetable, begins } = this.#show.rundown;
    return timetable.steps.find((each) => each.step === step)?.end ?? begins;
  }
}
