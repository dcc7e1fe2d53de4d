import { describe, expect, test } from 'vitest';
import type { Preference } from '../../../src/plan/index.ts';
import type { Timetable } from '../../../src/planner/index.ts';
import { verify } from '../../../src/planner/verify.ts';
import { epochMs } from '../../../src/units/index.ts';
import { step, type KitchenSpec, type PlanSpec } from '../../support/workloads.ts';
import { asked, printed, type Asked, type KitchenCase } from '../kitchens/case.ts';
import { chance, type Chance } from '../kitchens/chance.ts';
import { tinyKitchen } from '../kitchens/tiny.ts';
import { givingRules } from './giving.ts';
import type { Level } from './ladder.ts';
import { bestByLooking } from './naive.ts';
import { puzzleOf } from './puzzle.ts';
import { accepts, bestOfAll, type OracleAnswer } from './search.ts';

/*
 * The oracle judges the planner, so it is judged first: against the verifier, against looking at every timetable without
 * leaving anything out, and against cases that were solved by hand.
 */

const NOON = '2027-05-14 12:00:00';
const oneOven: KitchenSpec = { ovens: [{ heats: 600, cools: 600, soak: 0 as never, shelves: 2 }] };

/** The best ladder as `level value, ...` and the timetable as `start-end step`, in seconds to the latest service. */
function best(
  components: PlanSpec['components'],
  more: Partial<KitchenCase['request']> & {
    readonly kitchen?: KitchenCase['kitchen'];
    readonly margin?: string;
  } = {},
): string[] {
  const { kitchen = oneOven, margin, ...request } = more;
  const { workload, request: question } = asked({
    kitchen,
    plans: { p: { components, ...(margin !== undefined && { margin }) } },
    request: { service: [NOON], ...request },
  });
  const answer = bestOfAll(workload, question);
  if (answer.status === 'infeasible') return ['infeasible'];
  const service = answer.timetable.service[0] ?? 0;
  const seconds = (moment: number): number => (moment - service) / 1000;
  return [
    answer.levels.map(({ name, value }) => `${name} ${value}`).join(', '),
    ...answer.timetable.steps.map((entry) =>
      [`${seconds(entry.start)}..${seconds(entry.end)} ${entry.step.slice(2)}`, entry.oven ?? []]
        .flat()
        .join(' in '),
    ),
  ];
}

const busy = { hands: 'busy' } as const;

