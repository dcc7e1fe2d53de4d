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

/**
 * Gives every showing its time on air. Each lasts as long as it usually does; what that falls short of the air time, or is
 * over it, is shared out among those that the presenter decides, by how far each can be stretched or cut.
 */
export function slotsOf({ shows, lasts }: Demonstration): Slot[] {
  const usual = shows.map((show) => Math.ceil(show.lasts.usual));
  const missing = lasts - usual.reduce((sum, each) => sum + each, 0);
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
  let at = 0;
  return shows.map((show, number) => {
    const from = at;
    at += (usual[number] ?? 0) + Math.sign(missing) * (shares[number] ?? 0);
    return { number, show, from, to: at };
  });
}

/** Whole numbers that come to `amount`, or to all the room where there is less, in proportion to the room of each. */
function sharedOut(amount: number, room: readonly number[]): number[] {
  const all = room.reduce((sum, each) => sum + each, 0);
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
