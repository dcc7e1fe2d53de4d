import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { planDemonstration, planTimetable, type Rundown } from '../../../src/planner/index.ts';
import { Alone } from '../../../src/planner/stage/alone.ts';
import { derive, type Made, type Stage } from '../../../src/planner/stage/derive.ts';
import { isSwap } from '../../../src/planner/stage/batch.ts';
import { slackened } from '../../../src/planner/stage/slack.ts';
import { slotsOf } from '../../../src/planner/stage/slots.ts';
import { tell } from '../../../src/planner/stage/story.ts';
import { verifyRundown } from '../../../src/planner/stage/verify-rundown.ts';
import type { Step, Workload } from '../../../src/plan/index.ts';
import { plus } from '../../../src/units/index.ts';
import { step, type NamedStep } from '../../support/workloads.ts';
import { EIGHT, staged, type ShowSpec } from './support.ts';

/** Small demonstrations: two or three components of short steps, some of which cannot wait, and a story through them. */
const component = (needs: readonly string[]) =>
  fc
    .array(
      fc.record({
        kind: fc.constantFrom('busy', 'near', 'free', 'rest', 'each', 'oven'),
        minutes: fc.integer({ min: 1, max: 6 }),
        longer: fc.constantFrom(0, 0, 1, 3),
        within: fc.option(fc.integer({ min: 0, max: 12 }), { nil: undefined }),
        needs: fc.boolean(),
      }),
      { minLength: 2, maxLength: 5 },
    )
    .map((steps) =>
      steps.map(({ kind, minutes, longer, within, needs: wants }, index): NamedStep => {
        const wait = index > 0 && within !== undefined ? { within: `${within} min` } : {};
        const needed = wants && index > 0 ? { needs } : {};
        const length =
          kind === 'rest'
            ? { rest: [`${minutes} min`, `${minutes + 20} min`] as const }
            : kind === 'each'
              ? { each: `${minutes * 6} s`, hands: 'busy' as const }
              : {
                  takes: [`${minutes} min`, `${minutes + longer} min`] as const,
                  usually: `${minutes} min`,
                  ...(kind === 'busy' || kind === 'near' ? { hands: kind } : {}),
                };
        const oven = kind === 'oven' ? { oven: { at: '200 C', door: 'usable' as const } } : {};
        return step(`s${index}`, { ...length, ...wait, ...needed, ...oven } as NamedStep['spec']);
      }),
    );

/** The last of them stands behind. */
const ovens = (shelves: number) => [1, 2, 3].map(() => ({ heats: 60, shelves }));

const demonstrations = fc
  .record({
    a: component([]),
    b: component(['a']),
    helper: fc.boolean(),
    backups: fc.boolean(),
    keeps: fc.option(fc.integer({ min: 5, max: 40 }), { nil: undefined }),
    story: fc.array(
      fc.record({
        of: fc.constantFrom('a', 'a', 'b', 'b', 'talk', 'break'),
        part: fc.constantFrom('whole', 'first', 'last'),
        skip: fc.constantFrom(0, 0, 1),
      }),
      { minLength: 4, maxLength: 8 },
    ),
    beauty: fc.boolean(),
    shelves: fc.constantFrom(1, 3),
    seen: fc.constantFrom(['oven'], ['oven', 'oven 2']),
  })
  .map(({ a, b, helper, backups, keeps, story, beauty, shelves, seen }): Workload | undefined => {
    const parts = { a, b };
    const next = { a: 0, b: 0 };
    let seconds = 0;
    const shows = story.flatMap(({ of, part, skip }): ShowSpec[] => {
      if (of === 'talk' || of === 'break') {
        seconds += 150;
        return [of === 'talk' ? { talk: '150 s' } : { break: '150 s' }];
      }
      const index = next[of] + skip;
      const shown = parts[of][index];
      if (!shown) return [];
      next[of] = index + 1;
      const { spec, name } = shown;
      if (part === 'whole' && !spec.rest) {
        seconds +=
          spec.each === undefined
            ? 60 * Number.parseInt(String(spec.usually), 10)
            : 10 * Number.parseInt(spec.each, 10);
        return [{ show: `${of}.${name}` }];
      }
      seconds += 30;
      return [
        part === 'last' ? { show: `${of}.${name}`, last: '30 s' } : { show: `${of}.${name}`, first: '30 s' },
      ];
    });
    if (beauty) {
      seconds += 30;
      shows.push({ beauty: '30 s' });
    }
    if (!shows.some((show) => 'show' in show)) return undefined;
    return staged({
      margin: '5 min',
      kitchen: { ovens: ovens(shelves).slice(0, seen.length + 1) },
      components: { a: { steps: a, ...(keeps !== undefined && { keeps: `${keeps} min` }) }, b },
      demonstration: { lasts: `${seconds} s`, helper, ovens: seen, backups: backups ? ['a'] : [], shows },
    });
  });

/** Fewer swaps are better, then less busy work ahead, then less that wants somebody near. */
type Cost = readonly [swaps: number, busy: number, near: number];

const isSame = (a: Cost, b: Cost): boolean => !isLess(a, b) && !isLess(b, a);

const isLess = (a: Cost, b: Cost): boolean => (a[0] - b[0] || a[1] - b[1] || a[2] - b[2]) < 0;

