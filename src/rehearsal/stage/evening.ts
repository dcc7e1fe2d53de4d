import { GRACE_S } from '../../bench/index.ts';
import type { StepId } from '../../plan/index.ts';
import { nextChange, type AirStep, type OnAir, type Showing, type StageChange } from '../../planner/index.ts';
import {
  earlier,
  later,
  plus,
  secondsBetween,
  seconds,
  type EpochMs,
  type Seconds,
} from '../../units/index.ts';
import { endsByHand } from '../cook.ts';
import { delay } from '../manner.ts';
import { natureOf, type Nature } from '../nature.ts';
import { Foresight, type Known } from './foresight.ts';
import { looksUp, shownFor, turnTo, type Presenter } from './presenter.ts';
import { rightness, type Show } from './show.ts';

/** One demonstration as it went. */
export interface Evening {
  /** How long after it went on air it ended. */
  readonly length: Seconds;
  readonly showings: readonly ShownAt[];
  /** What was cut and stretched on the way. */
  readonly changes: readonly StageChange[];
  /** Of each swap, whether it was taken in its window. */
  readonly swaps: readonly ('right' | 'early' | 'late')[];
  /** Steps that began later than they may after the one before. */
  readonly broken: readonly StepId[];
}

/** A showing as it was. */
export interface ShownAt {
  readonly start: EpochMs;
  readonly end: EpochMs;
  /** How much longer it was, with the turn to it, than it was meant to be when it began; negative where it was shorter. */
  readonly over: number;
  /** Silence before it, for something off view. */
  readonly waits: Seconds;
}

interface Played {
  readonly start: EpochMs;
  readonly end: EpochMs;
}

/**
 * Plays one demonstration, all of the work ahead being done as planned: what the real bench and its simulated presenter and
 * helper do from then on, with the same luck. Who `cuts` looks at the clock once in every showing and takes what is offered;
 * who does not goes on as planned.
 */
export function playEvening(show: Show, seed: number, presenter: Presenter, cuts: boolean): Evening {
  const evening = new Playing(show, seed, presenter, cuts);
  const showings = show.rundown.showings.map((_, index) => evening.show(index));
  const end = showings.at(-1)?.end ?? show.rundown.begins;
  const played = show.air.map((_, index) => evening.played(index));
  return {
    length: secondsBetween(show.rundown.begins, end),
    showings,
    changes: evening.changes,
    swaps: show.rundown.swaps.map((swap, index) => rightness(show, played, swap, index)),
    broken: show.limits.flatMap(({ step, index, after, within }) => {
      const [from, to] = [played[after]?.end, played[index]?.start];
      return from !== undefined && to !== undefined && secondsBetween(from, to) > within + GRACE_S
        ? [step]
        : [];
    }),
  };
}

/** A demonstration that is being played, showing by showing. */
class Playing {
  readonly changes: StageChange[] = [];
  readonly #show: Show;
  readonly #seed: number;
  readonly #presenter: Presenter;
  readonly #cuts: boolean;
  readonly #nature: Nature;
  readonly #played = new Map<number, Played>();
  readonly #lengths: Record<string, Seconds> = {};
  readonly #cutShort = new Set<number>();
  readonly #ended: Record<number, EpochMs> = {};

  constructor(show: Show, seed: number, presenter: Presenter, cuts: boolean) {
    this.#show = show;
    this.#seed = seed;
    this.#presenter = presenter;
    this.#cuts = cuts;
    this.#nature = natureOf(seed, presenter.life);
  }

  /** A step of the time on air; one that follows a showing is asked for once that has been shown. */
  played(index: number): Played {
    const known = this.#played.get(index);
    if (known) return known;
    const step = this.#show.air[index];
    if (!step) throw new Error(`nothing has the place ${index} on air`);
    const found = this.#offView(step);
    this.#played.set(index, found);
    return found;
  }

