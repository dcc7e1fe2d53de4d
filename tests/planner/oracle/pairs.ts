import { changing, type Load, type Puzzle } from './puzzle.ts';
import { mayTakeOver } from './wrong.ts';

/** `to` is at least so much later than `from`. */
export interface Order {
  readonly from: number;
  readonly to: number;
  readonly least: number;
}

/** Of the two orders one has to hold. */
export type Pair = readonly [Order, Order];

/** Pairs of things with a length that never run side by side: together they are more than there is, or want an oven otherwise. */
export function atOdds(puzzle: Puzzle, ovenOf: readonly number[]): Pair[] {
  return [...tooMuchTogether(puzzle), ...otherwiseHeated(puzzle, ovenOf)];
}

const lasts = ({ distances, points }: Puzzle, from: number, to: number): boolean =>
  (distances[from * points + to] ?? 0) > 0;

function tooMuchTogether(puzzle: Puzzle): Pair[] {
  return puzzle.claims.flatMap(({ capacity, claims }) =>
    claims.flatMap((claim, place) =>
      claims.slice(0, place).flatMap((other): Pair[] => {
        if (claim.amount + other.amount <= capacity) return [];
        if (!lasts(puzzle, claim.from, claim.to) || !lasts(puzzle, other.from, other.to)) return [];
        return [
          [
            { from: claim.to, to: other.from, least: 0 },
            { from: other.to, to: claim.from, least: 0 },
          ],
        ];
      }),
    ),
  );
}

function otherwiseHeated(puzzle: Puzzle, ovenOf: readonly number[]): Pair[] {
  const { loads } = puzzle;
  return loads.flatMap((load, place) =>
    loads.slice(0, place).flatMap((other): Pair[] => {
      const oven = puzzle.ovens[ovenOf[load.run] ?? -1];
      if (!oven || !load.asks || !other.asks || ovenOf[other.run] !== ovenOf[load.run]) return [];
      if (![load, other].every(({ step }) => lasts(puzzle, 2 * step, 2 * step + 1))) return [];
      const apart =
        load.alone ||
        other.alone ||
        load.celsius === undefined ||
        other.celsius === undefined ||
        Math.abs(load.celsius - other.celsius) > oven.tolerance ||
        load.shelves + other.shelves > oven.shelves;
      const bounds = { low: puzzle.low, high: puzzle.high, ovenOf };
      const wait = (from: Load, to: Load): number =>
        mayTakeOver(puzzle, bounds, from, to) ? 0 : changing(oven, puzzle.ambient, from.celsius, to.celsius);
      const order = (from: Load, to: Load): Order => ({
        from: 2 * from.step + 1,
        to: 2 * to.step,
        least: wait(from, to),
      });
      return apart ? [[order(other, load), order(load, other)]] : [];
    }),
  );
}
