import type { Place, StepId, Workload } from '../plan/index.ts';
import type { EpochMs, Seconds } from '../units/index.ts';
import { ANSWER, decidePromise } from './promise-decision.ts';
import { remedyFor, type PromiseChange } from './promise-remedy.ts';
import { breachPlaces, breachSteps, breachWords, remedyWords } from './promise-words.ts';
import type { Timetable } from './timetable.ts';

/**
 * Whether a timetable can be kept whatever happens: nature takes any time within the plan's ranges, the cook sees a length only when
 * it is over, and answers each call within `answer`.
 */
export type Promised =
  /** Every window is kept, and so is service. */
  | { readonly kind: 'holds'; readonly answer: Seconds }
  | {
      readonly kind: 'breaks';
      readonly answer: Seconds;
      /** How much is missing. */
      readonly short: Seconds;
      /** What cannot be kept, and by how much. */
      readonly breaks: string;
      /** What nature may do and what else leads there, in the plan's own words, with lines. */
      readonly because: readonly string[];
      readonly steps: readonly StepId[];
      readonly places: readonly Place[];
      /** The cheapest change found with which the promise holds, decided anew; in words to be read after "it would hold". */
      readonly remedy?: { readonly message: string; readonly changes: readonly PromiseChange[] };
    };

/**
 * Decides whether a timetable can be kept whatever nature does, in its order of hands, tools, shelves and ovens, by a cook who waits
 * where waiting is wise; and where it cannot, what would help. Figures without a range, and the least of a rest, are taken at their word.
 *
 * @param now work cannot begin before it: then a later service is told in place of an earlier beginning.
 */
export function promiseOf(workload: Workload, timetable: Timetable, now?: EpochMs): Promised {
  const decision = decidePromise(workload, timetable);
  if (decision.kind === 'holds') return { kind: 'holds', answer: ANSWER };
  const { breach } = decision;
  const remedy = remedyFor(workload, timetable, breach, now);
  return {
    kind: 'breaks',
    answer: ANSWER,
    short: breach.short,
    ...breachWords(workload, timetable, breach, remedy),
    steps: breachSteps(breach),
    places: breachPlaces(breach),
    ...(remedy && {
      remedy: { message: remedyWords(workload, timetable, remedy), changes: remedy },
    }),
  };
}

/** The promise in words: one sentence where it holds; else what breaks, what leads there, and what would help. */
export function promiseWords(promised: Promised): readonly string[] {
  if (promised.kind === 'holds')
    return [`holds whatever happens within the ranges, with every call answered within ${promised.answer} s`];
  const { breaks, because, remedy } = promised;
  return [
    `may break: ${breaks}`,
    ...because.map((reason) => `  ${reason}`),
    remedy ? `it would hold ${remedy.message}` : 'nothing was found with which it would hold',
  ];
}

/** The same in one line. */
export function promiseLine(promised: Promised): string {
  const [first = ''] = promiseWords(promised);
  if (promised.kind === 'holds' || !promised.remedy) return first;
  return `${first}; it would hold ${promised.remedy.message}`;
}
