import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { planDemonstration, planTimetable } from '../../../src/planner/index.ts';
import { derive, type Stage } from '../../../src/planner/stage/derive.ts';
import { isSwap } from '../../../src/planner/stage/batch.ts';
import { slotsOf } from '../../../src/planner/stage/slots.ts';
import { tell } from '../../../src/planner/stage/story.ts';
import { verifyRundown } from '../../../src/planner/stage/verify-rundown.ts';
import type { Workload } from '../../../src/plan/index.ts';
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
        within: fc.option(fc.integer({ min: 0, max: 12 }), { nil: undefined }),
        needs: fc.boolean(),
      }),
      { minLength: 2, maxLength: 5 },
    )
    .map((steps) =>
      steps.map(({ kind, minutes, within, needs: wants }, index): NamedStep => {
        const wait = index > 0 && within !== undefined ? { within: `${within} min` } : {};
        const needed = wants && index > 0 ? { needs } : {};
        const length =
          kind === 'rest'
            ? { rest: [`${minutes} min`, `${minutes + 20} min`] as const }
            : kind === 'each'
              ? { each: `${minutes * 6} s`, hands: 'busy' as const }
              : { takes: `${minutes} min`, ...(kind === 'busy' || kind === 'near' ? { hands: kind } : {}) };
        const oven = kind === 'oven' ? { oven: { at: '200 C', door: 'usable' as const } } : {};
        return step(`s${index}`, { ...length, ...wait, ...needed, ...oven } as NamedStep['spec']);
      }),
    );

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
  })
  .map(({ a, b, helper, backups, keeps, story, beauty }): Workload | undefined => {
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
            ? 60 * Number.parseInt(String(spec.takes), 10)
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
      kitchen: { ovens: [{ heats: 60 }, { heats: 60 }] },
      components: { a: { steps: a, ...(keeps !== undefined && { keeps: `${keeps} min` }) }, b },
      demonstration: { lasts: `${seconds} s`, helper, backups: backups ? ['a'] : [], shows },
    });
  });

/** The fewest swaps of all choices that have a timetable, each tried; nothing where none has. Undefined: some were not answered. */
function tryEverything(
  workload: Workload,
): { readonly fewest: number | undefined; readonly tried: number } | undefined {
  const demonstration = workload.plans[0]?.demonstration;
  if (!demonstration) throw new Error('no demonstration');
  const slots = slotsOf(demonstration);
  const stage: Stage = { workload, demonstration, helper: demonstration.helper, slots };
  let fewest: number | undefined;
  let tried = 0;
  let tape: boolean[] | undefined = [];
  while (tape) {
    const given: boolean[] = tape;
    const answers: boolean[] = [];
    const story = tell(workload, slots, () => {
      const answer = given[answers.length] ?? true;
      answers.push(answer);
      return answer;
    });
    tried += 1;
    const derived = derive(stage, story);
    const result = planTimetable(derived.workload, {
      service: { kind: 'at', moments: [plus(EIGHT, slots.at(-1)?.to ?? 0)] },
      reasons: 'spare',
      effort: 150_000,
    });
    if (result.status === 'unknown') return undefined;
    const swaps = story.batches.filter(isSwap).length;
    if ('timetable' in result) fewest = Math.min(fewest ?? Infinity, swaps);
    const last: number = answers.lastIndexOf(true);
    tape = last < 0 ? undefined : [...answers.slice(0, last), false];
  }
  return { fewest, tried };
}

describe('what the stage planner finds is what trying everything finds', () => {
  test('the fewest swaps, or that there is no way, on random small demonstrations', () => {
    const seen = { solved: 0, refused: 0, tried: 0, live: 0 };
    fc.assert(
      fc.property(demonstrations, (workload) => {
        if (!workload) return;
        const everything = tryEverything(workload);
        if (!everything) return;
        seen.tried += everything.tried;
        const result = planDemonstration(workload, { when: { kind: 'on air', at: EIGHT }, effort: 300_000 });
        if (everything.fewest === undefined) {
          seen.refused += 1;
          if (result.status !== 'refused' || result.reasons.length === 0)
            throw new Error(`${result.status}, though there is no way`);
          return;
        }
        seen.solved += 1;
        if (result.status !== 'solved') throw new Error(JSON.stringify(result));
        const { rundown } = result;
        seen.live += rundown.showings.filter(({ from }) => from.kind === 'live').length;
        expect(rundown.swaps.length).toBe(everything.fewest);
        expect(rundown.proven).toBe(true);
        expect(verifyRundown(workload, rundown)).toEqual([]);
      }),
      { seed: Number(process.env['SEED'] ?? 1), numRuns: Number(process.env['RUNS'] ?? 20) },
    );
    expect(seen.solved).toBeGreaterThan(10);
    expect(seen.refused).toBeGreaterThan(3);
    expect(seen.live).toBeGreaterThan(5);
    if (process.env['RUNS'] !== undefined) console.log(seen);
  }, 120_000);
});
