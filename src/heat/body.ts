import { celsius, plus, secondsBetween, type Celsius, type EpochMs } from '../units/index.ts';
import type { Sample } from './probe-track.ts';

/**
 * What a body stands in: at what temperature, and how far that may be off (one standard deviation, C). A fridge that a
 * thermometer hangs in is known within a degree; one that nobody has measured is guessed.
 */
export interface Surroundings {
  readonly celsius: Celsius;
  readonly spread: number;
  /** How far they will stand, on the mean, from where they stood so far: a fridge is opened, or is not (one standard deviation, C). */
  readonly drift: number;
}

/** When a body is expected at a temperature. */
export type Prediction =
  /** It is there by its last reading. */
  | { readonly kind: 'reached' }
  /** With a chance of 80 % between `low` and `high`; as likely before `usual` as after. */
  | { readonly kind: 'expected'; readonly low: EpochMs; readonly usual: EpochMs; readonly high: EpochMs }
  | { readonly kind: 'refused'; readonly why: string };

export interface PredictionRequest {
  /** Readings of one segment: one body in one medium, the oldest first. */
  readonly samples: readonly Sample[];
  /** When the segment began: it was put there. */
  readonly since: EpochMs;
  readonly surroundings: Surroundings;
  readonly goal: Celsius;
}

/** Readings of the first minutes say more about the probe and the bowl than about the body. */
const LAG_S = 300;
const LAG_SHARE = 0.15;
const SETTLED_SHARE = 0.22;
const FEWEST = 3;
/** Readings must lie over so long, and show so much of the way from the first of them to the surroundings. */
const SHORTEST_S = 600;
const LEAST_SHARE = 0.12;
/** No prediction for a goal so near the surroundings: there a body creeps for ever. */
const NEAR_C = 1;
/** Larger residuals mean that it is no single body cooling in one medium. */
const WORST_FIT_C = 1;
/** What a single figure of a thermometer is worth at best, C. */
const LEAST_NOISE_C = 0.08;

/** Time constants that are considered first, 2 minutes to 32 hours, and then closely around those that fit; in equal steps of their logarithm. */
const TAUS: readonly number[] = between(120, 120 * 2 ** 9.9, 25);
const CLOSE_TAUS = 41;
/** What weighs less than this beside the best fit is not looked at closely. */
const NO_WEIGHT = 1e-4;
/** Surroundings that are considered, in standard deviations from what is believed, and what each weighs beforehand. */
const OFFS: readonly number[] = Array.from({ length: 25 }, (_, index) => -3 + index / 4);

/**
 * What the model leaves out, as a standard deviation of the logarithm of the time still to go: surroundings that drift as a
 * door is opened, a body that is not of one temperature. Calibrated by `npm run bench:heat`.
 */
const MODEL_SPREAD = 0.012;
/** A normal distribution in three points (Gauss and Hermite). */
const FUTURES = [
  { off: -Math.sqrt(3), share: 1 / 6 },
  { off: 0, share: 2 / 3 },
  { off: Math.sqrt(3), share: 1 / 6 },
] as const;
/** Below 90 % of a normal distribution. */
const Z90 = 1.2816;

/**
 * When a body reaches a temperature by Newton's law of cooling: T(t) = S + (T0 - S) e^(-t/tau).
 *
 * Every pair of a time constant and a temperature of the surroundings is fitted to the readings by least squares (T0 is
 * linear), and weighed by how well it fits and how near it lies to what is believed of the surroundings. The range is read
 * off the weighed pairs: a Bayesian fit on a grid, with the noise integrated out, and with fewer readings counted where
 * neighbouring residuals resemble each other. It refuses rather than guesses.
 */
export function predict(request: PredictionRequest): Prediction {
  const { goal, surroundings } = request;
  const last = request.samples.at(-1);
  if (!last) return refused('nothing has been read yet');
  const isFalling = last.celsius > surroundings.celsius;
  if (isFalling ? last.celsius <= goal : last.celsius >= goal) {
    const wasThere = request.samples.some(({ celsius: read }) => (isFalling ? read > goal : read < goal));
    if (wasThere || last.celsius === goal) return { kind: 'reached' };
  }
  const toGo = isFalling ? goal - surroundings.celsius : surroundings.celsius - goal;
  if (toGo < NEAR_C)
    return refused(
      `it stands in about ${Math.round(surroundings.celsius)} C: too near ${round(goal)} C to say`,
    );
  const used = pastTheLag(request);
  const first = used[0];
  if (!first || used.length < FEWEST || secondsBetween(first.at, last.at) < SHORTEST_S)
    return refused('too few readings yet');
  const way = Math.abs(first.celsius - surroundings.celsius);
  const gone = isFalling ? first.celsius - last.celsius : last.celsius - first.celsius;
  if (gone <= 0) return refused(isFalling ? 'it is not falling' : 'it is not rising');
  if (gone < Math.max(0.5, LEAST_SHARE * way)) return refused('too little change yet');
  const fitted = fits(used, surroundings);
  if (!isOneBody(used, fitted.best)) return refused(NO_FIT);
  return fromFits(fitted, last, goal, surroundings, isFalling);
}

