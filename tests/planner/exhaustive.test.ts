import { expect, test } from 'vitest';
import { planTimetable } from '../../src/planner/index.ts';
import { impossibleAlone } from '../../src/planner/impossible.ts';
import { contradictionsIn } from '../../src/planner/plan.ts';
import { epochMs } from '../../src/units/index.ts';
import { asked, printed, type KitchenCase } from './kitchens/case.ts';
import { smallest } from './kitchens/smaller.ts';
import { tinyKitchen } from './kitchens/tiny.ts';
import { compared, kindOf } from './oracle/compare.ts';
import { givingRules, nameOf } from './oracle/giving.ts';
import { ladderOf } from './oracle/ladder.ts';
import { bestOfAll, isPossible, type OracleAnswer } from './oracle/search.ts';

/*
 * The planner against trying everything, on random kitchens of up to seven steps with every kind of rule. A failure tells the
 * seed and the smallest case that still fails, to be pasted. `KITCHENS=20000 vitest run tests/planner/exhaustive.test.ts` tries
 * more of them; `FROM=5000` begins at another seed.
 */
const KITCHENS = Number(process.env['KITCHENS'] ?? 2400);
const FROM = Number(process.env['FROM'] ?? 0);
const PARTS = 6;

test.each(Array.from({ length: PARTS }, (_, part) => FROM + Math.floor((part * KITCHENS) / PARTS)))(
  'what the planner finds is what trying everything finds: kitchens from seed %i',
  { timeout: 600_000 },
  (first) => {
    const seen = { optimal: 0, infeasible: 0 };
    const last = first + Math.floor(KITCHENS / PARTS);
    const different: string[] = [];
    for (let seed = first; seed < last && different.length === 0; seed += 1) {
      const given = tinyKitchen(seed);
      const { status, difference } = compared(given);
      if (difference !== undefined) different.push(told(seed, given, difference));
      seen[status] += 1;
    }
    expect(different).toEqual([]);
    expect(seen.optimal).toBeGreaterThan(0.5 * (last - first));
    expect(seen.infeasible).toBeGreaterThan(0.15 * (last - first));
  },
);

/** The case, and the smallest in it that differs in the same way. */
function told(seed: number, given: KitchenCase, difference: string): string {
  const same = (smaller: KitchenCase): boolean => kindOf(compared(smaller).difference) === kindOf(difference);
  const least = smallest(given, same);
  return `seed ${seed}: ${difference}; smallest: ${compared(least).difference}\n${printed(least)}\nwhole: ${printed(given)}`;
}

test('the soonest service: the best timetable for it, and none for a minute sooner', () => {
  const different: string[] = [];
  let found = 0;
  for (let seed = FROM; seed < FROM + 400; seed += 1) {
    const given = tinyKitchen(seed, { steps: [2, 5], anyTime: true });
    const difference = soonestDiffers(given, seed % 60);
    if (difference === 'none') found += 1;
    else if (difference !== 'impossible') different.push(`seed ${seed}: ${difference}\n${printed(given)}`);
  }
  expect(different).toEqual([]);
  expect(found).toBeGreaterThan(200);
});

function soonestDiffers(given: KitchenCase, second: number): string {
  const { workload, request } = asked(given);
  const { prefer, margins } = request;
  const now = epochMs(Date.parse('2027-05-14T12:00:00Z') + second * 1000);
  const others = { now, ...(prefer && { prefer }), ...(margins && { margins }) };
  const result = planTimetable(workload, { ...others, service: { kind: 'soonest' } });
  const at = (moment: number): OracleAnswer => {
    const moments = workload.plans.map(() => epochMs(moment));
    return bestOfAll(workload, { ...others, service: { kind: 'at', moments } });
  };
  if (!('timetable' in result)) {
    const later = at(now + 300_000).status;
    return result.status === 'infeasible' && later === 'infeasible'
      ? 'impossible'
      : `${result.status}, ${later}`;
  }
  const service = result.timetable.service[0] ?? 0;
  const best = at(service);
  if (service % 60_000 !== 0) return 'not on a whole minute';
  if (at(service - 60_000).status !== 'infeasible') return 'a minute sooner is possible';
  const [mine, levels] = [
    ladderOf(workload, result.timetable, prefer),
    best.status === 'optimal' && best.levels,
  ];
  return JSON.stringify(mine) === JSON.stringify(levels) ? 'none' : JSON.stringify([mine, levels]);
}

/** What is told as a reason and need not be: the rest is impossible by itself, or the reason alone is not. */
function needless(given: KitchenCase): { readonly told: number; readonly wrong: readonly string[] } {
  // Nights forbid nothing. Hours without a now may send work back to the day before: too far to try everything.
  const { hours, ...kitchen } = given.kitchen;
  const keepsHours = hours && given.request.now === undefined;
  const { workload, request } = asked({
    ...given,
    kitchen: { ...kitchen, ...(keepsHours ? { hours } : { nights: 'allowed' }) },
  });
  const { now: _now, service, ...others } = request;
  if (service.kind !== 'at') throw new RangeError('a case says when service is');
  const question = { ...others, service };
  // What a single step asks for in vain is told by itself.
  if (impossibleAlone(workload).length > 0) return { told: 0, wrong: [] };
  if (bestOfAll(workload, question).status === 'optimal') return { told: 0, wrong: [] };
  const all = givingRules(workload);
  const possibleWith = (kept: readonly string[]): boolean =>
    isPossible(workload, question, new Set(all.filter((name) => !kept.includes(name))));
  const reasons = contradictionsIn(workload, question);
  const wrong = reasons.flatMap(({ rules }) => {
    const names = rules.flatMap((rule) => nameOf(rule) ?? []);
    const unknown = names.filter((name) => !all.includes(name)).map((name) => `${name} is no rule`);
    if (possibleWith(names)) return [...unknown, `possible: ${names.join(', ')}`];
    const spare = names.filter((name) => !possibleWith(names.filter((other) => other !== name)));
    return [...unknown, ...spare.map((name) => `${name} is not needed in: ${names.join(', ')}`)];
  });
  return { told: reasons.length, wrong };
}

test('a refusal tells rules that cannot hold together, and none that could be left out', () => {
  const wrong: string[] = [];
  let told = 0;
  for (let seed = FROM; seed < FROM + 900 && wrong.length === 0; seed += 1) {
    const given = tinyKitchen(seed, { steps: [2, 6] });
    const reasons = needless(given);
    told += reasons.told;
    if (reasons.wrong.length === 0) continue;
    const least = smallest(given, (smaller) => needless(smaller).wrong.length > 0);
    wrong.push(
      `seed ${seed}: ${needless(least).wrong.join('; ')}\n${printed(least)}\nwhole: ${printed(given)}`,
    );
  }
  expect(wrong).toEqual([]);
  expect(told).toBeGreaterThan(100);
});