describe('cases solved by hand', () => {
  test('steps one after the other end at service', () => {
    expect(best({ a: [step('mix', { takes: '3 s' }), step('set', { takes: '2 s', after: '1 s' })] })).toEqual(
      ['fresh 0, night 0, late 6, close 8, oven 0', '-6..-3 a.mix', '-2..0 a.set'],
    );
  });

  test('one cook does one thing at a time, and of two orders the later one on the whole is taken', () => {
    const two = { a: [step('do', { ...busy, takes: '1 s' })], b: [step('do', { ...busy, takes: '3 s' })] };
    expect(best(two)).toEqual(['fresh 0, night 0, late 4, close 5, oven 0', '-4..-1 b.do', '-1..0 a.do']);
    expect(best(two, { kitchen: { cooks: 2 } })[0]).toBe('fresh 0, night 0, late 3, close 4, oven 0');
  });

  test('what dies waits least, weighted by its limit, although work then begins earlier', () => {
    const dying = {
      a: { keeps: '6 s', steps: [step('fill', { ...busy, takes: '2 s' })] },
      b: [step('glaze', { ...busy, takes: '1 s' }), step('set', { takes: '2 s' })],
    };
    expect(best(dying)).toEqual([
      'fresh 0, night 0, late 3, close 7, oven 0',
      '-3..-2 b.glaze',
      '-2..0 a.fill',
      '-2..0 b.set',
    ]);
    const both = {
      a: { keeps: '4 s', steps: [step('fill', { ...busy, takes: '3 s' })] },
      b: { keeps: '6 s', steps: [step('glaze', { ...busy, takes: '2 s' })] },
    };
    // b waits 3 s at 6000 or a waits 2 s at 9000: it comes to the same, and then a first lets starts be later.
    expect(best(both)).toEqual([
      'fresh 18000, night 0, late 5, close 7, oven 0',
      '-5..-2 a.fill',
      '-2..0 b.glaze',
    ]);
  });

  test('a component keeps until it is used up', () => {
    const pie = (keeps: string): PlanSpec['components'] => ({
      cream: { keeps, steps: [step('cook', { takes: '1 s' })] },
      pie: [
        step('fill', { takes: '2 s', needs: ['cream'] }),
        step('top', { takes: '1 s', needs: ['cream'] }),
      ],
    });
    expect(best(pie('3 s'))[0]).toBe(`fresh ${12_000 * 5}, night 0, late 4, close 8, oven 0`);
    expect(best(pie('2 s'))).toEqual(['infeasible']);
  });

  test('the oven: heated from cold, changed between, and least time hot where that is preferred', () => {
    const bake = (at: string, takes: string): ReturnType<typeof step> =>
      step('bake', { takes, oven: { at } });
    expect(best({ a: [bake('40 C', '2 s')] })).toEqual([
      'fresh 0, night 0, late 4, close 2, oven 4',
      '-2..0 a.bake in oven',
    ]);
    expect(best({ a: [bake('40 C', '2 s')], b: [bake('60 C', '1 s')] })).toEqual([
      'fresh 0, night 0, late 7, close 6, oven 7',
      '-5..-3 a.bake in oven',
      '-1..0 b.bake in oven',
    ]);
    const idle = {
      a: [bake('40 C', '1 s'), step('rest', { takes: '5 s' })],
      b: [bake('40 C', '1 s')],
    };
    expect(best(idle)[0]).toBe('fresh 0, night 0, late 8, close 12, oven 8');
    expect(best(idle, { prefer: ['oven'] })[0]).toBe('oven 3, fresh 0, night 0, late 8, close 17');
  });

  test('a door that is shut, and a load that stays in when the other comes out', () => {
    const doors = (door: 'shut' | 'usable'): string | undefined =>
      best({
        a: [step('bake', { takes: '4 s', oven: { at: '40 C', door } })],
        b: [step('warm', { takes: '1 s', oven: { at: '40 C', door } }), step('plate', { takes: '1 s' })],
      })[0];
    expect(doors('usable')).toBe('fresh 0, night 0, late 6, close 7, oven 6');
    expect(doors('shut')).toBe('fresh 0, night 0, late 7, close 10, oven 7');
    const staying = {
      a: [step('bake', { takes: '4 s', oven: { at: '40 C' } })],
      b: [
        step('one', { takes: '2 s', oven: { at: '40 C' } }),
        step('two', { takes: '2 s', within: '0 s', oven: { at: '42 C' } }),
      ],
    };
    expect(best(staying)[0]).toBe('fresh 0, night 0, late 6, close 10, oven 6');
  });

  test('a falling oven is not waited for by the load that stays in, a rising one is', () => {
    const two = (first: string, second: string): string | undefined =>
      best({
        a: [
          step('one', { takes: '2 s', oven: { at: first } }),
          step('two', { takes: '2 s', oven: { at: second } }),
        ],
      })[0];
    expect(two('60 C', '40 C')).toBe('fresh 0, night 0, late 8, close 6, oven 8');
    expect(two('40 C', '60 C')).toBe('fresh 0, night 0, late 8, close 8, oven 8');
  });

  test('held things stay taken, and the own steps in between use what is held', () => {
    const trays = {
      a: [
        step('pipe', { takes: '1 s', holds: [{ item: 'tray', until: 'b.fill' }] }),
        step('cool', { takes: '1 s', uses: ['tray'] }),
      ],
      b: [step('fill', { takes: '1 s', needs: ['a'], uses: ['tray'] })],
      c: [step('roast', { takes: '1 s', uses: ['tray'] })],
    };
    expect(best(trays)[0]).toBe('fresh 0, night 0, late 4, close 10, oven 0');
    expect(best(trays, { kitchen: { items: { tray: 2 } } })[0]).toBe(
      'fresh 0, night 0, late 3, close 7, oven 0',
    );
  });

  test('nothing before now, not even the oven; nothing but what can still be done', () => {
    const tart = { a: [step('bake', { takes: '2 s', oven: { at: '40 C' } })] };
    expect(best(tart, { now: '2027-05-14 11:59:56' })[0]).toBe('fresh 0, night 0, late 4, close 2, oven 4');
    expect(best(tart, { now: '2027-05-14 11:59:57' })).toEqual(['infeasible']);
    expect(best(tart, { now: '2027-05-14 11:59:56', margin: '1 s' })).toEqual(['infeasible']);
    expect(best(tart, { now: '2027-05-14 11:59:56', margin: '1 s', margins: 'drop' })).toHaveLength(2);
  });

  test('night work is left for the day, unless nights are allowed or something dies', () => {
    const service = ['2027-05-14 22:00:04'];
    const late = { a: [step('mix', { ...busy, takes: '2 s' })] };
    expect(best(late, { service })[1]).toBe('-6..-4 a.mix');
    expect(best(late, { service, kitchen: { nights: 'allowed' } })[1]).toBe('-2..0 a.mix');
    const dying = { a: { keeps: '9 s', steps: [step('mix', { ...busy, takes: '2 s' })] } };
    expect(best(dying, { service })).toEqual(['fresh 0, night 2, late 2, close 2, oven 0', '-2..0 a.mix']);
    const prefer: Preference[] = ['day'];
    expect(best(dying, { service, prefer })).toEqual([
      'night 0, late 6, close 6, fresh 16000, oven 0',
      '-6..-4 a.mix',
    ]);
  });

  test('hands keep their hours, and what is free does not ask for them', () => {
    const day = { from: { hour: 8, minute: 0 }, to: { hour: 12, minute: 0 } };
    const hours = { hours: [day, day, day, day, day, 'off', 'off'] as const };
    const service = ['2027-05-14 12:00:03'];
    const mixed = { a: [step('mix', { ...busy, takes: '2 s' }), step('set', { takes: '1 s' })] };
    expect(best(mixed, { service, kitchen: hours }).slice(1)).toEqual(['-5..-3 a.mix', '-1..0 a.set']);
    const now = '2027-05-15 11:59:30';
    expect(best(mixed, { service: ['2027-05-15 12:00:00'], now, kitchen: hours })).toEqual(['infeasible']);
  });
});

