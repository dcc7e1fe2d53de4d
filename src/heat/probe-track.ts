import type { Probe } from '../plan/index.ts';
import {
  celsius,
  plus,
  seconds,
  secondsBetween,
  type Celsius,
  type EpochMs,
  type Seconds,
} from '../units/index.ts';

/** One reading, corrected for the probe's own error. */
export interface Sample {
  readonly at: EpochMs;
  readonly celsius: Celsius;
}

/** Why a probe is not believed. */
export type ProbeFault = 'out of range' | 'jumping' | 'frozen' | 'silent';

/** How a probe has behaved so far. Plain data, bounded. */
export interface ProbeTrack {
  /** Believed readings of the present segment, the oldest first: never more than {@link MOST_SAMPLES}, spread evenly over it. */
  readonly samples: readonly Sample[];
  /** When anything was last heard of it, believed or not. */
  readonly heardAt: EpochMs;
  /** It reads by itself, so its silence means something; not so where only the cook has read it. */
  readonly live: boolean;
  /** The figure it stands still at: since when, how often it came, and how it came there. */
  readonly still?: {
    readonly celsius: Celsius;
    readonly since: EpochMs;
    readonly count: number;
    readonly way: Way;
  };
  /** Readings that came faster than a body can change, while they agree among themselves. */
  readonly doubted?: readonly Sample[];
  /** Why its last reading was not believed. */
  readonly fault?: { readonly kind: Exclude<ProbeFault, 'silent'>; readonly since: EpochMs };
}

/** How a probe came to a figure: what it changed by in the last of two stretches of equal length, and in the one before it. */
export interface Way {
  readonly stretch: Seconds;
  readonly last: number;
  readonly before: number;
  /** How finely it reads, as far as that shows: the smallest change from one reading to the next, 0 where there was none. */
  readonly finest: number;
}

export interface Heard {
  readonly track: ProbeTrack;
  /** Whether the reading counts: for triggers, clocks and predictions. */
  readonly believed: boolean;
}

const MOST_SAMPLES = 120;
/** Thinning is done for many at once, so that what is made of the readings holds for some time. */
const THINNED_TO = 90;
/** A change by no more than this is none too fast, however soon it comes: rounding, and a stir. */
const SMALL_C = 1.5;
/** A change is judged over at most this long, so that a pause does not excuse every jump. */
const JUDGED_S = 3;
/** A jump that is confirmed by so many readings over so long is a new truth: the probe was moved. */
const CONFIRMED_BY = 3;
const CONFIRMED_OVER_S = 10;
/**
 * A body that was changing does not stand still from one moment to the next. Frozen is a probe that repeats one figure so
 * often and so long, although by the way it came there it should be so far on: in degrees, and in its own smallest changes.
 */
const STILL_COUNT = 6;
const STILL_S = 120;
const STILL_C = 1;
const STILL_STEPS = 2.5;
/** The way before a standstill is looked at in two stretches of this length, or of half of what there is; not below the least. */
const STRETCH_S = 900;
const LEAST_STRETCH_S = 60;
/** What is left of a change from one stretch to the next is taken to be no more than this: bodies slow down. */
const MOST_LEFT = 0.95;

/** What is believed of a probe that the kitchen file does not describe. */
export function usualProbe(name: string): Probe {
  return {
    name,
    low: celsius(-50),
    high: celsius(300),
    fastest: 10,
    stale: seconds(120),
    iceWater: celsius(0),
  };
}

/**
 * At what water boils, so many metres above the sea: 1.1 C less for each 300 m.
 * Source: state extension service tables on sugar cooking, which give 2 F for each 1,000 ft.
 */
export function boilingPoint(altitude = 0): Celsius {
  return celsius(100 - (1.1 * altitude) / 300);
}

/**
 * What a probe would read if it were right: straight through what it reads in ice water (0 C) and in boiling water (the
 * boiling point of the place). Without a reading in boiling water it is off by the same everywhere.
 */
export function corrected(probe: Probe, reading: Celsius, altitude = 0): Celsius {
  const { iceWater, boilingWater } = probe;
  if (boilingWater === undefined) return celsius(reading - iceWater);
  return celsius(((reading - iceWater) * boilingPoint(altitude)) / (boilingWater - iceWater));
}

/**
 * Takes one (corrected) reading into account. `deliberate`: a person took it on purpose; it is believed within the probe's
 * limits, whatever came before.
 */
export function hearProbe(
  track: ProbeTrack | undefined,
  probe: Probe,
  sample: Sample,
  deliberate: boolean,
): Heard {
  const old = track ?? { samples: [], heardAt: sample.at, live: false };
  const { fault: _, ...kept } = old;
  const next: ProbeTrack = { ...kept, heardAt: sample.at, live: !deliberate };
  if (sample.celsius < probe.low || sample.celsius > probe.high)
    return doubt(old, next, 'out of range', sample.at);
  const last = old.samples.at(-1);
  // What was heard and doubted meanwhile is no silence: it does not make what comes after it any truer.
  const wasSilent = last !== undefined && secondsBetween(old.heardAt, sample.at) > probe.stale;
  if (last && !wasSilent && isTooFast(probe, last, sample)) {
    return deliberate ? believe(begunAnew(next, []), sample) : jumped(old, next, probe, sample);
  }
  const { doubted: __, ...calm } = next;
  const still = standstill(old, sample);
  if (!deliberate && isFrozen(still, sample.at)) return doubt(old, { ...calm, still }, 'frozen', sample.at);
  return believe({ ...calm, still }, sample);
}

