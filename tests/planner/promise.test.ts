import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Workload } from '../../src/plan/index.ts';
import {
  holdingTimetable,
  planTimetable,
  promiseOf,
  promiseWords,
  verify,
  type PlanRequest,
  type Timetable,
} from '../../src/planner/index.ts';
import { decidePromise } from '../../src/planner/promise-decision.ts';
import type { PromiseChange } from '../../src/planner/promise-remedy.ts';
import { epochMs, plus, seconds, type EpochMs } from '../../src/units/index.ts';
import { moment, step, workload, type PlanSpec, type KitchenSpec } from '../support/workloads.ts';
import { demoWorkload } from '../demo-plans/demo-plans.ts';
import { workloads } from './support/arbitraries.ts';
import { ranged, ranges } from './support/ranged.ts';

const SERVICE = moment('2027-05-14 19:30');

function timetableOf(of: Workload): Timetable {
  const planned = planTimetable(of, {
    service: { kind: 'at', moments: of.plans.map(() => SERVICE) },
    effort: 400_000,
  });
  if (!('timetable' in planned)) throw new Error(`no timetable: ${JSON.stringify(planned)}`);
  return planned.timetable;
}

/** What is told of a plan that is served at 19:30. */
function told(spec: PlanSpec & { readonly kitchen?: KitchenSpec }): readonly string[] {
  const of = workload(spec);
  return promiseWords(promiseOf(of, timetableOf(of)));
}

const HOLDS = 'holds whatever happens within the ranges, with every call answered within 20 s';

const shut = { at: '180 C', door: 'shut' as const };
const twoLoads = (takes: '20 min' | readonly [string, string]) => ({
  margin: '90 min',
  kitchen: { ovens: [{ shelves: 2 }] },
  components: {
    rolls: [step('roll', { takes: '5 min', hands: 'busy' }), step('bake', { takes, oven: shut })],
    buns: [step('roll', { takes: '5 min', hands: 'busy' }), step('bake', { takes, oven: shut })],
  },
});

