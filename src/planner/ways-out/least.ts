import { hours } from '../../units/index.ts';

/** An amount that works, what it gives, and in which steps it was looked for: one `unit` less does not work. */
export interface Least<T> {
  readonly amount: number;
  readonly unit: number;
  readonly found: T;
}

export interface Asking<T> {
  /** What an amount gives; nothing where it does not work. That 0 does not work is known. */
  readonly works: (amount: number) => T | undefined;
  /** The largest amount worth asking for. */
  readonly most: number;
  /** In what steps an amount so large is told. */
  readonly unitOf: (amount: number) => number;
  /** What the amount is added to: the sum is to be a multiple of the unit, so that a limit stays a round figure. */
  readonly base?: number;
  /** How much of the amount asked for was needed in what it gave. */
  readonly used?: (found: T, amount: number) => number;
}

/** By the clock times are told to the minute. */
export const clockUnit = (): number => 60;

/** How long something may wait is told to the minute; longer times to five minutes, and from half a day on to the hour. */
export function timeUnit(amount: number): number {
  if (amount <= hours(3)) return 60;
  return amount <= hours(12) ? 300 : 3600;
}

/**
 * The least amount that works, in whole units. Where more does not always help it is an amount that works while a unit less
 * does not.
 */
export function least<T>({ works, most, unitOf, base = 0, used }: Asking<T>): Least<T> | undefined {
  const ever = works(most);
  if (ever === undefined) return undefined;
  const needed = (found: T, amount: number): number =>
    Math.max(1, Math.min(amount, used?.(found, amount) ?? amount));
  const roundUp = (amount: number, unit: number): number => Math.ceil((amount + base) / unit) * unit - base;
  // `low` does not work, `high` does.
  let low = 0;
  let high = needed(ever, most);
  let best = { at: most, found: ever };
  let unit: number;
  do {
    unit = unitOf(high);
    high = roundUp(high, unit);
    // What was needed is most often the least, so just below it is asked first; halving sees to it that the end is near anyway.
    for (let close = true; high - low > unit; close = !close) {
      const below = high - unit;
      const at = close ? below : Math.min(below, roundUp((low + high) / 2, unit));
      const found = works(at);
      if (found === undefined) low = at;
      else {
        best = { at, found };
        high = Math.max(roundUp(low + 1, unit), Math.min(at, roundUp(needed(found, at), unit)));
      }
    }
    // A smaller amount is told in smaller units.
  } while (unitOf(high) < unit);
  const found = best.at === high ? best.found : works(high);
  return found === undefined ? undefined : { amount: high, unit, found };
}
