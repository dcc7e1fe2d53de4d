import type { Hands } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';

/** A stretch in which the same number of cooks is wanted. */
export interface HandsSpan {
  readonly at: EpochMs;
  readonly end: EpochMs;
  /** Cooks with both hands taken, and steps that want a look now and then. */
  readonly busy: number;
  readonly near: number;
}

/** A step as far as it concerns hands. */
export interface HandsWanted {
  readonly at: EpochMs;
  readonly end: EpochMs;
  readonly hands: Hands;
}

/** How many cooks are wanted when, from the first busy or near step to the last; neighbouring spans differ. */
export function handsSpans(steps: readonly HandsWanted[]): HandsSpan[] {
  const wanted = steps.filter(({ hands, at, end }) => hands !== 'free' && end > at);
  const moments = [...new Set(wanted.flatMap(({ at, end }) => [at, end]))].toSorted((a, b) => a - b);
  const spans: HandsSpan[] = [];
  moments.slice(0, -1).forEach((at, place) => {
    const end = moments[place + 1] ?? at;
    const going = wanted.filter((step) => step.at <= at && step.end >= end);
    const busy = going.filter(({ hands }) => hands === 'busy').length;
    const near = going.length - busy;
    const before = spans.at(-1);
    if (before?.busy === busy && before.near === near) spans[spans.length - 1] = { ...before, end };
    else spans.push({ at, end, busy, near });
  });
  return spans;
}
