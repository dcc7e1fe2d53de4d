import { touches } from './clock.ts';
import { fromCold } from './ladder.ts';
import { changing, type Load, type Puzzle } from './puzzle.ts';

/*
 * What is wrong whatever becomes of the bounds: every rule but the lags. With bounds of one moment each it is the whole truth.
 */
export interface Bounds {
  readonly low: Int32Array;
  readonly high: Int32Array;
  /** The oven of each run. */
  readonly ovenOf: readonly number[];
}

export function isWrong(puzzle: Puzzle, bounds: Bounds): boolean {
  return tooMuch(puzzle, bounds) || outOfHours(puzzle, bounds) || ovensWrong(puzzle, bounds);
}

/** Claims are certain from the latest moment they can begin to the earliest they can end. */
function tooMuch(puzzle: Puzzle, { low, high }: Bounds): boolean {
  for (const { capacity, claims } of puzzle.claims) {
    for (const claim of claims) {
      const moment = high[claim.from] ?? 0;
      if ((low[claim.to] ?? 0) <= moment) continue;
      let taken = 0;
      for (const other of claims)
        if ((high[other.from] ?? 0) <= moment && moment < (low[other.to] ?? 0)) taken += other.amount;
      if (taken > capacity) return true;
    }
  }
  return false;
}

function outOfHours(puzzle: Puzzle, { low, high }: Bounds): boolean {
  if (puzzle.closed.length === 0) return false;
  return puzzle.steps.some((_, place) => {
    if (!puzzle.keepsHours[place]) return false;
    const [from, to] = [high[2 * place] ?? 0, low[2 * place + 1] ?? 0];
    return puzzle.closed.some((stretch) => touches(stretch, from, to));
  });
}

function ovensWrong(puzzle: Puzzle, bounds: Bounds): boolean {
  const { loads } = puzzle;
  for (const load of loads) {
    if (!load.asks || presence(puzzle, bounds, load) !== 'sure') continue;
    if (coldStart(puzzle, bounds, load) || shelvesFull(puzzle, bounds, load)) return true;
    for (const other of loads) {
      if (other === load || ovenOf(bounds, other) !== ovenOf(bounds, load)) continue;
      if (!other.asks || presence(puzzle, bounds, other) !== 'sure') continue;
      if (excludes(puzzle, bounds, load, other)) {
        if (!fitsBefore(puzzle, bounds, load, other) && !fitsBefore(puzzle, bounds, other, load)) return true;
      } else if (
        other.shut &&
        (passes(puzzle, bounds, load, other, -1) || passes(puzzle, bounds, load, other, 1))
      )
        return true;
    }
  }
  return false;
}

const ovenOf = ({ ovenOf: chosen }: Bounds, load: Load): number => chosen[load.run] ?? -1;
const startOf = (load: Load): number => 2 * load.step;
const endOf = (load: Load): number => 2 * load.step + 1;

/** Whether the load has a length. */
function presence(
  { distances, points }: Puzzle,
  { low, high }: Bounds,
  load: Load,
): 'sure' | 'open' | 'none' {
  const [start, end] = [startOf(load), endOf(load)];
  const least = Math.max(distances[start * points + end] ?? 0, (low[end] ?? 0) - (high[start] ?? 0));
  if (least > 0) return 'sure';
  return (high[end] ?? 0) <= (low[start] ?? 0) ? 'none' : 'open';
}

/** Before now the oven was off. */
function coldStart({ now, ovens, ambient }: Puzzle, bounds: Bounds, load: Load): boolean {
  const oven = ovens[ovenOf(bounds, load)];
  if (now === undefined || load.celsius === undefined || !oven) return false;
  return (bounds.high[startOf(load)] ?? 0) - now < fromCold(oven, ambient, load.celsius);
}

