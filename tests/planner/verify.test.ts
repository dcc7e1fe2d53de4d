import { describe, expect, test } from 'vitest';
import type { Workload } from '../../src/plan/index.ts';
import { verify, type Timetable, type VerifyOptions } from '../../src/planner/index.ts';
import { celsius, epochMs, minutes, plus, seconds } from '../../src/units/index.ts';
import { step, workload, type KitchenSpec, type NamedStep } from '../support/workloads.ts';
import { NOON, planned, timetableOf } from './support/schedule.ts';

const kitchen: KitchenSpec = {
  near: 1,
  ovens: [{ heats: 10, cools: 5, soak: minutes(10), shelves: 2, tolerance: celsius(5) }],
  items: { tray: 1 },
};
const busy = { hands: 'busy' } as const;

/** A right timetable for service at noon. */
const right = (given: Workload): Timetable => timetableOf(planned(given));

/** The timetable with a step moved, and stretched, by minutes. */
function moved(timetable: Timetable, name: string, by: number, longer = 0): Timetable {
  return {
    ...timetable,
    steps: timetable.steps
      .map((entry) =>
        entry.step === name
          ? { ...entry, start: plus(entry.start, by * 60), end: plus(entry.end, (by + longer) * 60) }
          : entry,
      )
      .toSorted((a, b) => a.start - b.start),
  };
}

/** Which rules are broken, each once. */
function broken(given: Workload, timetable: Timetable, options: VerifyOptions = {}): string[] {
  return [...new Set(verify(given, timetable, options).map((violation) => violation.rule))].toSorted();
}

const plain = (steps: readonly NamedStep[]): Workload => workload({ kitchen, components: { a: steps } });
const pair = (spec: Parameters<typeof step>[1]): Workload =>
  workload({
    kitchen,
    components: { a: [step('do', spec)], b: [step('do', spec), step('wait', { rest: ['0 min'] })] },
  });

describe('the verifier passes what is right and reports each broken rule', () => {
  const buns = plain([
    step('mix', { takes: '10 min' }),
    step('shape', { takes: '5 min', after: '2 min', within: '3 min' }),
    step('prove', { rest: ['30 min', '40 min'] }),
  ]);

  test('complete', () => {
    const good = right(buns);
    expect(broken(buns, good)).toEqual([]);
    expect(broken(buns, { ...good, steps: good.steps.slice(1) })).toEqual(['complete']);
    expect(broken(buns, { ...good, steps: [...good.steps, ...good.steps.slice(2)] })).toEqual(['complete']);
    expect(broken(buns, { ...good, steps: good.steps.toReversed() })).toEqual(['complete']);
    expect(broken(buns, { ...good, service: [] })).toEqual(['complete']);
    expect(broken(buns, moved(good, 'a.mix', -0.01))).toEqual(['complete']);
    expect(broken(workload({ components: { b: [step('other', { takes: '1 min' })] } }), good)).toEqual([
      'complete',
    ]);
  });

  test('length', () => {
    const good = right(buns);
    expect(broken(buns, moved(good, 'a.mix', -1, 1))).toEqual(['length']);
    expect(broken(buns, moved(moved(moved(good, 'a.prove', -11, 11), 'a.shape', -11), 'a.mix', -11))).toEqual(
      ['length'],
    );
    expect(broken(buns, moved(good, 'a.prove', 1, -1))).toEqual(['length']);
  });

  test('order and within', () => {
    const good = right(buns);
    expect(broken(buns, moved(good, 'a.mix', 0.5))).toEqual(['order']);
    expect(broken(buns, moved(good, 'a.mix', -1))).toEqual([]);
    expect(broken(buns, moved(good, 'a.mix', -1.5))).toEqual(['within']);
  });

  test('needs and keeps', () => {
    const pie = workload({
      kitchen,
      components: {
        cream: { keeps: '15 min', steps: [step('cook', { takes: '5 min' })] },
        pie: [step('fill', { takes: '10 min', needs: ['cream'] })],
      },
    });
    const good = right(pie);
    expect(broken(pie, moved(good, 'cream.cook', 1))).toEqual(['needs']);
    expect(broken(pie, moved(good, 'cream.cook', -5))).toEqual([]);
    expect(broken(pie, moved(good, 'cream.cook', -6))).toEqual(['keeps']);
    const alone = workload({
      components: { cream: { keeps: '15 min', steps: [step('cook', { takes: '5 min' })] } },
    });
    expect(broken(alone, moved(right(alone), 'cream.cook', -16))).toEqual(['keeps']);
  });

  test('service and its margin', () => {
    const late = workload({ margin: '10 min', components: { a: [step('mix', { takes: '5 min' })] } });
    const good = right(late);
    expect(broken(late, moved(good, 'a.mix', 1))).toEqual(['service']);
    expect(broken(late, moved(good, 'a.mix', 10), { margins: 'drop' })).toEqual([]);
    expect(broken(late, moved(good, 'a.mix', 11), { margins: 'drop' })).toEqual(['service']);
  });

  test('now, for steps and for heating', () => {
    const tart = plain([step('bake', { takes: '20 min', oven: { at: '180 C' } })]);
    const good = right(tart);
    expect(broken(tart, good, { now: plus(NOON, -46 * 60) })).toEqual([]);
    expect(broken(tart, good, { now: plus(NOON, -45 * 60) })).toEqual(['now']);
    const mixing = plain([step('mix', { takes: '5 min' })]);
    expect(broken(mixing, right(mixing), { now: plus(NOON, -4 * 60) })).toEqual(['now']);
  });

  test('hands, near steps and items', () => {
    const cases = [
      ['hands', { ...busy, takes: '10 min' }],
      ['near', { hands: 'near', takes: '10 min' }],
      ['items', { takes: '10 min', uses: ['tray'] }],
    ] as const;
    for (const [rule, spec] of cases) {
      const two = pair(spec);
      const good = right(two);
      const early = good.steps[0]?.step ?? '';
      expect(broken(two, good)).toEqual([]);
      const found = broken(two, moved(good, early, 0.5));
      // Moved past the other, it may no longer stand in order of start.
      expect(found.filter((other) => other !== 'order')).toEqual([rule]);
    }
  });

  test('a held item is taken until the hold ends', () => {
    const trays = workload({
      kitchen,
      components: {
        a: [
          step('pipe', { takes: '5 min', holds: [{ item: 'tray', until: 'a.bake' }] }),
          step('wait', { takes: '10 min' }),
          step('bake', { takes: '5 min', uses: ['tray'] }),
        ],
        b: [step('roast', { takes: '5 min', uses: ['tray'] })],
      },
    });
    const good = right(trays);
    expect(broken(trays, good)).toEqual([]);
    const meanwhile = {
      ...good,
      steps: good.steps
        .map((entry) =>
          entry.step === 'b.roast'
            ? { ...entry, start: plus(NOON, -12 * 60), end: plus(NOON, -7 * 60) }
            : entry,
        )
        .toSorted((a, b) => a.start - b.start),
    };
    const shifted =
      meanwhile.steps.find((entry) => entry.step === 'a.bake')?.end === NOON
        ? meanwhile
        : moved(moved(moved(meanwhile, 'a.pipe', 5), 'a.wait', 5), 'a.bake', 5);
    expect(broken(trays, shifted)).toEqual(['items']);
  });
});