  /** What happens off view: as soon as it can be begun somebody is at it, after a moment. */
  #offView(air: AirStep): Played {
    const { step, starts } = air;
    const { begins } = this.#show.rundown;
    const wait = (about: string): Seconds =>
      delay({ seed: this.#seed, manner: this.#presenter.behind, life: this.#presenter.life }, about);
    const start = starts < 0 ? plus(begins, starts) : plus(this.#dueAt(air), wait(`start ${step.id}#1`));
    // A rest is over when it has been long enough: it ends when it is wanted.
    if (step.length.kind === 'rest') return { start, end: later(begins, plus(start, step.length.atLeast)) };
    const lasts = endsByHand(step)
      ? this.#nature.duration(step, 1) + wait(`end ${step.id} 1`)
      : step.length.range.usual;
    return { start, end: later(begins, plus(start, lasts)) };
  }

  #dueAt({ follows, notBefore }: AirStep): EpochMs {
    return follows.reduce(
      (due, { index, lag }) => later(due, plus(this.played(index).end, lag)),
      plus(this.#show.rundown.begins, notBefore),
    );
  }

  /** Plays a showing, the ones before it being over. */
  show(number: number): ShownAt {
    const { rundown, airOf, air } = this.#show;
    const [showing, place] = [rundown.showings[number], airOf[number]];
    const step = place === undefined ? undefined : air[place];
    if (!showing || place === undefined || !step) throw new Error(`there is no showing ${number}`);
    const before = this.#ended[number - 1];
    const since = before ?? rundown.begins;
    const turn = turnTo(this.#presenter, { showing, isFirst: number === 0 }, this.#seed);
    const possible = this.#possible(step, showing, since);
    const waits = seconds(Math.max(0, secondsBetween(since, possible)));
    // One press ends a showing and begins the next, where that can begin; else it is called.
    const isCalled =
      waits > 0 ||
      number === 0 ||
      rundown.showings[number - 1]?.ends === 'clock' ||
      this.#isJustMissed(step, number, since);
    const start = isCalled ? plus(possible, turn) : since;
    this.#played.set(place, { start, end: start });
    const end = this.#ends(showing, number, step, start, isCalled ? seconds(0) : turn);
    this.#played.set(place, { start, end });
    this.#ended[number] = end;
    const meant = this.#meant(showing);
    return { start, end, waits, over: secondsBetween(plus(since, waits), end) - meant };
  }

  /** When what a showing waits for off view is over: a copy that is shown before its step is over is taken out when it is wanted. */
  #possible({ follows }: AirStep, { step }: Showing, since: EpochMs): EpochMs {
    const { air, cutShort } = this.#show;
    return follows.reduce((possible, { index, lag }) => {
      const found = air[index];
      if (!found || found.showing !== undefined) return possible;
      const { start, end } = this.played(index);
      const { length } = found.step;
      if (cutShort.get(step) !== index || length.kind === 'rest' || end <= since)
        return later(possible, plus(end, lag));
      const taken = later(since, plus(start, length.range.low));
      const over = earlier(end, taken);
      if (over < end) this.#cutShort.add(index);
      this.#played.set(index, { start, end: over });
      return later(possible, over);
    }, since);
  }

  /** Whether what a showing needs is over in the very moment of the press, and is told just after it: the later component comes later. */
  #isJustMissed({ follows }: AirStep, number: number, since: EpochMs): boolean {
    const { air, airOf, orderOf } = this.#show;
    const before = air[airOf[number - 1] ?? NaN]?.step.component;
    return follows.some(({ index, isNeed }) => {
      const found = air[index];
      if (this.#cutShort.has(index)) return true;
      if (!isNeed || !found || found.showing !== undefined || !endsByHand(found.step)) return false;
      const isLater =
        (orderOf.get(found.step.component) ?? 0) > (before === undefined ? 0 : (orderOf.get(before) ?? 0));
      return isLater && this.played(index).end === since;
    });
  }

  #meant({ step, length }: Showing): Seconds {
    return this.#lengths[step] ?? length.usual;
  }

  #ends(showing: Showing, number: number, { step }: AirStep, start: EpochMs, turn: Seconds): EpochMs {
    const end = (): EpochMs => {
      const meant = this.#meant(showing);
      if (showing.ends === 'clock') return plus(start, meant);
      const lasts =
        showing.decides === 'nature'
          ? this.#nature.duration(step, 1)
          : shownFor(this.#presenter, showing, meant, this.#seed);
      return plus(start, turn + lasts);
    };
    const look = plus(start, looksUp(showing, this.#seed));
    if (this.#cuts && look < end()) this.#look(number, start, look);
    return end();
  }

  /** Takes what the board offers, one after the other as the key is pressed, until there is nothing more. */
  #look(showing: number, since: EpochMs, now: EpochMs): void {
    const { rundown, pace } = this.#show;
    const known: Known = {
      now,
      showing,
      played: (place) => this.played(place),
      meant: (each) => this.#meant(each),
    };
    // What is expected hangs on what has been chosen, too.
    const onAir = (): OnAir => {
      const foresight = new Foresight(this.#show, known);
      return {
        now,
        begun: rundown.begins,
        showing,
        since,
        ended: this.#ended,
        ready: foresight.ready(),
        by: foresight.windows(),
        lengths: this.#lengths,
      };
    };
    for (let change = nextChange(pace, onAir()); change; change = nextChange(pace, onAir())) {
      this.changes.push(change);
      this.#lengths[change.showing] = change.to;
    }
  }
}
