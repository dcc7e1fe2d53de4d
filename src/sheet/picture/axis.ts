import { earlier, epochMs, later, plus, secondsBetween, type EpochMs } from '../../units/index.ts';
import { clockOffset, midnightsBetween } from '../clock.ts';
import type { Rundown } from '../rundown.ts';

/** The one time axis, from above to below: stretches of time at one scale, and bands of words between them. */
export interface Axis {
  readonly segments: readonly Segment[];
  readonly bands: readonly Band[];
  readonly top: number;
  readonly bottom: number;
}

/** A stretch of time; `pad` below it is room for labels and stands for no time. */
export interface Segment {
  readonly from: EpochMs;
  readonly to: EpochMs;
  readonly top: number;
  readonly bottom: number;
  readonly pad: number;
  /** Units of the picture a second. */
  readonly scale: number;
}

export type Band = { readonly top: number; readonly height: number } & Breach;

/** Why the axis is interrupted. */
export type Breach =
  | { readonly kind: 'day'; readonly at: EpochMs }
  | { readonly kind: 'service'; readonly at: EpochMs }
  | { readonly kind: 'cut'; readonly at: EpochMs; readonly to: EpochMs };

export const BAND_HEIGHT: Readonly<Record<Breach['kind'], number>> = { day: 22, service: 22, cut: 34 };

const HOUR = 3600;
/** A timetable that is no longer than this is drawn whole. */
const WHOLE = 6 * HOUR;
/** In a longer one, this long without anything to do is cut out. */
const DULL = 2 * HOUR;
/** What is left of such a time on both sides. */
const EDGE = 8 * 60;

/** Where the axis is interrupted, in order; at one moment a cut before a new day, and services last. */
export function breachesOf(sheet: Rundown, from: EpochMs, to: EpochMs): Breach[] {
  const services = [...new Set(sheet.plans.map(({ service }) => service))];
  const cuts = cutsOf(sheet, from, to);
  const days = midnightsBetween(from, to, sheet.timeZone)
    // A day that begins while the axis is cut is told where the axis goes on; one that passes wholly is not told.
    .map((midnight) => cuts.find((cut) => cut.at < midnight && midnight <= cut.to)?.to ?? midnight);
  const order = { cut: 0, day: 1, service: 2 };
  const found: Breach[] = [
    { kind: 'day', at: from },
    ...cuts,
    ...[...new Set(days)].filter((at) => at > from && at < to).map((at) => ({ kind: 'day' as const, at })),
    ...services.map((at) => ({ kind: 'service' as const, at })),
  ];
  const end = (breach: Breach): number => (breach.kind === 'cut' ? breach.to : breach.at);
  return found.toSorted((a, b) => end(a) - end(b) || order[a.kind] - order[b.kind]);
}

function cutsOf(
  { entries, lanes }: Rundown,
  from: EpochMs,
  to: EpochMs,
): (Breach & { readonly kind: 'cut' })[] {
  if (secondsBetween(from, to) <= WHOLE) return [];
  const ends = lanes.flatMap(({ steps }) => steps.map(({ end }) => end));
  const hot = entries.flatMap((entry) => (entry.kind === 'oven' ? [entry.hotBy] : []));
  const moments = [...new Set([from, to, ...entries.map(({ at }) => at), ...ends, ...hot])].toSorted(
    (a, b) => a - b,
  );
  const busy = lanes.flatMap(({ steps }) => steps.filter(({ step }) => step.hands === 'busy'));
  return moments.flatMap((moment, place) => {
    const next = moments[place + 1];
    if (next === undefined || secondsBetween(moment, next) < DULL) return [];
    // Long work by hand is not dull.
    if (busy.some(({ at, end }) => at < next && end > moment)) return [];
    return [
      { kind: 'cut' as const, at: rounded(plus(moment, EDGE), 'up'), to: rounded(plus(next, -EDGE), 'down') },
    ];
  });
}

const FIVE_MINUTES = 300_000;
const rounded = (moment: EpochMs, way: 'up' | 'down'): EpochMs =>
  epochMs(
    (way === 'up' ? Math.ceil(moment / FIVE_MINUTES) : Math.floor(moment / FIVE_MINUTES)) * FIVE_MINUTES,
  );

/** The stretches of time between the breaches, in order. */
export function spansBetween(
  breaches: readonly Breach[],
  from: EpochMs,
  to: EpochMs,
): { readonly from: EpochMs; readonly to: EpochMs }[] {
  const spans: { from: EpochMs; to: EpochMs }[] = [];
  let at = from;
  for (const breach of breaches) {
    const stop = later(from, earlier(to, breach.at));
    if (stop > at) spans.push({ from: at, to: stop });
    at = later(at, breach.kind === 'cut' ? breach.to : stop);
  }
  if (to > at) spans.push({ from: at, to });
  return spans;
}

/**
 * Lays the axis out from `top` at one scale. `padOf` says how much more height a stretch needs than its time, for its
 * labels.
 */
export function layAxis(
  breaches: readonly Breach[],
  span: { readonly from: EpochMs; readonly to: EpochMs },
  layout: {
    readonly top: number;
    readonly scale: number;
    readonly padOf: (from: EpochMs, to: EpochMs, height: number) => number;
  },
): Axis {
  const segments: Segment[] = [];
  const bands: Band[] = [];
  let { top } = layout;
  let at = span.from;
  const segment = (to: EpochMs): void => {
    if (to <= at) return;
    const height = secondsBetween(at, to) * layout.scale;
    const pad = layout.padOf(at, to, height);
    segments.push({ from: at, to, top, bottom: top + height, pad, scale: layout.scale });
    top += height + pad;
    at = to;
  };
  for (const breach of breaches) {
    segment(earlier(span.to, breach.at));
    bands.push({ ...breach, top, height: BAND_HEIGHT[breach.kind] });
    top += BAND_HEIGHT[breach.kind];
    if (breach.kind === 'cut') at = breach.to;
  }
  segment(span.to);
  return { segments, bands, top: layout.top, bottom: top };
}

/** Where a moment of a segment lies. */
export const yOf = ({ from, top, scale }: Segment, moment: EpochMs): number =>
  top + secondsBetween(from, moment) * scale;

/** What of a stretch of time lies in a segment, or nothing; a moment without length lies where it begins. */
export function within(
  segment: Segment,
  at: EpochMs,
  end: EpochMs,
): { readonly at: EpochMs; readonly end: EpochMs } | undefined {
  const [first, last] = [later(at, segment.from), earlier(end, segment.to)];
  return last > first ? { at: first, end: last } : undefined;
}

/** The segment in which something that begins at a moment is told: the one that begins there rather than the one that ends there. */
export const segmentAt = (axis: Axis, moment: EpochMs): Segment | undefined =>
  axis.segments.find(({ from, to }) => moment >= from && moment < to) ??
  axis.segments.find(({ to }) => moment === to);

const STEPS = [5, 10, 15, 30, 60, 120].map((minutes) => minutes * 60);
/** Two figures on the axis are at least so far apart. */
const TICK_ROOM = 15;

/** Round local times in a segment, as far apart as figures need. */
export function ticksOf(segment: Segment, timeZone: string, room = TICK_ROOM): EpochMs[] {
  const step = STEPS.find((seconds) => seconds * segment.scale >= room) ?? 4 * HOUR;
  const offset = clockOffset(segment.from, timeZone);
  const found: EpochMs[] = [];
  const first = Math.ceil((segment.from / 1000 + offset) / step) * step - offset;
  for (let at = first; at * 1000 <= segment.to && found.length < 400; at += step)
    found.push(epochMs(at * 1000));
  return found;
}
