import type { StepId } from '../../plan/index.ts';
import {
  airSteps,
  nextChange,
  paceOf,
  playAir,
  type AirStep,
  type OnAir,
  type Pace,
  type Rundown,
  type StageChange,
  type Swap,
} from '../../planner/index.ts';
import { later, plus, secondsBetween, seconds, type EpochMs, type Seconds } from '../../units/index.ts';
import { LIFELIKE } from '../life.ts';
import { natureOf } from '../nature.ts';
import { helperBegins, shownFor, turnTo, type Presenter } from './presenter.ts';

/** A demonstration made ready to be played many times. */
export interface Show {
  readonly rundown: Rundown;
  readonly pace: Pace;
  readonly air: readonly AirStep[];
  /** What each step on air is held to: the longest wait after the step before it in its component. */
  readonly limits: readonly {
    readonly step: StepId;
    readonly index: number;
    readonly after: number;
    readonly within: Seconds;
  }[];
  /** Of each swap: the indexes on air of what takes it, and of the last step that makes it, where they are on air. */
  readonly taken: readonly { readonly by: number | undefined; readonly ready: number | undefined }[];
  readonly helps: ReadonlySet<StepId>;
}

/** One demonstration as it went. */
export interface Evening {
  /** How long after it went on air it ended. */
  readonly length: Seconds;
  readonly showings: readonly {
    /** Without the turn to it, which counts as part of it. */
    readonly start: EpochMs;
    readonly end: EpochMs;
    /** How much longer it was than it was meant to be when it began; negative where it was shorter. */
    readonly over: number;
    /** Silence before it, for something off view. */
    readonly waits: Seconds;
  }[];
  /** What was cut and stretched on the way. */
  readonly changes: readonly StageChange[];
  /** Of each swap, whether it was taken in its window. */
  readonly swaps: readonly ('right' | 'early' | 'late')[];
  /** Steps that began later than they may after the one before. */
  readonly broken: readonly StepId[];
}

export function showOf(rundown: Rundown): Show {
  const air = airSteps(rundown);
  const indexOf = new Map(air.map(({ step }, index) => [step.id, index]));
  const before = new Map(
    rundown.workload.components.flatMap(({ steps }) =>
      steps.map((step, place) => [step.id, steps[place - 1]?.id] as const),
    ),
  );
  const swapped = new Set(rundown.swaps.map((swap) => swap.for));
  return {
    rundown,
    pace: paceOf(rundown),
    air,
    limits: air.flatMap(({ step, showing }, index) => {
      // Of a swap its window says more, and what is shown to its end has only gone on until then.
      if (swapped.has(step.id) || isEnd(rundown, showing)) return [];
      const previous = before.get(step.id);
      const after = previous === undefined ? undefined : indexOf.get(previous);
      const { within } = step;
      return within === undefined || after === undefined ? [] : [{ step: step.id, index, after, within }];
    }),
    taken: rundown.swaps.map((swap) => {
      const made = rundown.workload.components.find(({ id }) => id === swap.made[0]);
      const last = made?.steps.findLast(({ id }) => id !== swap.for && endsBy(rundown, id, swap.ready));
      // A rest lasts until it is wanted.
      const isWork = last !== undefined && last.length.kind !== 'rest';
      return { by: indexOf.get(swap.for), ready: isWork ? indexOf.get(last.id) : undefined };
    }),
    helps: new Set(rundown.jobs.filter(({ onView }) => !onView).map(({ step }) => step)),
  };
}

/** Whether a showing is the end of a step that went on until it. */
function isEnd({ showings }: Rundown, index: number | undefined): boolean {
  const shows = index === undefined ? undefined : showings[index]?.shows;
  return shows?.kind === 'step' && shows.part === 'last';
}

const endsBy = ({ timetable }: Rundown, id: StepId, moment: EpochMs): boolean =>
  timetable.steps.some(({ step, end }) => step === id && end <= moment);

/**
 * Plays one demonstration: nature decides what it decides, the presenter keeps time as people do, the helper begins a little
 * late. Who `cuts` does what the board would offer at the beginning of each showing; who does not goes on as planned.
 */
export function playEvening(show: Show, seed: number, presenter: Presenter, cuts: boolean): Evening {
  const { rundown, pace, air } = show;
  const nature = natureOf(seed, LIFELIKE);
  const begun = rundown.begins;
  const lengths: Record<string, Seconds> = {};
  const ended: Record<number, EpochMs> = {};
  const changes: StageChange[] = [];
  const over: number[] = [];

  /** Takes what the board offers, one after the other as the key is pressed, until there is nothing more. */
  function adjust(onAir: OnAir): void {
    for (let change = cuts && nextChange(pace, onAir); change; change = nextChange(pace, onAir)) {
      changes.push(change);
      lengths[change.showing] = change.to;
    }
  }

  function shown(index: number, start: EpochMs): Seconds {
    const showing = rundown.showings[index];
    if (!showing) return seconds(0);
    adjust({ now: start, begun, showing: index, since: start, ended, lengths });
    const meant = lengths[showing.step] ?? showing.length.usual;
    const step = air.find((each) => each.showing === index)?.step;
    const length =
      showing.decides === 'nature' && step
        ? nature.duration(step, 1)
        : shownFor(presenter, showing, meant, seed);
    const all = seconds(turnTo(presenter, showing, index, seed) + length);
    over[index] = all - meant;
    ended[index] = plus(start, all);
    return all;
  }

  const played = playAir(air, begun, (index, start) => {
    const each = air[index];
    if (!each) return seconds(0);
    if (each.showing !== undefined) return shown(each.showing, start);
    if (each.isBegun) return each.usual;
    const late = show.helps.has(each.step.id) ? helperBegins(presenter, each.step.id, seed) : 0;
    return seconds(late + nature.duration(each.step, 1));
  });

  let end = begun;
  const showings = air.flatMap(({ showing }, index) => {
    const moment = played[index];
    if (showing === undefined || !moment) return [];
    const waits = seconds(Math.max(0, secondsBetween(end, moment.start)));
    end = later(end, moment.end);
    return [{ ...moment, waits, over: over[showing] ?? 0 }];
  });
  return {
    length: seconds(secondsBetween(begun, end)),
    showings,
    changes,
    swaps: rundown.swaps.map((swap, index) => rightness(show, played, swap, index)),
    broken: show.limits.flatMap(({ step, index, after, within }) => {
      const [from, to] = [played[after]?.end, played[index]?.start];
      return from !== undefined && to !== undefined && secondsBetween(from, to) > within ? [step] : [];
    }),
  };
}

/** Whether a swap was taken in its window. One that gets ready on air has its window from when it is, and is waited for. */
function rightness(
  { air, taken, rundown }: Show,
  played: readonly { readonly start: EpochMs; readonly end: EpochMs }[],
  swap: Swap,
  index: number,
): Evening['swaps'][number] {
  const { by, ready } = taken[index] ?? {};
  const start = by === undefined ? undefined : played[by]?.start;
  if (start === undefined) return 'right';
  const made = ready === undefined ? undefined : { step: air[ready]?.step.id, end: played[ready]?.end };
  const planned = rundown.timetable.steps.find(({ step }) => step === made?.step)?.end;
  const shift = made?.end === undefined || planned === undefined ? 0 : secondsBetween(planned, made.end);
  if (made === undefined && start < swap.usableFrom) return 'early';
  return swap.useBy !== undefined && start > plus(swap.useBy, shift) ? 'late' : 'right';
}