describe('what is promised', () => {
  test('a plan whose waits have no end holds as soon as its margin covers the slowest case', () => {
    const soup = {
      boil: [step('boil', { takes: ['9 min', '13 min'], usually: '10 min', hands: 'near' as const })],
    };
    expect(told({ margin: '4 min', components: soup })).toEqual([HOLDS]);
    expect(told({ margin: '3 min', components: soup })).toEqual([
      'may break: service at 19:30 can be missed by 1 min',
      '  if boil.boil takes 13 min (line 11)',
      'it would hold if work began 1 min earlier, at 19:16',
    ]);
  });

  test('a window that begins where a long range ends, and the hands are elsewhere', () => {
    const made = told({
      margin: '30 min',
      components: {
        cream: [
          step('warm', { takes: ['5 min', '9 min'], usually: '7 min', hands: 'near' }),
          step('thicken', { takes: '4 min', hands: 'busy', within: '1 min' }),
        ],
        nuts: [step('chop', { takes: ['6 min', '12 min'], usually: '8 min', hands: 'busy' })],
        plates: [step('lay', { takes: '1 min', hands: 'busy', needs: ['cream', 'nuts'] })],
      },
    });
    expect(made).toEqual([HOLDS]);
  });

  test('nature decides on both sides of a window: nobody can keep it, and longer waits mend it', () => {
    expect(
      told({
        margin: '30 min',
        components: {
          dough: { keeps: '4 min', steps: [step('mix', { takes: '5 min', hands: 'busy' })] },
          loaves: {
            keeps: '8 min',
            steps: [
              step('shape', { takes: '1 min', hands: 'busy', needs: ['dough'] }),
              step('proof', { takes: ['40 min', '55 min'], usually: '45 min', within: '1 min' }),
            ],
          },
          buns: {
            keeps: '8 min',
            steps: [
              step('shape', { takes: '1 min', hands: 'busy', needs: ['dough'] }),
              step('proof', { takes: ['38 min', '50 min'], usually: '45 min', within: '1 min' }),
            ],
          },
          tray: [step('wash', { takes: '2 min', hands: 'busy', needs: ['loaves', 'buns'] })],
        },
      }),
    ).toEqual([
      'may break: buns keeps 8 min until tray.wash is over (line 15), and loaves keeps 8 min until tray.wash is over (line 12), which can be 17 min too little together',
      '  if loaves.proof takes anything from 40 min to 55 min (line 14), buns.proof takes anything from 38 min to 50 min (line 17)',
      'it would hold if buns may keep 19 min instead of 8 min (line 15), and if loaves may keep 14 min instead of 8 min (line 12)',
    ]);
  });

  test('what must follow at once holds only where the hands are sure to be free', () => {
    const lines = told({
      margin: '60 min',
      components: {
        sugar: [
          step('melt', { takes: ['4 min', '9 min'], hands: 'near', needs: ['nuts.roast'] }),
          step('pour', { takes: '1 min', hands: 'busy', within: '0 min' }),
        ],
        nuts: [
          step('roast', { takes: ['8 min', '16 min'], hands: 'near' }),
          step('shake', { takes: '2 min', hands: 'busy', within: '1 min' }),
          step('cool', { takes: ['10 min', '11 min'], hands: 'free' }),
          step('crush', { takes: ['5 min', '6 min'], hands: 'busy', within: '1 min' }),
        ],
        bars: [step('press', { takes: '2 min', hands: 'busy', needs: ['sugar', 'nuts'] })],
      },
    });
    // Melting may end while the nuts are crushed, but it can be begun when they are.
    expect(lines).toEqual([HOLDS]);
  });

  test('where much is missing it is told how much, and not what the first circle of many misses', () => {
    const long = { takes: ['1 min', '3 min'], usually: '2 min', hands: 'busy' } as const;
    const names = ['a', 'b', 'c', 'd', 'e', 'f'];
    const chains = names.map((chain) => [chain, names.map((name) => step(name, long))]);
    const of = workload({
      components: {
        ...Object.fromEntries(chains),
        all: [step('lay', { takes: '1 min', hands: 'busy', needs: names })],
      },
    });
    const timetable = timetableOf(of);
    const promised = promiseOf(of, timetable);
    if (promised.kind === 'holds') throw new Error('nothing is missing');
    const [change, ...others] = promised.remedy?.changes ?? [];
    expect({ kind: change?.kind, others }).toEqual({ kind: 'begin earlier', others: [] });
    const begin = Math.min(...timetable.steps.map(({ start }) => start));
    const holds = (earlier: number): boolean =>
      decidePromise(of, timetable, epochMs(begin - earlier * 1000)).kind === 'holds';
    // 36 steps can each take a minute longer than usual.
    expect(change?.by).toBeGreaterThan(36 * 60);
    expect([holds(change?.by ?? 0), holds((change?.by ?? 0) - 60)]).toEqual([true, false]);
    expect(promised.breaks).toMatch(/^service at 19:30 can be missed by (?:\d h )?\d+(?: min)?$/);
  });

  test('two loads with the door shut that go in at one moment and take the same by the clock', () => {
    expect(told(twoLoads('20 min'))).toEqual([HOLDS]);
  });

  test('two loads with the door shut of which nobody knows which is done first: one after the other holds', () => {
    expect(told(twoLoads(['18 min', '22 min']))).toEqual([
      'may break: rolls.bake and buns.bake are in the oven at once with its door shut, and can be done 4 min apart',
      '  if buns.bake takes anything from 18 min to 22 min (line 15), rolls.bake takes anything from 18 min to 22 min (line 12)',
      'it would hold in another order, rolls.bake before buns.bake, and if work began 20 min earlier, at 16:54',
    ]);
  });

  test('a service that is tied by now is told as a later service', () => {
    const of = workload({
      components: { soup: [step('boil', { takes: ['9 min', '13 min'], usually: '10 min' })] },
    });
    const timetable = timetableOf(of);
    const [, , remedy] = promiseWords(promiseOf(of, timetable, plus(SERVICE, -600)));
    expect(remedy).toBe('it would hold if it were served 4 min later, at 19:34');
  });
});

test('a timetable that would break as it stands is made in another order', () => {
  const of = workload(twoLoads(['18 min', '22 min']));
  const held = holdingTimetable(of, { service: { kind: 'at', moments: [SERVICE] } }, timetableOf(of));
  expect(held?.turns).toEqual([{ first: 'rolls.bake', next: 'buns.bake' }]);
  expect(held?.lead).toBe(0);
});

test('the demo plans, for the soonest service from 6 in the morning', async () => {
  const all = ['gallery-opening', 'terrace-tea', 'rowing-dinner', 'ferry-breakfast', 'choir-supper'].map(
    (name) => {
      const of = demoWorkload(name);
      const now = moment('2027-02-01 06:00');
      const planned = planTimetable(of, { service: { kind: 'soonest' }, now });
      if (!('timetable' in planned)) throw new Error(`no timetable for ${name}`);
      return [name, ...promiseWords(promiseOf(of, planned.timetable))].join('\n');
    },
  );
  await expect(`${all.join('\n\n')}\n`).toMatchFileSnapshot('promise-demo-plans.txt');
});

