import type { Frame } from './frame.ts';
import { addSpread, count, spread, type Spread } from './spread.ts';
import { lookAtWaits, overAt, REASONS, waitsFor, walkBack, type Waits } from './waits.ts';
import type { PlayedRun } from '../fast/index.ts';

/** Less than this late counts as on time, s. */
export const ON_TIME = 60;

/** What is known of some rehearsals together. It is as large for a hundred thousand as for one, and two add up to one. */
export interface Tally {
  runs: number;
  onTime: number;
  /** On time, and no limit broken. */
  well: number;
  /** By limit: in how many it was broken. */
  readonly broken: Uint32Array<ArrayBuffer>;
  /** Ready, in seconds after service; negative before it. Of several plans the one with the least in hand. */
  readonly ready: Spread;
  readonly late: Spread;
  /** The least seed of those that came to no end; Infinity where all did. */
  stuck: number;
  /** By step: how much later than told it started and ended, s. */
  readonly starts: readonly Spread[];
  readonly ends: readonly Spread[];
}

/** An empty tally. */
export function tally({ steps }: Frame, windows: number): Tally {
  return {
    runs: 0,
    onTime: 0,
    well: 0,
    broken: new Uint32Array(windows),
    ready: spread(1),
    late: spread(1),
    stuck: Infinity,
    starts: steps.map(() => spread(5)),
    ends: steps.map(() => spread(5)),
  };
}

/** How long after service a rehearsal was ready, s; of several plans the worst. NaN where it never was. */
export function readiness({ plans }: Frame, { ends }: PlayedRun): number {
  let worst = -Infinity;
  for (const { service, steps } of plans) {
    let ready = -Infinity;
    for (const step of steps) {
      const end = ends[step] ?? NaN;
      if (Number.isNaN(end)) return NaN;
      ready = Math.max(ready, end);
    }
    worst = Math.max(worst, (ready - service) / 1000);
  }
  return worst;
}

export const isOnTime = ({ late }: PlayedRun): boolean => late < ON_TIME;

/** Whether a rehearsal was on time and broke no limit. */
export function wentWell(run: PlayedRun): boolean {
  return isOnTime(run) && !run.broken.includes(1);
}

/** Adds one rehearsal. */
export function take(into: Tally, frame: Frame, run: PlayedRun): void {
  into.runs += 1;
  if (isOnTime(run)) into.onTime += 1;
  if (wentWell(run)) into.well += 1;
  for (let window = 0; window < into.broken.length; window += 1)
    into.broken[window] = (into.broken[window] ?? 0) + (run.broken[window] ?? 0);
  count(into.ready, readiness(frame, run));
  count(into.late, run.late);
  if (!Number.isFinite(run.late)) into.stuck = Math.min(into.stuck, run.seed);
  for (let step = 0; step < frame.steps.length; step += 1) {
    const [starts, ends] = [into.starts[step], into.ends[step]];
    if (starts) count(starts, ((run.starts[step] ?? NaN) - (frame.starts[step] ?? NaN)) / 1000);
    if (ends) count(ends, ((run.ends[step] ?? NaN) - (frame.ends[step] ?? NaN)) / 1000);
  }
}

/** Adds what another tally holds. */
export function addTally(into: Tally, more: Tally): void {
  into.runs += more.runs;
  into.onTime += more.onTime;
  into.well += more.well;
  addCounts(into.broken, more.broken);
  addSpread(into.ready, more.ready);
  addSpread(into.late, more.late);
  into.stuck = Math.min(into.stuck, more.stuck);
  for (const [step, own] of into.starts.entries()) if (more.starts[step]) addSpread(own, more.starts[step]);
  for (const [step, own] of into.ends.entries()) if (more.ends[step]) addSpread(own, more.ends[step]);
}

type Counts = Uint32Array<ArrayBuffer> | Float64Array<ArrayBuffer>;

function addCounts(into: Counts, more: Counts): void {
  for (let index = 0; index < into.length; index += 1) into[index] = (into[index] ?? 0) + (more[index] ?? 0);
}

/** What held things up, over some rehearsals. */
export interface Blame {
  /** Rehearsals that were so late that they were asked why. */
  asked: number;
  /** By step: in how many of those it lay on the path that made them late. */
  readonly onPath: Uint32Array<ArrayBuffer>;
  /** By step: by how many seconds it alone lengthened that path, over all of them. */
  readonly added: Float64Array<ArrayBuffer>;
  /** Over all rehearsals. By step: how its length and readiness go together, as sums from which a correlation is made. */
  runs: number;
  readonly lengths: Float64Array<ArrayBuffer>;
  readonly lengthSquares: Float64Array<ArrayBuffer>;
  readonly products: Float64Array<ArrayBuffer>;
  ready: number;
  readySquares: number;
  /** In how many rehearsals a step waited for what, and how long in all, by `waiting place:reason:cause place:tool place`. */
  readonly clashes: Map<string, Clash>;
}