const NO_FIT = 'the readings fit no single cooling body';
const refused = (why: string): Prediction => ({ kind: 'refused', why });
const round = (value: number): number => Math.round(value * 10) / 10;

/**
 * The readings once the body cools as one: the middle of a thick one first lags behind, and its last stretch alone is
 * exponential (the first term of the series for a slab rules once some 15 % of the way is gone).
 */
function pastTheLag({ samples, since, surroundings }: PredictionRequest): readonly Sample[] {
  const end = samples.at(-1)?.at ?? since;
  const lag = Math.min(LAG_S, secondsBetween(since, end) * LAG_SHARE);
  const apart = (sample: Sample | undefined): number =>
    Math.abs((sample?.celsius ?? surroundings.celsius) - surroundings.celsius);
  const settled = (1 - SETTLED_SHARE) * apart(samples[0]);
  const from = samples.findIndex((sample) => apart(sample) <= settled);
  return samples.filter(({ at }, index) => index >= from && secondsBetween(since, at) >= lag);
}

/** More readings than this say nothing more; they are thinned evenly. */
const MOST_USED = 60;

/** The fits of every pair of a time constant and surroundings, side by side: pair `i` has the time constant `taus[i / OFFS]`. */
interface Fits {
  readonly taus: readonly number[];
  /** The body's distance from its surroundings at the last reading, C. */
  readonly apart: Float64Array;
  /** How much a pair weighs, beside 1 for the best. */
  readonly weight: Float64Array;
  readonly best: Best;
}

interface Best {
  readonly tau: number;
  readonly around: number;
  readonly apart: number;
}

/** Readings as they are fitted: how long before the last of them, s, and at what. */
interface Readings {
  readonly ages: Float64Array;
  readonly figures: Float64Array;
}

function readingsOf(samples: readonly Sample[], most: number): Readings {
  const step = Math.max(1, Math.ceil(samples.length / most));
  const kept = samples.filter((_, index) => (samples.length - 1 - index) % step === 0);
  const end = kept.at(-1)?.at ?? (0 as EpochMs);
  return {
    ages: Float64Array.from(kept, ({ at }) => secondsBetween(at, end)),
    figures: Float64Array.from(kept, ({ celsius: figure }) => figure),
  };
}

function fits(samples: readonly Sample[], surroundings: Surroundings): Fits {
  const readings = readingsOf(samples, MOST_USED);
  const coarse = weighed(readings, surroundings, TAUS);
  let [lowest, highest] = [TAUS.length - 1, 0];
  coarse.weight.forEach((weight, pair) => {
    if (weight <= NO_WEIGHT) return;
    const place = Math.floor(pair / OFFS.length);
    lowest = Math.min(lowest, place);
    highest = Math.max(highest, place);
  });
  const from = TAUS[Math.max(0, lowest - 1)] ?? 120;
  const to = TAUS[Math.min(TAUS.length - 1, highest + 1)] ?? from;
  return weighed(readings, surroundings, between(from, to, CLOSE_TAUS));
}

function weighed(readings: Readings, surroundings: Surroundings, taus: readonly number[]): Fits {
  const pairs = taus.length * OFFS.length;
  const [apart, squares] = [new Float64Array(pairs), new Float64Array(pairs)];
  taus.forEach((tau, place) => fitAll(readings, surroundings, tau, place * OFFS.length, apart, squares));
  const count = readings.ages.length;
  const floor = count * LEAST_NOISE_C ** 2;
  const best = bestOf(squares, count, floor);
  const fit: Best = {
    tau: taus[Math.floor(best / OFFS.length)] ?? 1,
    around: surroundings.celsius + (OFFS[best % OFFS.length] ?? 0) * surroundings.spread,
    apart: apart[best] ?? 0,
  };
  const worth = worthOf(readings, fit);
  // With fewer independent readings another pair may weigh most.
  const top = scored(squares, bestOf(squares, worth, floor), worth, floor);
  const weight = squares.map((_, pair) => Math.exp(scored(squares, pair, worth, floor) - top));
  return { taus, apart, weight, best: fit };
}

function bestOf(squares: Float64Array, worth: number, floor: number): number {
  let best = 0;
  for (let pair = 1; pair < squares.length; pair += 1)
    if (scored(squares, pair, worth, floor) > scored(squares, best, worth, floor)) best = pair;
  return best;
}

/** The logarithm of a pair's weight, the noise integrated out, if the readings are worth so many independent ones. */
function scored(squares: Float64Array, pair: number, worth: number, floor: number): number {
  const off = OFFS[pair % OFFS.length] ?? 0;
  return -(off * off) / 2 - (worth / 2) * Math.log((squares[pair] ?? 0) + floor);
}