/** A plan with a change of its promise made by hand. */
function changed(of: Workload, change: PromiseChange): Workload {
  const by = (length: number): ReturnType<typeof seconds> => seconds(length + change.by);
  return {
    ...of,
    components: of.components.map((component) => ({
      ...component,
      ...(change.kind === 'keep longer' &&
        change.component === component.id && { keeps: by(component.keeps ?? 0) }),
      steps: component.steps.map((each) => {
        if (!('step' in change) || change.step !== each.id) return each;
        const { length } = each;
        if (change.kind === 'wait longer') return { ...each, within: by(each.within ?? 0) };
        if (change.kind === 'rest longer' && length.kind === 'rest')
          return { ...each, length: { ...length, atMost: by(length.atMost ?? 0) } };
        if (change.kind !== 'narrower' || length.kind === 'rest') return each;
        const { low, high } = length.range;
        const range =
          change.side === 'high'
            ? { ...length.range, high: seconds(high - change.by) }
            : { ...length.range, low: by(low) };
        return { ...each, length: { ...length, range } };
      }),
    })),
  };
}

type Verdict = 'holds' | 'mended' | 'not mended' | 'more than it takes' | 'hopeless';

/** What becomes of a timetable's promise, and whether what is told of it is true. */
function verdictOf(of: Workload, timetable: Timetable): Verdict {
  const promised = promiseOf(of, timetable);
  if (promised.kind === 'holds') return 'holds';
  const { short, remedy } = promised;
  if (!remedy) return 'hopeless';
  const begin = Math.min(
    ...timetable.steps.map(({ start }) => start),
    ...timetable.settings.filter(({ heat }) => heat.kind === 'at').map(({ at }) => at),
  );
  const earlier = remedy.changes.find(({ kind }) => kind === 'begin earlier')?.by ?? 0;
  const other = remedy.changes.find(({ kind }) => kind === 'other order');
  const told = other?.kind === 'other order' ? other.timetable : timetable;
  if (verify(of, told).length > 0) return 'not mended';
  const from = (by: number): EpochMs => epochMs(begin - by * 1000);
  const better = remedy.changes.reduce(changed, of);
  if (short <= 0 || decidePromise(better, told, from(earlier)).kind !== 'holds') return 'not mended';
  // What begins earlier by itself need not be the least.
  const isLeast =
    earlier === 0 || other || decidePromise(better, timetable, from(earlier - 60)).kind === 'breaks';
  return isLeast ? 'mended' : 'more than it takes';
}

test('whatever is told to mend a plan mends it', () => {
  const seen: Record<Verdict, number> = {
    holds: 0,
    mended: 0,
    'not mended': 0,
    'more than it takes': 0,
    hopeless: 0,
  };
  fc.assert(
    fc.property(workloads({ components: 3, stepsEach: 3, ovens: 1, longest: 12 }), ranges, (plain, luck) => {
      const of = ranged(plain, luck);
      const planned = planTimetable(of, {
        service: { kind: 'at', moments: [SERVICE] },
        effort: 200_000,
        reasons: 'spare',
      });
      if (!('timetable' in planned)) return;
      const verdict = verdictOf(of, planned.timetable);
      seen[verdict] += 1;
      expect(verdict).not.toBe('not mended');
      expect(verdict).not.toBe('more than it takes');
    }),
    { numRuns: 200, seed: 51 },
  );
  expect(seen.holds).toBeGreaterThan(3);
  expect(seen.mended).toBeGreaterThan(100);
});

test('a timetable that is made to hold holds, keeps every rule, and is served when it was asked for', () => {
  const seen = { asItIs: 0, earlier: 0, otherwise: 0, none: 0 };
  fc.assert(
    fc.property(workloads({ components: 3, stepsEach: 3, ovens: 1, longest: 12 }), ranges, (plain, luck) => {
      const of = ranged(plain, luck);
      const request: PlanRequest = {
        service: { kind: 'at', moments: [SERVICE] },
        effort: 100_000,
        reasons: 'spare',
      };
      const planned = planTimetable(of, request);
      if (!('timetable' in planned)) return;
      const held = holdingTimetable(of, request, planned.timetable);
      if (!held) {
        seen.none += 1;
        return;
      }
      seen[held.turns.length > 0 ? 'otherwise' : held.lead > 0 ? 'earlier' : 'asItIs'] += 1;
      const { timetable } = held;
      expect([decidePromise(of, timetable).kind, verify(of, timetable), timetable.service]).toEqual([
        'holds',
        [],
        [SERVICE],
      ]);
    }),
    { numRuns: 150, seed: 7 },
  );
  expect(seen.earlier).toBeGreaterThan(20);
});
