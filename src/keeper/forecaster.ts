import type { BenchState, ForecastClash } from '../bench/index.ts';
import { lookAhead } from '../rehearsal/index.ts';
import { epochMs, type EpochMs } from '../units/index.ts';
import { askingThread, threadEntry } from './asking-thread.ts';
import { mistake, type Failure } from './replanner.ts';

/** What is asked of whoever looks ahead. */
export interface AheadQuestion {
  readonly state: BenchState;
  readonly now: EpochMs;
}

/** What came of a look ahead. */
export type Foreseen = { readonly kind: 'foreseen'; readonly clashes: readonly ForecastClash[] } | Failure;

/** Looks ahead for one run, one look at a time. */
export interface Forecaster {
  /** Asks; `answer` hears once what came of it, at once or later. Ask again only after that. */
  ask(question: AheadQuestion, answer: (foreseen: Foreseen) => void): void;
  close(): void;
}

/** Any seed will do; one that stays the same makes two looks at one state agree. */
const SEED = 20_277;

/** Looks ahead in this very thread; an error in it is an answer like any other. */
export function foreseen({ state, now }: AheadQuestion): Foreseen {
  try {
    return { kind: 'foreseen', clashes: lookAhead(state, epochMs(now), { seed: SEED }) };
  } catch (error) {
    return mistake(error);
  }
}

/** Looks ahead in a thread of its own. A run's whole history is not needed for that, and is not sent. */
export function threadForecaster(complain: (what: string) => void): Forecaster {
  const thread = askingThread<AheadQuestion, Foreseen>({
    what: 'a look ahead',
    entry: threadEntry('forecast-worker'),
    data: undefined,
    complain,
    patience: 20_000,
  });
  return {
    ask: ({ state, now }, answer) =>
      thread.ask({ state: { ...state, history: [], undone: [], log: [] }, now }, answer),
    close: () => thread.close(),
  };
}