/** Moves, stretches or puts elsewhere one or two steps of a timetable. */
function disturbed(draw: Chance, timetable: Timetable): Timetable {
  const steps = [...timetable.steps];
  for (let times = draw.whole(0, 2); times > 0; times -= 1) {
    const place = draw.whole(0, steps.length - 1);
    const entry = steps[place];
    if (!entry) continue;
    const [by, longer] = [draw.whole(-3, 2) * 1000, draw.percent(20) ? draw.whole(-1, 1) * 1000 : 0];
    const oven = entry.oven !== undefined && draw.percent(15) ? draw.one(['oven', 'oven 2']) : entry.oven;
    steps[place] = {
      ...entry,
      start: epochMs(entry.start + by),
      end: epochMs(Math.max(entry.start, entry.end + longer) + by),
      ...(oven !== undefined && { oven }),
    };
  }
  return { ...timetable, steps: steps.toSorted((a, b) => a.start - b.start) };
}

/** Which rules the verifier sees broken, those of oven settings left aside. */
function brokenIn({ workload, request }: Asked, timetable: Timetable): string[] {
  const { now, margins } = request;
  return verify(workload, timetable, { ...(now && { now }), ...(margins && { margins }) })
    .map(({ rule }) => rule)
    .filter((rule) => rule !== 'settings');
}

