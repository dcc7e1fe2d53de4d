import type { Frame } from './frame.ts';
import type { PlayedRun } from '../fast/index.ts';

/** Why a step began when it did. */
export const REASONS = ['told', 'before', 'hands', 'tool', 'oven', 'cook'] as const;
/**
 * told: its time had come. before: what it follows or needs was over. hands, tool, oven: something else had them until then.
 * cook: nothing was in its way; the cook was slow, or forgot it, or the oven was not right yet.
 */
export type Reason = (typeof REASONS)[number];

/** What held up each step of one rehearsal; written over from rehearsal to rehearsal. */
export interface Waits {
  /** By step: the place of the reason in {@link REASONS}. */
  readonly reasons: Uint8Array;
  /** By step: which other step it was, or -1. */
  readonly causes: Int16Array;
  /** By step: how long it waited after it could have begun but for hands, tools, the oven and the cook, in ms. */
  readonly waited: Float64Array;
  /** By step: for a tool, the place of it among the step's ties. */
  readonly tools: Int16Array;
}

/** Room for what held up the steps. */
export function waitsFor({ steps }: Frame): Waits {
  const { length } = steps;
  return {
    reasons: new Uint8Array(length),
    causes: new Int16Array(length),
    waited: new Float64Array(length),
    tools: new Int16Array(length),
  };
}

const TOLD = REASONS.indexOf('told');
const BEFORE = REASONS.indexOf('before');
const HANDS = REASONS.indexOf('hands');
const TOOL = REASONS.indexOf('tool');
const OVEN = REASONS.indexOf('oven');
const COOK = REASONS.indexOf('cook');

/** What a cook needs to answer a call is no waiting, ms. */
const PROMPT = 30_000;

/** Finds out what held up each step of a rehearsal, from its times alone. */
export function lookAtWaits(frame: Frame, run: PlayedRun, into: Waits): void {
  for (let step = 0; step < frame.steps.length; step += 1) lookAtOne(frame, run, step, into);
}

/**
 * When a step was over by itself, ms. A rest is taken out by what follows it, and may wait for that long after it had enough: it
 * holds nothing up meanwhile.
 */
export function overAt({ steps }: Frame, { starts, ends, drawn }: PlayedRun, step: number): number {
  const end = ends[step] ?? NaN;
  const length = steps[step]?.length;
  if (length?.kind !== 'rest') return end;
  return Math.min(end, (starts[step] ?? NaN) + Math.max(length.atLeast, drawn[step] ?? 0) * 1000);
}

function lookAtOne(frame: Frame, run: PlayedRun, step: number, into: Waits): void {
  const { starts, ends } = run;
  const ties = frame.ties[step];
  const start = starts[step] ?? NaN;
  const told = frame.starts[step] ?? NaN;
  let [due, reason, cause, tool] = [told, TOLD, -1, -1];
  for (const { from, after } of ties?.before ?? []) {
    const free = overAt(frame, run, from) + after;
    if (free > due) [due, reason, cause] = [free, BEFORE, from];
  }
  const waited = Number.isNaN(start) ? 0 : Math.max(0, start - due);
  if (waited > PROMPT && ties) {
    reason = COOK;
    cause = -1;
    let latest = due;
    for (const other of ties.hands) {
      const end = ends[other] ?? NaN;
      if (end > latest && end <= start) [latest, reason, cause] = [end, HANDS, other];
    }
    for (let index = 0; index < ties.tools.length; index += 1) {
      const other = ties.tools[index]?.from ?? -1;
      const end = ends[other] ?? NaN;
      if (end > latest && end <= start) [latest, reason, cause, tool] = [end, TOOL, other, index];
    }
    // An oven needs its time after the load before: that one is the cause where it came out later than told.
    if (reason === COOK) {
      for (const other of ties.oven) {
        const end = ends[other] ?? NaN;
        const isLate = end > (frame.ends[other] ?? NaN) + PROMPT && end <= start;
        if (isLate && (cause < 0 || end > (ends[cause] ?? NaN))) [reason, cause] = [OVEN, other];
      }
    }
  }
  into.reasons[step] = reason;
  into.causes[step] = cause;
  into.waited[step] = waited > PROMPT ? waited : 0;
  into.tools[step] = tool;
}

/**
 * Walks back from a step along what held it up, to where things still stood as told: the path that made it so late. Each step
 * on it is given to `visit`, the last first.
 */
export function walkBack(
  frame: Frame,
  run: PlayedRun,
  { reasons, causes }: Waits,
  from: number,
  visit: (step: number) => void,
): void {
  let step = from;
  for (let count = 0; count <= frame.steps.length; count += 1) {
    visit(step);
    const cause = causes[step] ?? -1;
    if (reasons[step] === TOLD || cause < 0) return;
    // What ended as told is not to blame, nor is anything before it.
    if (overAt(frame, run, cause) <= (frame.ends[cause] ?? NaN) + PROMPT) return;
    step = cause;
  }
}