/** The least-squares fits with one time constant, one for each temperature of the surroundings. */
function fitAll(
  { ages, figures }: Readings,
  { celsius: middle, spread }: Surroundings,
  tau: number,
  first: number,
  apart: Float64Array,
  squares: Float64Array,
): void {
  let [see, sye, se, sy, syy] = [0, 0, 0, 0, 0];
  ages.forEach((age, index) => {
    const e = shapeAt(age, tau);
    const y = figures[index] ?? 0;
    see += e * e;
    sye += y * e;
    se += e;
    sy += y;
    syy += y * y;
  });
  OFFS.forEach((off, index) => {
    const around = middle + off * spread;
    const cross = sye - around * se;
    const own = syy - 2 * around * sy + around * around * ages.length;
    const distance = cross / see;
    apart[first + index] = distance;
    squares[first + index] = Math.max(0, own - distance * cross);
  });
}

/** How far a body was from its surroundings so long ago, in units of how far it is now. */
const shapeAt = (age: number, tau: number): number => Math.exp(Math.min(50, age / tau));

function between(low: number, high: number, count: number): number[] {
  return Array.from({ length: count }, (_, index) => low * (high / low) ** (index / (count - 1)));
}

/** What a fit leaves over of each reading, C. */
const residuals = ({ ages, figures }: Readings, { tau, around, apart }: Best): Float64Array =>
  ages.map((age, index) => (figures[index] ?? 0) - around - apart * shapeAt(age, tau));

/** n (1 - r) / (1 + r), with r the correlation of neighbouring residuals (the usual count of independent readings of an AR(1) series). */
function worthOf(readings: Readings, best: Best): number {
  let [both, own, before] = [0, 0, 0];
  for (const residual of residuals(readings, best)) {
    own += residual * residual;
    both += residual * before;
    before = residual;
  }
  const resemblance = own === 0 ? 0 : Math.min(0.9, Math.max(0, both / own));
  return Math.max(3, (readings.ages.length * (1 - resemblance)) / (1 + resemblance));
}

/** Whether the readings, all of them, are those of one body in one medium. */
function isOneBody(samples: readonly Sample[], best: Best): boolean {
  const left = residuals(readingsOf(samples, samples.length), best);
  return Math.sqrt(left.reduce((sum, each) => sum + each * each, 0) / left.length) <= WORST_FIT_C;
}

function fromFits(
  { taus, apart, weight }: Fits,
  last: Sample,
  goal: Celsius,
  { celsius: middle, spread, drift }: Surroundings,
  isFalling: boolean,
): Prediction {
  const [times, shares]: [number[], number[]] = [[], []];
  weight.forEach((weighs, pair) => {
    const distance = apart[pair] ?? 0;
    if (weighs < NO_WEIGHT || distance > 0 !== isFalling) return;
    const around = middle + (OFFS[pair % OFFS.length] ?? 0) * spread;
    const tau = taus[Math.floor(pair / OFFS.length)] ?? 1;
    for (const { off, share } of FUTURES) {
      const moved = off * drift;
      const left = (goal - around - moved) / (distance - moved);
      times.push(left > 0 ? Math.max(0, -tau * Math.log(left)) : Infinity);
      shares.push(weighs * share);
    }
  });
  if (times.length === 0) return refused(NO_FIT);
  const quantile = quantiles(times, shares);
  const [low, usual, high] = [quantile(0.1), quantile(0.5), quantile(0.9)];
  if (!Number.isFinite(high)) return refused(`it may never come to ${round(goal)} C where it is`);
  const at = (time: number): EpochMs => plus(last.at, time);
  return {
    kind: 'expected',
    low: at(widened(low, usual, -1)),
    usual: at(usual),
    high: at(widened(high, usual, 1)),
  };
}

/** So many stretches of the times are told apart. */
const BINS = 512;

/** Quantiles of weighed times, by a histogram: as good as putting them in order, and much quicker. */
function quantiles(times: readonly number[], shares: readonly number[]): (share: number) => number {
  let [shortest, longest, sum] = [Infinity, 0, 0];
  times.forEach((time, index) => {
    sum += shares[index] ?? 0;
    if (time === Infinity) return;
    shortest = Math.min(shortest, time);
    longest = Math.max(longest, time);
  });
  const width = Math.max(1e-6, longest - shortest) / BINS;
  const bins = new Float64Array(BINS);
  times.forEach((time, index) => {
    if (time === Infinity) return;
    const bin = Math.min(BINS - 1, Math.floor((time - shortest) / width));
    bins[bin] = (bins[bin] ?? 0) + (shares[index] ?? 0);
  });
  return (share) => {
    let passed = 0;
    for (let bin = 0; bin < BINS; bin += 1) {
      const here = bins[bin] ?? 0;
      if (here > 0 && passed + here >= share * sum)
        return shortest + width * (bin + Math.max(0, (share * sum - passed) / here));
      passed += here;
    }
    return Infinity;
  };
}

/** A quantile with what the model leaves out added, as independent spreads of the logarithm add. */
function widened(quantile: number, usual: number, side: -1 | 1): number {
  const base = Math.max(usual, 1);
  const half = Math.abs(Math.log(Math.max(quantile, 1) / base));
  return base * Math.exp(side * Math.hypot(half, Z90 * MODEL_SPREAD));
}

/** The temperature of a body after so long in its surroundings. */
export function bodyAfter(from: Celsius, around: Celsius, tau: number, passed: number): Celsius {
  return celsius(around + (from - around) * Math.exp(-passed / tau));
}