/** A step that had to wait for another one. */
export interface Clash {
  runs: number;
  /** In all of them together, s. */
  seconds: number;
}

export function blame({ steps: { length } }: Frame): Blame {
  return {
    asked: 0,
    onPath: new Uint32Array(length),
    added: new Float64Array(length),
    runs: 0,
    lengths: new Float64Array(length),
    lengthSquares: new Float64Array(length),
    products: new Float64Array(length),
    ready: 0,
    readySquares: 0,
    clashes: new Map(),
  };
}

/** Takes blame from rehearsals one after the other; it keeps room of its own to look at them. */
export function blamer(frame: Frame, askFrom: number): (into: Blame, run: PlayedRun) => void {
  const waits = waitsFor(frame);
  return (into, run) => {
    const ready = readiness(frame, run);
    lookAtWaits(frame, run, waits);
    takeClashes(into, frame, waits);
    if (ready >= askFrom) takePath(into, frame, run, waits);
    if (Number.isFinite(ready)) takeLengths(into, frame, run, ready);
  };
}

const [TOLD, BEFORE] = [REASONS.indexOf('told'), REASONS.indexOf('before')];

function takeClashes(into: Blame, { steps }: Frame, { reasons, causes, tools, waited }: Waits): void {
  for (let step = 0; step < steps.length; step += 1) {
    const [reason, cause] = [reasons[step] ?? TOLD, causes[step] ?? -1];
    if (reason === TOLD || reason === BEFORE || cause < 0) continue;
    const key = `${step}:${reason}:${cause}:${tools[step]}`;
    const clash = into.clashes.get(key) ?? { runs: 0, seconds: 0 };
    clash.runs += 1;
    clash.seconds += (waited[step] ?? 0) / 1000;
    into.clashes.set(key, clash);
  }
}

/** From the step that was ready last against its service, back to where things stood as told. */
function takePath(into: Blame, frame: Frame, run: PlayedRun, waits: Waits): void {
  let [last, latest] = [-1, -Infinity];
  for (const { service, steps } of frame.plans)
    for (const step of steps) {
      const over = (run.ends[step] ?? NaN) - service;
      if (over > latest) [last, latest] = [step, over];
    }
  if (last < 0) return;
  into.asked += 1;
  walkBack(frame, run, waits, last, (step) => {
    into.onPath[step] = (into.onPath[step] ?? 0) + 1;
    // The last one has nobody to wait for.
    const over = step === last ? (run.ends[step] ?? NaN) : overAt(frame, run, step);
    const took = over - (run.starts[step] ?? NaN);
    const told = (frame.ends[step] ?? NaN) - (frame.starts[step] ?? NaN);
    const more = Math.max(0, took - told) + (waits.waited[step] ?? 0);
    if (Number.isFinite(more)) into.added[step] = (into.added[step] ?? 0) + more / 1000;
  });
}

function takeLengths(into: Blame, frame: Frame, run: PlayedRun, ready: number): void {
  const { steps } = frame;
  into.runs += 1;
  into.ready += ready;
  into.readySquares += ready * ready;
  for (let step = 0; step < steps.length; step += 1) {
    const took = overAt(frame, run, step) - (run.starts[step] ?? NaN);
    // Against what was told, so that a rest of days loses no figures.
    const length = (took - ((frame.ends[step] ?? NaN) - (frame.starts[step] ?? NaN))) / 1000;
    into.lengths[step] = (into.lengths[step] ?? 0) + length;
    into.lengthSquares[step] = (into.lengthSquares[step] ?? 0) + length * length;
    into.products[step] = (into.products[step] ?? 0) + length * ready;
  }
}

export function addBlame(into: Blame, more: Blame): void {
  into.asked += more.asked;
  into.runs += more.runs;
  into.ready += more.ready;
  into.readySquares += more.readySquares;
  addCounts(into.onPath, more.onPath);
  addCounts(into.added, more.added);
  addCounts(into.lengths, more.lengths);
  addCounts(into.lengthSquares, more.lengthSquares);
  addCounts(into.products, more.products);
  for (const [key, { runs, seconds }] of more.clashes) {
    const clash = into.clashes.get(key) ?? { runs: 0, seconds: 0 };
    into.clashes.set(key, { runs: clash.runs + runs, seconds: clash.seconds + seconds });
  }
}

/**
 * How closely a step's length goes with readiness: Pearson's correlation, -1 to 1 (the cruciality index of T. M. Williams,
 * Journal of the Operational Research Society 43, 1992). NaN where either is always the same.
 */
export function correlation(of: Blame, step: number): number {
  const { runs, ready, readySquares } = of;
  const length = of.lengths[step] ?? NaN;
  const both = (of.products[step] ?? NaN) - (length * ready) / runs;
  const own = (of.lengthSquares[step] ?? NaN) - (length * length) / runs;
  const other = readySquares - (ready * ready) / runs;
  return own > 1e-6 && other > 1e-6 ? both / Math.sqrt(own * other) : NaN;
}
