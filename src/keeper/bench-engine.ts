import { apply, begin, nextDeadline, progressOf, wantsForecast, wantsReplan } from '../bench/index.ts';
import type { BenchEngine } from './engine.ts';

/** The real bench. */
export const benchEngine: BenchEngine = {
  begin,
  apply,
  nextDeadline,
  progressOf,
  wantsForecast,
  wantsReplan,
};