interface Everything {
  /** Of all choices that have a timetable; nothing where none has. */
  readonly least: Cost | undefined;
  /** Of those that have one in which everything off view takes its longest. */
  readonly leastAtLongest: Cost | undefined;
  readonly tried: number;
}

/** The least cost of all choices, each tried. Undefined: some were not answered. */
function tryEverything(workload: Workload): Everything | undefined {
  const demonstration = workload.plans[0]?.demonstration;
  if (!demonstration) throw new Error('no demonstration');
  const slots = slotsOf(demonstration);
  const stage: Stage = { workload, demonstration, helper: demonstration.helper, slots };
  const ends = plus(EIGHT, slots.at(-1)?.to ?? 0);
  const alone = new Alone(stage, ends);
  const least: (Cost | undefined)[] = [undefined, undefined];
  let tried = 0;
  let tape: boolean[] | undefined = [];
  while (tape) {
    const given: boolean[] = tape;
    const answers: boolean[] = [];
    const story = tell(workload, slots, (question) => {
      // Whether a backup has a making of its own is no choice: it has where it must.
      if (question.wants === 'together') return alone.possible(question, true);
      const answer = given[answers.length] ?? true;
      answers.push(answer);
      return answer;
    });
    tried += 1;
    const derived = derive(stage, story);
    const cost = costOf([...derived.made.values()], story.batches.filter(isSwap).length);
    for (const [place, share] of ([0, 1] as const).entries()) {
      const result = planTimetable(
        slackened(derived, () => share, 'all'),
        {
          service: { kind: 'at', moments: [ends] },
          reasons: 'spare',
          effort: 150_000,
        },
      );
      if (result.status === 'unknown') return undefined;
      const known = least[place];
      if ('timetable' in result && (!known || isLess(cost, known))) least[place] = cost;
    }
    const last: number = answers.lastIndexOf(true);
    tape = last < 0 ? undefined : [...answers.slice(0, last), false];
  }
  return { least: least[0], leastAtLongest: least[1], tried };
}

function costOf(made: readonly Made[], swaps: number): Cost {
  const ahead = made.flatMap(({ component, pieces }) =>
    component.steps.filter((_, place) => pieces[place]?.ahead),
  );
  return [swaps, workOf(ahead, 'busy'), workOf(ahead, 'near')];
}

const workOf = (steps: readonly Step[], hands: Step['hands']): number =>
  steps.reduce(
    (sum, { length, hands: own }) => sum + (own === hands && length.kind !== 'rest' ? length.range.usual : 0),
    0,
  );

/** The same, read from a rundown alone: what goes into its swaps before they are ready. */
function costOfRundown({ swaps, workload, timetable }: Rundown): Cost {
  const ends = new Map(timetable.steps.map(({ step: id, end }) => [id, end]));
  const ahead = swaps.flatMap(({ made, ready, for: use }) =>
    workload.components
      .filter(({ id }) => made.includes(id))
      .flatMap(({ id, steps }) => {
        const until = steps.findIndex((each) => each.id === use || (ends.get(each.id) ?? 0) > ready);
        return id === made[0] && until >= 0 ? steps.slice(0, until) : steps;
      }),
  );
  return [swaps.length, workOf(ahead, 'busy'), workOf(ahead, 'near')];
}

describe('what the stage planner finds is what trying everything finds', () => {
  test('the fewest swaps, then the least work, or that there is no way, on random small demonstrations', () => {
    const seen = { solved: 0, refused: 0, tried: 0, live: 0, cheapest: 0 };
    fc.assert(
      fc.property(demonstrations, (workload) => {
        if (!workload) return;
        const everything = tryEverything(workload);
        if (!everything) return;
        seen.tried += everything.tried;
        const result = planDemonstration(workload, { when: { kind: 'on air', at: EIGHT }, effort: 300_000 });
        if (everything.least === undefined) {
          seen.refused += 1;
          if (result.status !== 'refused' || result.reasons.length === 0)
            throw new Error(`${result.status}, though there is no way`);
          return;
        }
        seen.solved += 1;
        if (result.status !== 'solved') throw new Error(JSON.stringify(result));
        const { rundown } = result;
        seen.live += rundown.showings.filter(({ from }) => from.kind === 'live').length;
        const cost = costOfRundown(rundown);
        const { least, leastAtLongest } = everything;
        // What has time in hand may cost more than what has none, and never more than the cheapest that has all of it.
        if (isLess(cost, least) || (leastAtLongest && isLess(leastAtLongest, cost)))
          throw new Error(JSON.stringify({ cost, least, leastAtLongest }));
        if (isSame(cost, least)) seen.cheapest += 1;
        expect(rundown.proven).toBe(true);
        expect(verifyRundown(workload, rundown)).toEqual([]);
      }),
      { seed: Number(process.env['SEED'] ?? 1), numRuns: Number(process.env['RUNS'] ?? 20) },
    );
    expect(seen.solved).toBeGreaterThan(10);
    expect(seen.refused).toBeGreaterThan(2);
    expect(seen.live).toBeGreaterThan(5);
    expect(seen.cheapest).toBeGreaterThan(seen.solved / 2);
    if (process.env['RUNS'] !== undefined) console.log(seen);
  }, 120_000);
});
