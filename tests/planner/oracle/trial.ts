import type { Stretch } from './clock.ts';
import { fromCold, type LevelName } from './ladder.ts';
import { atOdds, type Order, type Pair } from './pairs.ts';
import { lengthOf, NEVER, type Puzzle } from './puzzle.ts';
import { isWrong } from './wrong.ts';

export interface Found {
  readonly times: Int32Array;
  readonly ovenOf: readonly number[];
}

/** Bounds of every point that agree with all least distances: any moment within a point's bounds can be completed by the lags. */
interface State {
  readonly low: Int32Array;
  readonly high: Int32Array;
  /** As `distances` of the puzzle, with what was decided since. */
  readonly ways: Float64Array;
}

/** How hard a case was to settle is told, and too hard ones are refused: the oracle does not guess. */
const MOST_NODES = 10_000_000;

/**
 * Depth first, in two parts. Of any two things that can never run side by side one comes before the other: both orders are
 * tried. Then all moments of each point are tried, the latest first.
 */
export class Trial {
  best: Found | undefined;
  bestValues: readonly number[] = [];
  nodes = 0;
  private readonly puzzle: Puzzle;
  private readonly points: number;
  private readonly wanted: 'best' | 'any';
  private ovenOf: readonly number[] = [];
  private pairs: readonly Pair[] = [];

  /** @param wanted the best, or whichever is found first. */
  constructor(puzzle: Puzzle, wanted: 'best' | 'any') {
    this.wanted = wanted;
    this.puzzle = puzzle;
    this.points = puzzle.points;
  }

  tryAll(ovenOf: readonly number[]): void {
    const { low, high, distances } = this.puzzle;
    this.ovenOf = ovenOf;
    this.pairs = atOdds(this.puzzle, ovenOf);
    if (this.wantsTooMuch()) return;
    this.inOrder({ low: low.slice(), high: high.slice(), ways: distances }, 0);
  }

  /** Whether something with a length wants more by itself than there is. */
  private wantsTooMuch(): boolean {
    const { claims, distances } = this.puzzle;
    return claims.some(({ capacity, claims: all }) =>
      all.some(({ from, to, amount }) => amount > capacity && (distances[from * this.points + to] ?? 0) > 0),
    );
  }

  /** Decides the order of each pair from the given one on. */
  private inOrder(state: State, from: number): void {
    if (!this.isOpen(state)) return;
    for (let place = from; place < this.pairs.length; place += 1) {
      const pair = this.pairs[place];
      if (!pair || this.isMet(state, pair[0]) || this.isMet(state, pair[1])) continue;
      const [one, other] = pair;
      const latest = (order: Order): number => state.high[order.from] ?? 0;
      for (const order of latest(one) < latest(other) ? [one, other] : [other, one]) {
        const next = this.decided(state, order);
        if (next) this.inOrder(next, place + 1);
      }
      return;
    }
    this.byClock(state, 0);
  }

  /** Decides for what takes hands on which side of each pause it lies, and whether in a night, before it or after it. */
  private byClock(state: State, from: number): void {
    const { nights, closed, steps, keepsHours } = this.puzzle;
    for (let place = from; place < steps.length; place += 1) {
      const [start, end] = [2 * place, 2 * place + 1];
      if (steps[place]?.hands === 'free' || this.between(state, start, end) <= 0) continue;
      const isOpen = ({ from: dusk, to: dawn }: Stretch): boolean =>
        (state.low[start] ?? 0) < dawn &&
        (state.high[end] ?? 0) > dusk &&
        !((state.high[start] ?? 0) < dawn && (state.low[end] ?? 0) > dusk);
      const [pause, night] = [keepsHours[place] ? closed.find(isOpen) : undefined, nights.find(isOpen)];
      const stretch = pause ?? night;
      if (!stretch) continue;
      const [before, within, after] = [copied(state), copied(state), copied(state)];
      this.noLaterThan(before, end, stretch.from);
      this.noLaterThan(within, start, stretch.to - 1);
      this.noEarlierThan(within, end, stretch.from + 1);
      this.noEarlierThan(after, start, stretch.to);
      for (const next of pause ? [after, before] : [after, before, within])
        if (this.isOpen(next)) this.byClock(next, place);
      return;
    }
    this.inTime(state);
  }