test('the oracle and the verifier accept and refuse the same timetables', () => {
  const different: string[] = [];
  const rules = new Set<string>();
  const seen = { accepted: 0, refused: 0 };
  for (let seed = 0; seed < 700; seed += 1) {
    const given = tinyKitchen(seed, { emptyLoads: seed % 2 === 0 });
    const question = asked(given);
    const answer = bestOfAll(question.workload, question.request);
    if (answer.status === 'infeasible') continue;
    const draw = chance(seed);
    for (let times = 0; times < 6; times += 1) {
      const timetable = disturbed(draw, answer.timetable);
      const broken = brokenIn(question, timetable);
      const accepted = accepts(question.workload, question.request, timetable);
      if (accepted !== (broken.length === 0))
        different.push(`seed ${seed}: ${broken.join(', ')}\n${JSON.stringify(timetable)}\n${printed(given)}`);
      seen[accepted ? 'accepted' : 'refused'] += 1;
      for (const rule of broken) rules.add(rule);
    }
  }
  expect(different).toEqual([]);
  expect(seen.accepted).toBeGreaterThan(500);
  expect(seen.refused).toBeGreaterThan(500);
  expect([...rules].toSorted()).toEqual(
    'door, hands, hours, items, keeps, length, near, needs, now, order, oven, oven change, service, shelves, temperature, within'.split(
      ', ',
    ),
  );
});

const ladder = (answer: Pick<OracleAnswer, 'status'> & { readonly levels?: readonly Level[] }): string =>
  answer.levels?.map(({ name, value }) => `${name} ${value}`).join(', ') ?? answer.status;

test('it finds what looking at every single timetable finds', () => {
  const different: string[] = [];
  const seen = { optimal: 0, infeasible: 0 };
  for (let seed = 0; seed < 1000; seed += 1) {
    const given = tinyKitchen(seed, { steps: [1, 3], emptyLoads: seed % 2 === 0 });
    const { workload, request } = asked(given);
    const looked = bestByLooking(workload, request);
    if (!looked) continue;
    const answer = bestOfAll(workload, request);
    if (ladder(answer) !== ladder(looked))
      different.push(`seed ${seed}: ${ladder(answer)}, by looking ${ladder(looked)}\n${printed(given)}`);
    seen[answer.status] += 1;
  }
  expect(different).toEqual([]);
  expect(seen.optimal).toBeGreaterThan(150);
  expect(seen.infeasible).toBeGreaterThan(40);
});

test('looking further back finds nothing better', () => {
  const different: string[] = [];
  let further = 0;
  for (let seed = 0; seed < 400; seed += 1) {
    const given = tinyKitchen(seed, { steps: [2, 5] });
    const { workload, request } = asked(given);
    const earliest = Math.min(...puzzleOf(workload, request).low);
    const [near, far] = [bestOfAll(workload, request), bestOfAll(workload, request, { back: 25 - earliest })];
    if (ladder(far) !== ladder(near))
      different.push(`seed ${seed}: ${ladder(near)}, ${ladder(far)}\n${printed(given)}`);
    if (Math.min(...puzzleOf(workload, request, 25 - earliest).low) < earliest) further += 1;
  }
  expect(different).toEqual([]);
  expect(further).toBeGreaterThan(150);
});

test('what the search reckons while it looks is the ladder of what it found', () => {
  for (let seed = 0; seed < 200; seed += 1) {
    const { workload, request } = asked(tinyKitchen(seed));
    const answer = bestOfAll(workload, request);
    const found = answer.status === 'optimal' ? answer : { values: [], levels: [] };
    expect(found.values).toEqual(found.levels.map(({ value }) => value));
  }
});

test('in random kitchens every kind of rule matters: without it the best is another', () => {
  const kinds = 'busy, near, uses, holds, oven, hours, within, keeps, rests at most'.split(', ');
  const matters = new Map(kinds.map((kind) => [kind, 0]));
  for (let seed = 0; seed < 600; seed += 1) {
    const { workload, request } = asked(tinyKitchen(seed, { steps: [3, 6] }));
    const best = ladder(bestOfAll(workload, request));
    const rules = givingRules(workload);
    for (const kind of kinds) {
      const out = new Set(rules.filter((rule) => rule.startsWith(`${kind} `)));
      if (out.size > 0 && ladder(bestOfAll(workload, request, { out })) !== best)
        matters.set(kind, (matters.get(kind) ?? 0) + 1);
    }
  }
  expect([...matters].filter(([, count]) => count < 2)).toEqual([]);
});
