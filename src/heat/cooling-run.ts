import { later, plus, secondsBetween, type Celsius, type EpochMs, type Seconds } from '../units/index.ts';
import type { CoolingLimit } from './rules.ts';
import type { Sample } from './probe-track.ts';

/**
 * One body's cooling as it was measured. Plain data and small: for each limit only the readings that decide it are kept.
 * Whoever makes it says since when the body has been off the heat.
 */
export interface CoolingRun {
  readonly since: EpochMs;
  /** One for each limit of the rules, in their order. */
  readonly clocks: readonly CoolingClock[];
  /** Its last reading. */
  readonly last?: Sample;
}

/** What was measured for one limit. */
export interface CoolingClock {
  /** The last reading at or above where the clock starts. */
  readonly above?: Sample;
  /** The first reading below it: with this the clock is known to run. */
  readonly below?: Sample;
  /** The first reading that was cold enough, whether or not in time. */
  readonly met?: Sample;
}

/** How one limit stands at a moment. */
export type CoolingStand = {
  readonly limit: CoolingLimit;
  readonly last?: Sample;
} & (
  | { readonly state: 'not started' }
  | ({
      readonly state: 'running';
      /** From here on there is only a tenth of the time left. */
      readonly warnFrom: EpochMs;
    } & Clock)
  /** Measured cold enough at or before the limit. */
  | ({ readonly state: 'met'; readonly met: Sample } & Clock)
  /** The time is over, and no reading in it was cold enough; one after it may have been. */
  | ({ readonly state: 'passed'; readonly met?: Sample } & Clock)
);

interface Clock {
  readonly startedAt: EpochMs;
  /** The reading that dates the start. */
  readonly startedWith?: Sample;
  /** Nothing was read where the clock starts, so it is taken to have started as the body left the heat. */
  readonly isAssumed: boolean;
  readonly by: EpochMs;
}

/** What of a limit's time is kept in hand for acting. Judgement of this project. */
export const TIME_MARGIN = 0.1;
/** What a probe is allowed to be wrong by, C: as much as food codes allow a thermometer. */
export const PROBE_MARGIN_C = 1;
/** A limit from so warm is one for hot food: read there again, a body was heated, and its cooling begins anew. */
const HOT_C = 50;
/** A body that was read so warm within this time has not passed it: its clock has not started. Later it may have, unseen. */
export const FRESH_S = 600;
/** Nothing that is off the heat warms so much so fast: the probe was out of it when it read so cold, and that does not count. */
const WITHDRAWN_C = 5;
const WITHDRAWN_S = 600;

/** A body that has just left the heat, or on which work has begun. */
export const coolingSince = (since: EpochMs, limits: readonly CoolingLimit[]): CoolingRun => ({
  since,
  clocks: limits.map(() => ({})),
});

/** Takes a believed reading in; the readings of one body come in the order of time. */
export function coolingReading(run: CoolingRun, limits: readonly CoolingLimit[], sample: Sample): CoolingRun {
  const isReheated = limits.some(({ from }) => from !== undefined && from >= HOT_C && sample.celsius >= from);
  const { clocks } = isReheated ? coolingSince(run.since, limits) : run;
  return {
    since: run.since,
    clocks: limits.map((limit, index) => read(clocks[index] ?? {}, limit, sample)),
    last: sample,
  };
}

function read(clock: CoolingClock, { from, to }: CoolingLimit, sample: Sample): CoolingClock {
  const { above, below, met } = clock;
  const isKnownBelow = below !== undefined && !(from !== undefined && withdraws(sample, below, from));
  if (from !== undefined && !isKnownBelow && sample.celsius >= from) return { above: sample };
  const cold = met !== undefined && withdraws(sample, met, to) ? undefined : met;
  const first = cold ?? (sample.celsius <= to ? sample : undefined);
  return {
    ...(above === undefined ? {} : { above }),
    below: isKnownBelow ? below : sample,
    ...(first === undefined ? {} : { met: first }),
  };
}

/** Whether a reading shows that an earlier one, at or below an edge, was of something else. */
const withdraws = (sample: Sample, earlier: Sample, edge: Celsius): boolean =>
  sample.celsius > edge + WITHDRAWN_C && secondsBetween(earlier.at, sample.at) <= WITHDRAWN_S;

/** How each limit stands at `now`. Only a reading meets one: a prediction never does. */
export function standsOf(
  run: CoolingRun,
  limits: readonly CoolingLimit[],
  now: EpochMs,
): readonly CoolingStand[] {
  return limits.map((limit, index) => {
    const about = { limit, ...(run.last === undefined ? {} : { last: run.last }) };
    const start = startOf(run, limits, index, now);
    if (start === undefined) return { ...about, state: 'not started' };
    const by = plus(start.startedAt, limit.within);
    const met = run.clocks[index]?.met;
    const held = { ...about, ...start, by };
    if (met && met.at <= by) return { ...held, state: 'met', met };
    if (now > by) return { ...held, state: 'passed', ...(met === undefined ? {} : { met }) };
    return { ...held, state: 'running', warnFrom: plus(by, -TIME_MARGIN * limit.within) };
  });
}

type Start = Pick<Clock, 'startedAt' | 'startedWith' | 'isAssumed'>;

/**
 * When a clock started. One for hot food starts with the last reading at or above its temperature: the body passed that some
 * time after, so the clock never ends too late; and it does so too where nothing has been read since for a while. Where
 * nothing was ever read so warm, it is taken to have started as the body left the heat. One that follows another starts with
 * the reading that met the other, and at the other's end if none did by then.
 */
function startOf(
  { since, clocks }: CoolingRun,
  limits: readonly CoolingLimit[],
  index: number,
  now: EpochMs,
): Start | undefined {
  const { above, below } = clocks[index] ?? {};
  const [limit, before] = [limits[index], limits[index - 1]];
  if (limit?.from === undefined) return { startedAt: since, isAssumed: false };
  if (before !== undefined && before.to === limit.from) {
    const first = startOf({ since, clocks }, limits, index - 1, now);
    if (first === undefined) return undefined;
    const met = clocks[index - 1]?.met;
    const end = plus(first.startedAt, before.within);
    if (met && met.at <= end) return { startedAt: met.at, startedWith: met, isAssumed: false };
    return now > end ? { startedAt: end, isAssumed: first.isAssumed } : undefined;
  }
  if (above === undefined) return { startedAt: since, isAssumed: true };
  const isHot = below === undefined && secondsBetween(above.at, now) <= FRESH_S;
  return isHot ? undefined : { startedAt: later(above.at, since), startedWith: above, isAssumed: false };
}

/** How long food has been out of the cold in all, over every trip; `now` closes one that is still going on. */
export function outOfCold(
  trips: readonly { readonly from: EpochMs; readonly to?: EpochMs }[],
  now: EpochMs,
): Seconds {
  const total = trips.reduce((sum, { from, to = now }) => sum + Math.max(0, to - from), 0);
  return (total / 1000) as Seconds;
}