  private isMet({ low, high, ways }: State, { from, to, least }: Order): boolean {
    return (ways[from * this.points + to] ?? NEVER) >= least || (low[to] ?? 0) - (high[from] ?? 0) >= least;
  }

  private decided(state: State, { from, to, least }: Order): State | undefined {
    const { points } = this;
    if ((state.ways[to * points + from] ?? NEVER) + least > 0) return undefined;
    const next = { ...copied(state), ways: state.ways.slice() };
    for (let p = 0; p < points; p += 1) {
      const there = (state.ways[p * points + from] ?? NEVER) + least;
      if (there === NEVER) continue;
      for (let q = 0; q < points; q += 1) {
        const way = there + (state.ways[to * points + q] ?? NEVER);
        if (way > (next.ways[p * points + q] ?? NEVER)) next.ways[p * points + q] = way;
      }
    }
    this.noLaterThan(next, from, (next.high[to] ?? 0) - least);
    this.noEarlierThan(next, to, (next.low[from] ?? 0) + least);
    return next;
  }

  /** Tries the moments of the point that has fewest, and so on. */
  private inTime(state: State): void {
    const { low, high, ways } = state;
    const point = narrowest(state);
    if (point < 0) {
      this.best = { times: low, ovenOf: this.ovenOf };
      this.bestValues = this.puzzle.levels.map((name) => this.level(name, state));
      return;
    }
    const left: State = { low, high: high.slice(), ways };
    for (let time = high[point] ?? 0; time >= (low[point] ?? 0); time -= 1) {
      this.noLaterThan(left, point, time);
      if (!this.promises(left)) return;
      const next: State = { low: low.slice(), high: left.high.slice(), ways };
      this.noEarlierThan(next, point, time);
      if (this.isOpen(next)) this.inTime(next);
    }
  }

  /** Whether there may be something better within the bounds; what hours rule out is cut off. */
  private isOpen(state: State): boolean {
    this.nodes += 1;
    if (this.nodes > MOST_NODES) throw new RangeError('too hard to be tried out');
    return (
      this.keepHours(state) &&
      state.low.every((bound, point) => bound <= (state.high[point] ?? 0)) &&
      !isWrong(this.puzzle, { low: state.low, high: state.high, ovenOf: this.ovenOf }) &&
      this.promises(state)
    );
  }

  /** Moves what takes hands out of the hours in which there are none; false where no time is left for it. */
  private keepHours(state: State): boolean {
    const { low, high, ways } = state;
    const { closed, steps, keepsHours } = this.puzzle;
    for (let moved = closed.length > 0; moved;) {
      moved = false;
      for (const place of steps.keys()) {
        const start = 2 * place;
        const least = ways[start * this.points + start + 1] ?? 0;
        if (!keepsHours[place] || least <= 0) continue;
        for (const { from, to } of closed) {
          const [first, last] = [low[start] ?? 0, high[start] ?? 0];
          if (last > from - least && last < to) this.noLaterThan(state, start, from - least);
          if (first > from - least && first < to) this.noEarlierThan(state, start, to);
          if (first !== low[start] || last !== high[start]) moved = true;
          if ((low[start] ?? 0) > (high[start] ?? 0)) return false;
        }
      }
    }
    return true;
  }

  private noLaterThan({ high, ways }: State, point: number, time: number): void {
    for (let other = 0; other < this.points; other += 1) {
      const bound = time - (ways[other * this.points + point] ?? NEVER);
      if (bound < (high[other] ?? 0)) high[other] = bound;
    }
  }

