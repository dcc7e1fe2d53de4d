import { describe, expect, test } from 'vitest';
import type { Step } from '../../src/plan/index.ts';
import { planTimetable, type PlanResult } from '../../src/planner/index.ts';
import { asked, type Asked } from './kitchens/case.ts';
import { tinyKitchen } from './kitchens/tiny.ts';
import {
  inKitchen,
  inOtherWords,
  inSteps,
  later,
  moved,
  rounded,
  shorter,
  times,
  twiceAsLong,
  without,
} from './kitchens/variants.ts';
import { workingDay } from './kitchens/working-day.ts';
import { ladderOf, type Level } from './oracle/ladder.ts';

/*
 * Laws that hold between the answers to two questions, on kitchens too large to try everything: random ones of 8 to 14 steps
 * with every kind of rule, and working days of 10 to 25. A failure tells the kitchen by the seed that draws it again.
 */

const WILD = Array.from({ length: 28 }, (_, seed): readonly [string, Asked] => [
  `tinyKitchen(${seed}, { steps: [8, 14], roomy: true, anyTime: true })`,
  asked(tinyKitchen(seed, { steps: [8, 14], roomy: true, anyTime: true })),
]);
const WORKING = Array.from({ length: 7 }, (_, seed): readonly [string, Asked] => {
  const day = {
    steps: 10 + (seed % 4) * 5,
    seed,
    ovens: seed % 3 === 0 ? 2 : 1,
    mood: seed % 2 === 0 ? 'tight' : 'loose',
    days: 1,
  } as const;
  return [`workingDay(${JSON.stringify(day)})`, asked(workingDay(day))];
});
const KITCHENS = [...WILD, ...WORKING];

/** What takes more than so much work is left unsettled: the laws are about what the planner is sure of. */
const EFFORT = 100_000;

const plan = ({ workload, request }: Asked): PlanResult =>
  planTimetable(workload, { effort: EFFORT, ...request });

type Best = readonly Level[] | 'infeasible' | undefined;

const answered = new WeakMap<Asked, { readonly best: Best }>();

/** The best ladder, that there is none, or nothing where that was not settled. The same question is asked once. */
function bestOf(question: Asked): Best {
  const known = answered.get(question);
  if (known) return known.best;
  const best = ladderIn(question, plan(question));
  answered.set(question, { best });
  return best;
}

function ladderIn({ workload, request }: Asked, result: PlanResult): Best {
  if (result.status === 'infeasible') return 'infeasible';
  return result.status === 'optimal' ? ladderOf(workload, result.timetable, request.prefer) : undefined;
}

function isWorse(levels: readonly Level[] | 'infeasible', than: readonly Level[]): boolean {
  if (levels === 'infeasible') return true;
  for (const [place, { value }] of than.entries()) {
    const mine = levels[place]?.value ?? Infinity;
    if (mine !== value) return mine > value;
  }
  return false;
}

interface Outcome {
  readonly wrong: readonly string[];
  /** Whether as many kitchens as were wanted could be compared. */
  readonly enough: boolean;
}

const RIGHT: Outcome = { wrong: [], enough: true };

/** Asks both questions of each kitchen: the second answer must not be worse. */
function neverWorse(pairs: readonly (readonly [string, Asked, Asked])[], least: number): Outcome {
  const worse: string[] = [];
  let compared = 0;
  for (const [name, question, richer] of pairs) {
    const before = bestOf(question);
    if (before === undefined || before === 'infeasible') continue;
    const after = bestOf(richer);
    if (after === undefined) continue;
    if (isWorse(after, before)) worse.push(`${name}: ${told(before)}, then ${told(after)}`);
    compared += 1;
  }
  return { wrong: worse, enough: compared >= least };
}

/** Asks both questions of each kitchen: the second ladder has to be what the first one lets expect. */
function alwaysSame(
  pairs: readonly (readonly [string, Asked, Asked])[],
  expected: (levels: readonly Level[]) => readonly Level[],
  least: number,
): Outcome {
  const other: string[] = [];
  let compared = 0;
  for (const [name, question, same] of pairs) {
    const [before, after] = [bestOf(question), bestOf(same)];
    if (before === undefined || after === undefined) continue;
    const wanted = before === 'infeasible' ? before : expected(before);
    if (told(after) !== told(wanted)) other.push(`${name}: ${told(wanted)} expected, not ${told(after)}`);
    compared += 1;
  }
  return { wrong: other, enough: compared >= least };
}

const told = (levels: readonly Level[] | 'infeasible'): string =>
  levels === 'infeasible' ? levels : levels.map(({ name, value }) => `${name} ${value}`).join(', ');

