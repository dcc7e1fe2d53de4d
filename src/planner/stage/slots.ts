import type { Demonstration, Show } from '../../plan/index.ts';

/** A showing's place on air, in whole seconds from its beginning. */
export interface Slot {
  /** Counts from 0. */
  readonly number: number;
  readonly show: Show;
  readonly from: number;
  readonly to: number;
}

/** Whether the presenter decides how long it lasts; nature does where a step is shown whole. */
export const presenterDecides = (show: Show): boolean => show.kind !== 'step' || show.part !== 'whole';

/** Presenters keep time by figures like these, in seconds. */
const WHOLE = 5;

/**
 * Gives every showing its time on air. Each lasts as long as it usually does; what that falls short of the air time, or is
 * over it, is shared out among those that the presenter decides, by how far each can be stretched or cut: in whole figures, and
 * the rest in a talk or whatever else has room for it.
 */
export function slotsOf({ shows, lasts }: Demonstration): Slot[] {
  const usual = shows.map((show) => Math.ceil(show.lasts.usual));
  const missing = lasts - sumOf(usual);
  const room = shows.map((show, number) =>
    presenterDecides(show)
      ? Math.max(
          0,
          missing > 0
            ? Math.floor(show.lasts.high) - (usual[number] ?? 0)
            : (usual[number] ?? 0) - Math.ceil(show.lasts.low),
        )
      : 0,
  );
  const shares = sharedOut(Math.abs(missing), room);
  const lengths = usual.map((each, number) => each + Math.sign(missing) * (shares[number] ?? 0));
  let at = 0;
  return inWholeFigures(shows, lengths).map((length, number) => {
    const from = at;
    at += length;
    return { number, show: must(shows[number]), from, to: at };
  });
}

/** The same lengths together, each of those that the presenter decides a whole figure as far as that comes out. */
function inWholeFigures(shows: readonly Show[], lengths: readonly number[]): number[] {
  const within = (show: Show, length: number): number =>
    Math.min(Math.floor(show.lasts.high), Math.max(Math.ceil(show.lasts.low), length));
  const whole = lengths.map((length, number) => {
    const show = must(shows[number]);
    const figure = WHOLE * Math.round(length / WHOLE);
    return presenterDecides(show) && within(show, figure) === figure ? figure : length;
  });
  let left = sumOf(lengths) - sumOf(whole);
  const takers = shows
    .map((show, number) => ({ show, number }))
    .filter(({ show }) => presenterDecides(show))
    .toSorted(
      (a, b) =>
        Number(b.show.kind === 'talk') - Number(a.show.kind === 'talk') ||
        (whole[b.number] ?? 0) - (whole[a.number] ?? 0),
    );
  for (const { show, number } of takers) {
    const length = whole[number] ?? 0;
    const given = Math.abs(left) > 0 ? within(show, length + left) : length;
    left -= given - length;
    whole[number] = given;
  }
  return whole;
}

const sumOf = (numbers: readonly number[]): number => numbers.reduce((sum, each) => sum + each, 0);

function must(show: Show | undefined): Show {
  if (!show) throw new Error('no such showing');
  return show;
}

/** Whole numbers that come to `amount`, or to all the room where there is less, in proportion to the room of each. */
function sharedOut(amount: number, room: readonly number[]): number[] {
  const all = sumOf(room);
  const given = Math.min(amount, all);
  // By sums and not by shares: what is rounded down at one is made up at the next.
  let sum = 0;
  let before = 0;
  return room.map((each) => {
    sum += each;
    const until = all === 0 ? 0 : Math.floor((given * sum) / all);
    const share = until - before;
    before = until;
    return share;
  });
}