  private noEarlierThan({ low, ways }: State, point: number, time: number): void {
    for (let other = 0; other < this.points; other += 1) {
      const bound = time + (ways[point * this.points + other] ?? NEVER);
      if (bound > (low[other] ?? 0)) low[other] = bound;
    }
  }

  /** Whether something within the bounds could be better than the best so far. */
  private promises(state: State): boolean {
    if (!this.best) return true;
    if (this.wanted === 'any') return false;
    for (const [place, name] of this.puzzle.levels.entries()) {
      const [bound, value] = [this.level(name, state), this.bestValues[place] ?? Infinity];
      if (bound !== value) return bound < value;
    }
    return false;
  }

  /** What a level comes to at least; with bounds of one moment each: what it is. */
  private level(name: LevelName, state: State): number {
    switch (name) {
      case 'fresh':
        return this.fresh(state);
      case 'night':
        return this.night(state);
      case 'late':
        return this.late(state);
      case 'close': {
        let sum = 0;
        for (let point = 0; point < this.points; point += 2) sum -= state.high[point] ?? 0;
        return sum;
      }
      case 'oven':
        return this.hot(state);
    }
  }

  /** The least time between two points. */
  private between({ low, high, ways }: State, from: number, to: number): number {
    return Math.max(ways[from * this.points + to] ?? NEVER, (low[to] ?? 0) - (high[from] ?? 0));
  }

  private fresh(state: State): number {
    let total = 0;
    for (const { from, to, until, weight } of this.puzzle.waits)
      total +=
        weight *
        (to === undefined ? until - (state.high[from] ?? 0) : Math.max(0, this.between(state, from, to)));
    return total;
  }

  private night(state: State): number {
    const { nights, steps } = this.puzzle;
    let total = 0;
    if (nights.length === 0) return 0;
    steps.forEach((step, place) => {
      const { least } = lengthOf(step);
      if (step.hands === 'free' || least === 0) return;
      const [start, end] = [2 * place, 2 * place + 1];
      for (const { from, to } of nights)
        if ((state.high[start] ?? 0) < to && (state.low[end] ?? 0) > from) total += least;
    });
    return total;
  }

  private late(state: State): number {
    const { loads, ovens, ambient } = this.puzzle;
    let latest = 0;
    for (let point = 0; point < this.points; point += 2) latest = Math.min(latest, state.high[point] ?? 0);
    for (const { step, celsius, run } of loads) {
      const oven = ovens[this.ovenOf[run] ?? -1];
      if (celsius === undefined || !oven || this.between(state, 2 * step, 2 * step + 1) <= 0) continue;
      latest = Math.min(latest, (state.high[2 * step] ?? 0) - fromCold(oven, ambient, celsius));
    }
    return -latest;
  }

  private hot(state: State): number {
    const { ovens, loads, ambient } = this.puzzle;
    let total = 0;
    ovens.forEach((oven, index) => {
      const sure = loads.filter(
        ({ run, celsius, step }) =>
          this.ovenOf[run] === index &&
          celsius !== undefined &&
          this.between(state, 2 * step, 2 * step + 1) > 0,
      );
      let longest = 0;
      for (const first of sure)
        for (const last of sure)
          longest = Math.max(
            longest,
            this.between(state, 2 * first.step, 2 * last.step + 1) +
              fromCold(oven, ambient, first.celsius ?? 0),
          );
      total += longest;
    });
    return total;
  }
}

const copied = ({ low, high, ways }: State): State => ({ low: low.slice(), high: high.slice(), ways });

/** The point with the fewest moments left but more than one, of several the latest; -1 where each has one. */
function narrowest({ low, high }: State): number {
  let chosen = -1;
  let least = Infinity;
  for (let point = 0; point < low.length; point += 1) {
    const width = (high[point] ?? 0) - (low[point] ?? 0);
    if (width === 0 || width > least) continue;
    if (width === least && (high[point] ?? 0) <= (high[chosen] ?? 0)) continue;
    chosen = point;
    least = width;
  }
  return chosen;
}