describe('ovens', () => {
  const bake = (at: string, more = {}): NamedStep => step('bake', { takes: '20 min', oven: { at, ...more } });
  const two = (first: NamedStep, second: NamedStep): Workload =>
    workload({ kitchen, components: { a: [first], b: [second] } });
  /** Both loads at once, with the settings for the first. */
  const together = (given: Workload): Timetable => {
    const good = right(given);
    const steps = good.steps.map((entry) => ({
      ...entry,
      start: epochMs(NOON - (entry.end - entry.start)),
      end: NOON,
    }));
    return {
      ...good,
      steps: steps.toSorted((a, b) => a.start - b.start),
      settings: right(workload({ kitchen, components: { a: [bake('180 C')] } })).settings,
    };
  };

  test('which oven', () => {
    const tart = plain([bake('180 C'), step('low', { takes: '5 min', oven: { at: '160 C' } })]);
    const good = right(tart);
    const elsewhere = (oven?: string): Timetable => ({
      ...good,
      steps: good.steps.map(({ step: id, start, end }) => ({
        step: id,
        start,
        end,
        ...(oven !== undefined && { oven }),
      })),
    });
    expect(broken(tart, elsewhere())).toContain('oven');
    expect(broken(tart, elsewhere('cupboard'))).toContain('oven');
    const ovens = [{}, { name: 'deck' }];
    const named = workload({
      kitchen: { ovens },
      components: {
        a: [bake('180 C', { oven: 'deck' }), step('low', { takes: '5 min', oven: { at: '160 C' } })],
      },
    });
    const inDeck = right(named);
    expect(broken(named, inDeck)).toEqual([]);
    expect(
      broken(named, {
        ...inDeck,
        steps: inDeck.steps.map((entry) => (entry.step === 'a.low' ? { ...entry, oven: 'oven' } : entry)),
      }),
    ).toContain('oven');
    const dry = plain([step('mix', { takes: '5 min' })]);
    expect(
      broken(dry, { ...right(dry), steps: right(dry).steps.map((entry) => ({ ...entry, oven: 'oven' })) }),
    ).toEqual(['oven']);
  });

  test('temperatures, shelves, and an oven wanted for oneself', () => {
    const shared = two(bake('180 C'), bake('184 C'));
    expect(broken(shared, together(shared))).toEqual([]);
    const hotter = two(bake('180 C'), bake('200 C'));
    expect(broken(hotter, together(hotter))).toEqual(['settings', 'temperature']);
    const full = two(bake('180 C', { shelves: 2 }), bake('180 C'));
    expect(broken(full, together(full))).toEqual(['shelves']);
    const ajar = two(bake('180 C'), bake('180 C', { door: 'ajar' }));
    expect(broken(ajar, together(ajar))).toEqual(['temperature']);
  });

  test('the door', () => {
    const shut = two(
      bake('180 C'),
      step('toast', { takes: '10 min', oven: { at: '180 C', door: 'usable' } }),
    );
    const overlapping = together(shut);
    expect(broken(shut, overlapping)).toEqual(['door']);
    // A load that stays in at that moment opens no door.
    const staying = workload({
      kitchen,
      components: {
        a: [bake('180 C')],
        b: [
          step('one', { takes: '10 min', oven: { at: '180 C' } }),
          step('two', { takes: '10 min', oven: { at: '182 C' } }),
        ],
      },
    });
    const good = right(staying);
    expect(good.steps[0]?.start).toBe(plus(NOON, -20 * 60));
    expect(broken(staying, good)).toEqual([]);
  });

  test('the time to change', () => {
    const change = two(bake('160 C'), bake('220 C'));
    const good = right(change);
    expect(broken(change, good)).toEqual([]);
    expect(broken(change, moved(good, good.steps[0]?.step ?? '', 1))).toContain('oven change');
    const cold = workload({
      kitchen,
      components: {
        a: [
          step('dry', { takes: '30 min', oven: { off: true, door: 'ajar' } }),
          step('toast', { takes: '5 min', oven: { at: '180 C' } }),
        ],
      },
    });
    const afterOff = right(cold);
    expect(broken(cold, afterOff)).toEqual([]);
    expect(broken(cold, moved(afterOff, 'a.dry', 1))).toEqual(['oven change', 'settings']);
  });

  test('settings: missing, late, early, wrong, left on, for nothing', () => {
    const tart = plain([
      bake('220 C'),
      step('low', { takes: '10 min', within: '0 min', oven: { at: '180 C' } }),
    ]);
    const good = right(tart);
    const change = (index: number, by: Partial<Timetable['settings'][number]>): Timetable => ({
      ...good,
      settings: good.settings
        .map((setting, place) => (place === index ? { ...setting, ...by } : setting))
        .toSorted((a, b) => a.at - b.at),
    });
    const at = (index: number): number => good.settings[index]?.at ?? 0;
    expect(broken(tart, good)).toEqual([]);
    for (const index of [0, 1, 2])
      expect(
        broken(tart, { ...good, settings: good.settings.filter((_, place) => place !== index) }),
      ).toEqual(['settings']);
    expect(broken(tart, change(0, { at: epochMs(at(0) + 60_000) }))).toEqual(['settings']);
    expect(broken(tart, change(1, { at: epochMs(at(1) - 60_000) }))).toEqual(['settings']);
    expect(broken(tart, change(1, { heat: { kind: 'off' } }))).toEqual(['settings']);
    expect(broken(tart, change(0, { oven: 'cupboard' }))).toEqual(['settings']);
    expect(broken(tart, change(0, { hotBy: epochMs(at(0) - 1000) }))).toEqual(['settings']);
    expect(
      verify(tart, change(0, { at: epochMs(at(0) + 60_000) })).map((violation) => violation.message),
    ).toEqual(['oven is not hot in time for a.bake']);
  });

  test('an oven that was hot must have cooled', () => {
    const fall = workload({
      kitchen: { ovens: [{ heats: 10, cools: 5, soak: seconds(0) }] },
      components: {
        a: [
          bake('220 C'),
          step('cool', { takes: '12 min' }),
          step('proof', { takes: '20 min', oven: { at: '160 C' } }),
        ],
      },
    });
    const good = right(fall);
    expect(broken(fall, good)).toEqual([]);
    const late = {
      ...good,
      settings: good.settings.map((setting) =>
        setting.step === 'a.proof' && setting.heat.kind === 'at'
          ? { ...setting, at: setting.hotBy }
          : setting,
      ),
    };
    expect(broken(fall, late)).toEqual(['settings']);
  });
});