/** Why a probe cannot be believed at a moment; silent only where it reads by itself. */
export function faultAt(track: ProbeTrack, probe: Probe, now: EpochMs): ProbeFault | undefined {
  if (track.live && now >= silentFrom(track, probe)) return 'silent';
  return track.fault?.kind;
}

/** From when on a probe counts as silent if nothing more is heard of it. */
export function silentFrom(track: ProbeTrack, probe: Probe): EpochMs {
  return plus(track.heardAt, probe.stale);
}

function isTooFast(probe: Probe, last: Sample, sample: Sample): boolean {
  const passed = Math.min(JUDGED_S, Math.max(0, secondsBetween(last.at, sample.at)));
  return Math.abs(sample.celsius - last.celsius) > SMALL_C + probe.fastest * passed;
}

function doubt(old: ProbeTrack, next: ProbeTrack, kind: Exclude<ProbeFault, 'silent'>, at: EpochMs): Heard {
  const since = old.fault?.kind === kind ? old.fault.since : at;
  return { track: { ...next, fault: { kind, since } }, believed: false };
}

/** A reading too far from the last: believed once others agree with it, as the beginning of a new segment. */
function jumped(old: ProbeTrack, next: ProbeTrack, probe: Probe, sample: Sample): Heard {
  const before = old.doubted?.at(-1);
  const agreeing = before && !isTooFast(probe, before, sample) ? (old.doubted ?? []) : [];
  const doubted = [...agreeing, sample].slice(-CONFIRMED_BY);
  const [first] = doubted;
  // A probe that was moved creeps to its new figure; one that leaps and then stands still to the digit is broken.
  const creeps = doubted.some((each) => each.celsius !== first?.celsius);
  const isConfirmed =
    creeps &&
    doubted.length >= CONFIRMED_BY &&
    first &&
    secondsBetween(first.at, sample.at) >= CONFIRMED_OVER_S;
  if (!isConfirmed) return doubt(old, { ...next, doubted }, 'jumping', sample.at);
  return believe(begunAnew(next, doubted.slice(0, -1)), sample);
}

function begunAnew(track: ProbeTrack, samples: readonly Sample[]): ProbeTrack {
  const { doubted: _, still: __, ...rest } = track;
  return { ...rest, samples };
}

const believe = (track: ProbeTrack, sample: Sample): Heard => ({
  track: { ...track, samples: thinned([...track.samples, sample]) },
  believed: true,
});

/** Where there are too many, those go whose absence leaves the smallest gaps; the first and the last always stay. */
function thinned(samples: readonly Sample[]): readonly Sample[] {
  if (samples.length <= MOST_SAMPLES) return samples;
  const kept = [...samples];
  while (kept.length > THINNED_TO) {
    let [least, spare] = [Infinity, 1];
    for (let index = 1; index < kept.length - 1; index += 1) {
      const gap = (kept[index + 1]?.at ?? Infinity) - (kept[index - 1]?.at ?? 0);
      if (gap < least) [least, spare] = [gap, index];
    }
    kept.splice(spare, 1);
  }
  return kept;
}

function standstill(old: ProbeTrack, sample: Sample): NonNullable<ProbeTrack['still']> {
  const { still } = old;
  if (still?.celsius === sample.celsius) return { ...still, count: still.count + 1 };
  return { celsius: sample.celsius, since: sample.at, count: 1, way: wayTo(old.samples, sample) };
}

function wayTo(samples: readonly Sample[], sample: Sample): Way {
  const first = samples[0] ?? sample;
  const stretch = seconds(Math.min(STRETCH_S, secondsBetween(first.at, sample.at) / 2));
  const [middle, begin] = [readAt(samples, sample, stretch), readAt(samples, sample, 2 * stretch)];
  return {
    stretch,
    last: sample.celsius - middle,
    before: middle - begin,
    finest: finestIn([...samples, sample]),
  };
}

/** What was read so many seconds before a sample, in between straight. */
function readAt(samples: readonly Sample[], sample: Sample, ago: number): number {
  let after = sample;
  for (const each of samples.toReversed()) {
    const passed = secondsBetween(each.at, sample.at);
    if (passed >= ago) {
      const width = secondsBetween(each.at, after.at);
      const share = width > 0 ? (passed - ago) / width : 0;
      return each.celsius + (after.celsius - each.celsius) * share;
    }
    after = each;
  }
  return after.celsius;
}

function finestIn(samples: readonly Sample[]): number {
  let finest = Infinity;
  for (const [index, sample] of samples.entries()) {
    const change = Math.abs(sample.celsius - (samples[index - 1]?.celsius ?? sample.celsius));
    if (change > 0) finest = Math.min(finest, change);
  }
  return Number.isFinite(finest) ? finest : 0;
}

function isFrozen({ since, count, way }: NonNullable<ProbeTrack['still']>, at: EpochMs): boolean {
  const passed = secondsBetween(since, at);
  if (count < STILL_COUNT || passed < STILL_S || way.stretch < LEAST_STRETCH_S) return false;
  return furtherOn(way, passed) >= Math.max(STILL_C, STILL_STEPS * way.finest);
}

/**
 * How far a body that came that way should be on after so many seconds. By Newton's law it changes in each stretch by the same
 * share of what it did in the stretch before; what the fineness of the probe leaves open is taken against that.
 */
function furtherOn({ stretch, last, before, finest }: Way, passed: number): number {
  const change = Math.abs(last) - finest;
  if (change <= 0) return 0;
  const left = Math.min(MOST_LEFT, change / Math.max(change, before * Math.sign(last) + finest));
  return ((change * left) / (1 - left)) * (1 - left ** (passed / stretch));
}
