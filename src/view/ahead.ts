import type { BenchState, ForecastClash } from '../bench/index.ts';
import { roughly, seconds, secondsBetween, type EpochMs } from '../units/index.ts';
import { clean, clockWords } from './text.ts';

/** A clash that the forecast sees. */
export interface AheadView {
  /** `certain`, or `in 7 of 10 cases`. */
  readonly share: string;
  /** Who wants what, in words. */
  readonly why: string;
  /** `about 18:47, in 20 min`; with the soonest where that is much earlier. */
  readonly when: string;
}

/** What the last forecast saw, the soonest first; without what is over by now. */
export function aheadViews(state: BenchState, now: EpochMs): AheadView[] {
  const { timeZone } = state.setup.workload.kitchen;
  return (state.forecast?.clashes ?? [])
    .filter((clash) => clash.usual > now)
    .toSorted((a, b) => a.usual - b.usual)
    .map((clash) => ({
      share: shareWords(clash.chance),
      why: clean(clash.why),
      when: whenWords(clash, now, timeZone),
    }));
}

/** A moment so much before the usual one, in seconds, is told beside it. */
const EARLY_S = 120;

function whenWords({ soonest, usual }: ForecastClash, now: EpochMs, timeZone: string): string {
  const wait = roughly(seconds(Math.max(60, Math.floor(secondsBetween(now, usual) / 60) * 60)));
  const early =
    secondsBetween(soonest, usual) > EARLY_S && soonest > now
      ? `, ${clockWords(soonest, now, timeZone)} at the soonest`
      : '';
  return `about ${clockWords(usual, now, timeZone)}, in ${wait}${early}`;
}

/** A share of cases as people count: never `in 0 of 10 cases` or, where it is not certain, in all of them. */
const shareWords = (chance: number | 'certain'): string =>
  chance === 'certain' ? 'certain' : `in ${Math.min(9, Math.max(1, Math.round(chance * 10)))} of 10 cases`;
