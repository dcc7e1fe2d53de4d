import type { OvenFigure } from '../plan/index.ts';
import { seconds, type Seconds } from '../units/index.ts';
import { secondsTo, type OvenDoor, type OvenModel } from './oven.ts';

/** At the least, as a rule, and at the most. */
export interface SecondsRange {
  readonly low: Seconds;
  readonly usual: Seconds;
  readonly high: Seconds;
}

/**
 * Between which shares of itself a figure is to be taken: `guessed` after the spread of reports of ordinary ovens, `given`
 * for one that was watched once in the kitchen. Judgement, see docs/ovens.md.
 */
const SPREAD: Readonly<Partial<Record<OvenFigure, { readonly guessed: Pair; readonly given: Pair }>>> = {
  heats: { guessed: [0.6, 1.6], given: [0.9, 1.15] },
  cools: { guessed: [0.75, 1.25], given: [0.9, 1.15] },
  ajar: { guessed: [0.75, 1.25], given: [0.9, 1.15] },
  open: { guessed: [0.67, 1.33], given: [0.9, 1.15] },
  soak: { guessed: [0.5, 2], given: [1, 1] },
};
type Pair = readonly [number, number];

function spreadOf(model: OvenModel, figure: OvenFigure): Pair {
  const spread = SPREAD[figure];
  if (!spread) return [1, 1];
  return model.guessed.includes(figure) ? spread.guessed : spread.given;
}

/** The range of {@link secondsTo}: as wide as the figure it rests on is uncertain. */
export function secondsToRange(
  model: OvenModel,
  from: number,
  to: number,
  door: OvenDoor = 'shut',
): SecondsRange {
  const usual = secondsTo(model, from, to, door);
  const figure = to > from ? 'heats' : door === 'shut' ? 'cools' : door;
  const [low, high] = spreadOf(model, figure);
  return { low: seconds(usual * low), usual: seconds(usual), high: seconds(usual * high) };
}

/** The range of {@link secondsUntilRight}: the way there, and the soak where it has to heat. */
export function secondsUntilRightRange(model: OvenModel, from: number, to: number): SecondsRange {
  if (Math.abs(to - from) <= model.tolerance) return { low: seconds(0), usual: seconds(0), high: seconds(0) };
  const way = secondsToRange(model, from, to);
  if (to < from) return way;
  const [least, most] = spreadOf(model, 'soak');
  return {
    low: seconds(way.low + model.soak * least),
    usual: seconds(way.usual + model.soak),
    high: seconds(way.high + model.soak * most),
  };
}