function shelvesFull(puzzle: Puzzle, bounds: Bounds, load: Load): boolean {
  const moment = bounds.high[startOf(load)] ?? 0;
  let taken = load.shelves;
  if ((bounds.low[endOf(load)] ?? 0) > moment)
    for (const other of puzzle.loads)
      if (
        other !== load &&
        other.asks &&
        ovenOf(bounds, other) === ovenOf(bounds, load) &&
        (bounds.high[startOf(other)] ?? 0) <= moment &&
        moment < (bounds.low[endOf(other)] ?? 0)
      )
        taken += other.shelves;
  return taken > (puzzle.ovens[ovenOf(bounds, load)]?.shelves ?? 0);
}

function excludes({ ovens }: Puzzle, bounds: Bounds, a: Load, b: Load): boolean {
  if (a.alone || b.alone || a.celsius === undefined || b.celsius === undefined) return true;
  return Math.abs(a.celsius - b.celsius) > (ovens[ovenOf(bounds, a)]?.tolerance ?? 0);
}

function fitsBefore(puzzle: Puzzle, bounds: Bounds, a: Load, b: Load): boolean {
  const oven = puzzle.ovens[ovenOf(bounds, a)];
  if (!oven) return false;
  const room = (bounds.high[startOf(b)] ?? 0) - (bounds.low[endOf(a)] ?? 0);
  if (room < 0) return false;
  return mayTakeOver(puzzle, bounds, a, b) || room >= changing(oven, puzzle.ambient, a.celsius, b.celsius);
}

/** The oven step directly before or after in the same component, if it is in the same oven. */
function neighbour({ loads }: Puzzle, bounds: Bounds, load: Load, side: -1 | 1): Load | undefined {
  const index = side === -1 ? load.before : load.after;
  const other = index === undefined ? undefined : loads[index];
  return other && ovenOf(bounds, other) === ovenOf(bounds, load) ? other : undefined;
}

/** Whether `b` can be a later part of `a`'s own bake that asks for no more heat than the part just before it had. */
export function mayTakeOver(puzzle: Puzzle, bounds: Bounds, a: Load, b: Load): boolean {
  let linked = false;
  for (let load = neighbour(puzzle, bounds, b, -1); load; load = neighbour(puzzle, bounds, load, -1))
    if (load === a) linked = true;
  if (!linked) return false;
  const tolerance = puzzle.ovens[ovenOf(bounds, b)]?.tolerance ?? 0;
  for (let load = neighbour(puzzle, bounds, b, -1); load; load = neighbour(puzzle, bounds, load, -1)) {
    const cooler =
      b.celsius === undefined || (load.celsius !== undefined && load.celsius + tolerance >= b.celsius);
    const here = presence(puzzle, bounds, load);
    if (here !== 'none' && cooler) return true;
    if (here === 'sure') return false;
  }
  return false;
}

/** Whether `mover` certainly goes in (-1) or out (1) strictly within the stretch of `still`. */
function passes(puzzle: Puzzle, bounds: Bounds, mover: Load, still: Load, side: -1 | 1): boolean {
  const { low, high } = bounds;
  const point = side === -1 ? startOf(mover) : endOf(mover);
  const inside =
    (low[point] ?? 0) > (high[startOf(still)] ?? 0) && (high[point] ?? 0) < (low[endOf(still)] ?? 0);
  return inside && !mayStayIn(puzzle, bounds, mover, side);
}

function mayStayIn(puzzle: Puzzle, bounds: Bounds, load: Load, side: -1 | 1): boolean {
  const { low, high } = bounds;
  const point = side === -1 ? startOf(load) : endOf(load);
  for (let next = neighbour(puzzle, bounds, load, side); next; next = neighbour(puzzle, bounds, next, side)) {
    if (!next.asks) continue;
    const meeting = side === -1 ? endOf(next) : startOf(next);
    const meets = (low[meeting] ?? 0) <= (high[point] ?? 0) && (low[point] ?? 0) <= (high[meeting] ?? 0);
    if (!meets) return false;
    if (presence(puzzle, bounds, next) !== 'none') return true;
  }
  return false;
}
