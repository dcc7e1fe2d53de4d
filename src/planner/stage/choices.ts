import { piecesOf } from './pieces.ts';
import { copiesOf, type Stage } from './derive.ts';
import { isSwap } from './batch.ts';
import { tell, type Question, type Story } from './story.ts';

/** What a story costs: fewer swaps are better, then less work ahead for both hands, then less that wants somebody near. */
export type Cost = readonly [swaps: number, busy: number, near: number];

export interface Choice {
  readonly story: Story;
  /** How its questions were answered, in order: it tells the story from others. */
  readonly answers: string;
  readonly cost: Cost;
}

/** More stories than this are not looked at. */
const MOST_STORIES = 4096;

/**
 * Every story that a demonstration can have, the cheapest first; among equals what is carried on early comes first. At most
 * {@link MOST_STORIES}; `complete` says whether these are all.
 * @param possible false where it is known that a question cannot be answered so.
 */
export function choices(
  stage: Stage,
  possible: (question: Question, carried: boolean) => boolean,
): { readonly choices: readonly Choice[]; readonly complete: boolean } {
  const found: Choice[] = [];
  let answers: readonly boolean[] | undefined = [];
  while (answers && found.length < MOST_STORIES) {
    const told = tellWith(stage, answers, possible);
    found.push({
      story: told.story,
      answers: told.answers.map(({ carried }) => (carried ? 'y' : 'n')).join(''),
      cost: costOf(stage, told.story),
    });
    answers = next(told.answers);
  }
  return { choices: found.toSorted((a, b) => compare(a.cost, b.cost)), complete: answers === undefined };
}

interface Answer {
  readonly carried: boolean;
  /** The other answer is possible too, and has not been looked at. */
  readonly open: boolean;
}

/** Tells a story with the first answers given; every later question is answered with yes where that is possible. */
function tellWith(
  { workload, slots }: Stage,
  given: readonly boolean[],
  possible: (question: Question, carried: boolean) => boolean,
): { readonly story: Story; readonly answers: readonly Answer[] } {
  const answers: Answer[] = [];
  const story = tell(workload, slots, (question) => {
    const carried = given[answers.length] ?? possible(question, true);
    answers.push({ carried, open: carried && possible(question, false) });
    return carried;
  });
  return { story, answers };
}

/** The answers that come next, as one counts down: the last yes that can be a no becomes one. */
function next(answers: readonly Answer[]): boolean[] | undefined {
  const last = answers.findLastIndex(({ open }) => open);
  return last < 0 ? undefined : [...answers.slice(0, last).map(({ carried }) => carried), false];
}

function costOf({ workload, demonstration }: Stage, { batches }: Story): Cost {
  let [busy, near] = [0, 0];
  for (const batch of batches)
    for (const { step, ahead } of piecesOf(batch, copiesOf(batch, demonstration), workload.kitchen)) {
      if (!ahead || step.length.kind === 'rest') continue;
      if (step.hands === 'busy') busy += step.length.range.usual;
      if (step.hands === 'near') near += step.length.range.usual;
    }
  return [batches.filter(isSwap).length, busy, near];
}

function compare(a: Cost, b: Cost): number {
  return a[0] - b[0] || a[1] - b[1] || a[2] - b[2];
}