describe('more room is never worse', () => {
  test.each<readonly [string, (question: Asked) => Asked]>([
    ['a cook more', (asking) => inKitchen(asking, ({ cooks }) => ({ cooks: cooks + 1 }))],
    ['a near step more at once', (asking) => inKitchen(asking, ({ near }) => ({ near: near + 1 }))],
    [
      'one more of every item',
      (asking) =>
        inKitchen(asking, ({ items }) => ({
          items: items.map((item) => ({ ...item, count: item.count + 1 })),
        })),
    ],
    [
      'a shelf more in every oven',
      (asking) =>
        inKitchen(asking, ({ ovens }) => ({
          ovens: ovens.map((oven) => ({ ...oven, shelves: oven.shelves + 1 })),
        })),
    ],
    [
      'an oven more',
      (asking) =>
        inKitchen(asking, ({ ovens }) => ({
          ovens: [...ovens, ...ovens.slice(0, 1).map((oven) => ({ ...oven, name: 'another' }))],
        })),
    ],
    ['night work allowed', (asking) => inKitchen(asking, () => ({ nights: 'allowed' }))],
    [
      'half as much again of every wait',
      (asking) =>
        inSteps(asking, (step) => ({
          ...step,
          ...(step.within !== undefined && { within: times(step.within, 1.5) }),
        })),
    ],
    ['no limit to a wait', (asking) => inSteps(asking, (step) => without(step, 'within') as Step)],
    [
      'rests that may last longer',
      (asking) =>
        inSteps(asking, (step) => ({
          ...step,
          length:
            step.length.kind === 'rest' && step.length.atMost !== undefined
              ? { ...step.length, atMost: times(step.length.atMost, 1.5) }
              : step.length,
        })),
    ],
    [
      'components that keep longer',
      ({ workload, request }) => ({
        workload: {
          ...workload,
          components: workload.components.map((component) => ({
            ...component,
            ...(component.keeps !== undefined && { keeps: times(component.keeps, 1.5) }),
          })),
        },
        request,
      }),
    ],
    ['no margin', ({ workload, request }) => ({ workload, request: { ...request, margins: 'drop' } })],
    [
      'all the time in the world',
      ({ workload, request }) => ({ workload, request: without(request, 'now') }),
    ],
  ])('%s', (_what, richer) => {
    expect(
      neverWorse(
        KITCHENS.map(([name, question]) => [name, question, richer(question)]),
        12,
      ),
    ).toEqual(RIGHT);
  });

  test.each(['fresh', 'day', 'oven'] as const)(
    '%s is never better than where it is wanted first',
    (first) => {
      const better: string[] = [];
      let compared = 0;
      for (const [name, { workload, request }] of KITCHENS) {
        const second = first === 'day' ? 'oven' : 'day';
        const wanted = bestOf({ workload, request: { ...request, prefer: [first] } });
        const unwanted = bestOf({ workload, request: { ...request, prefer: [second] } });
        if (wanted === undefined || unwanted === undefined) continue;
        if (wanted === 'infeasible' || unwanted === 'infeasible') continue;
        const [level] = wanted;
        const value = unwanted.find((each) => each.name === level?.name)?.value ?? -Infinity;
        if (value < (level?.value ?? 0)) better.push(`${name}: ${told(wanted)}, then ${told(unwanted)}`);
        compared += 1;
      }
      expect(better).toEqual([]);
      expect(compared).toBeGreaterThan(12);
    },
  );
});

describe('what does not matter', () => {
  test('names, and the order of components, items and ovens', () => {
    expect(
      alwaysSame(
        KITCHENS.map(([name, question]) => [name, question, inOtherWords(question)]),
        (levels) => levels,
        24,
      ),
    ).toEqual(RIGHT);
  });

  test('where the search begins: another seed, and a timetable that was best for another wish', () => {
    expect(
      alwaysSame(
        KITCHENS.flatMap(([name, question]) => {
          const { workload, request } = question;
          const other = plan({ workload, request: { ...request, prefer: ['oven', 'day'] } });
          const seeded = { workload, request: { ...request, seed: 7 } };
          if (!('timetable' in other)) return [[`${name}, seed`, question, seeded] as const];
          const warm = { workload, request: { ...request, warmStart: other.timetable } };
          return [
            [`${name}, seed`, question, seeded],
            [`${name}, warm start`, question, warm],
          ] as const;
        }),
        (levels) => levels,
        42,
      ),
    ).toEqual(RIGHT);
  });

  test('asking twice: the same answer to the byte', () => {
    const answers = KITCHENS.slice(0, 20).map(([, question]) => plan(question));
    const again = KITCHENS.slice(0, 20).map(([, question]) => plan(structuredClone(question)));
    expect(again.map((result) => JSON.stringify(result))).toEqual(
      answers.map((result) => JSON.stringify(result)),
    );
  });

  test('the date: service and now a day later move everything by a day', () => {
    const DAY = 86_400_000;
    const other: string[] = [];
    let compared = 0;
    for (const [name, question] of KITCHENS) {
      const [today, tomorrow] = [plan(question), plan(later(question, DAY))];
      if ('timetable' in today && 'timetable' in tomorrow) {
        compared += 1;
        const same = JSON.stringify(moved(today.timetable, DAY)) === JSON.stringify(tomorrow.timetable);
        if (!same) other.push(name);
      } else if (today.status !== tomorrow.status) other.push(`${name}: ${today.status}, ${tomorrow.status}`);
    }
    expect(other).toEqual([]);
    expect(compared).toBeGreaterThan(12);
  });
});

describe('the size of things', () => {
  test('everything twice as long: twice the times, and as little dies, at half the weight', () => {
    expect(
      alwaysSame(
        WILD.map(([name, wild]) => {
          const question = rounded(wild);
          return [name, question, twiceAsLong(question)];
        }),
        (levels) => levels.map(({ name, value }) => ({ name, value: name === 'fresh' ? value : 2 * value })),
        18,
      ),
    ).toEqual(RIGHT);
  });

  test('a last step less that nobody asks for is never worse', () => {
    expect(
      neverWorse(
        KITCHENS.flatMap(([name, question]) => {
          const less = shorter(question);
          return less ? [[name, question, less] as const] : [];
        }),
        8,
      ),
    ).toEqual(RIGHT);
  });
});
