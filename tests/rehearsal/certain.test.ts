import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { apply, begin, certainClashes, type BenchState, type Happening } from '../../src/bench/index.ts';
import { componentId, stepId, type Door, type StepId, type Workload } from '../../src/plan/index.ts';
import type { Timetable } from '../../src/planner/index.ts';
import { playCases } from '../../src/rehearsal/ahead.ts';
import { celsius, parseTemperature, plus, seconds, type EpochMs } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';

/* Bread is in the oven (or a dough in the hands) since 13:00, a tart is being filled since 13:04 and goes in next. */
const at = (clock: string): EpochMs => moment(`2027-05-14 ${clock}`);
const id = (component: string, name: string): StepId => stepId(componentId(component), name);
const minutes = (count: number): string => `${count} min`;
const hot = (figure: string) => {
  const read = parseTemperature(figure);
  if (!read.ok) throw new Error(read.problem);
  return { kind: 'at' as const, temperature: read.value };
};

interface Case {
  /** Shortest and longest time of the bread, min. */
  readonly bread: readonly [number, number];
  readonly breadAt: string;
  readonly breadDoor: Door;
  /** What follows the bread's first bake in the oven without a wait. */
  readonly next?: { readonly at: string; readonly takes: readonly [number, number] };
  /** Shortest and longest time of filling, min. */
  readonly fill: readonly [number, number];
  readonly tartAt: string;
  readonly within: number;
  readonly shelves: number;
  readonly tartShelves: number;
  /** A second short step between filling and the oven, min. */
  readonly rest?: { readonly takes: number; readonly within: number };
}

const PLAIN: Case = {
  bread: [40, 50],
  breadAt: '220 C',
  breadDoor: 'usable',
  fill: [6, 12],
  tartAt: '180 C',
  within: 5,
  shelves: 2,
  tartShelves: 1,
};

function kitchen(made: Case): Workload {
  const { bread, breadAt, breadDoor, next, fill, tartAt, within, shelves, tartShelves, rest } = made;
  const cue = { kind: 'cue', text: 'it looks done' } as const;
  const range = ([low, high]: readonly [number, number]): [string, string] => [minutes(low), minutes(high)];
  return workload({
    kitchen: { ovens: [{ soak: seconds(60), tolerance: celsius(5), heats: 20, cools: 5, shelves }] },
    components: {
      bread: [
        step('bake', { takes: range(bread), oven: { at: breadAt, door: breadDoor }, until: cue }),
        ...(next
          ? [
              step('go on', {
                takes: range(next.takes),
                within: '0 min',
                oven: { at: next.at, door: 'usable' },
                until: cue,
              }),
            ]
          : []),
      ],
      tart: [
        step('fill', { takes: range(fill), hands: 'busy', until: cue }),
        ...(rest ? [step('set', { takes: minutes(rest.takes), within: minutes(rest.within) })] : []),
        step('bake', {
          takes: '20 min',
          oven: { at: tartAt, door: 'usable', shelves: tartShelves },
          within: minutes(within),
        }),
      ],
    },
  });
}

/** The run at 13:06, as it was told: the tart goes in at 13:16, whatever that clashes with. */
function runOf(made: Case): BenchState {
  const plan = kitchen(made);
  let from = at('13:00');
  const steps = plan.components.flatMap((component) => {
    from = component.id === 'tart' ? at('13:04') : from;
    return component.steps.map(({ id: name, oven }) => {
      const start = from;
      from = plus(start, 600);
      return { step: name, start, end: from, ...(oven ? { oven: 'oven' } : {}) };
    });
  });
  const [, tart] = [id('bread', 'bake'), id('tart', 'bake')];
  const set = { oven: 'oven', heat: hot(made.breadAt), at: at('12:00'), hotBy: at('12:50') };
  const timetable: Timetable = {
    service: [at('16:00')],
    steps: steps.toSorted((a, b) => a.start - b.start),
    settings: [
      { ...set, step: id('bread', 'bake') },
      ...(made.tartAt === made.breadAt
        ? []
        : [{ oven: 'oven', heat: hot(made.tartAt), at: at('13:12'), hotBy: at('13:14'), step: tart }]),
    ],
  };
  let state = begin({ run: 'r', workload: plan, timetable, begunAt: at('12:00') });
  const happen = (clock: string, happening: Happening): void => {
    const outcome = apply(state, {
      id: `${clock} ${happening.kind}`,
      time: at(clock),
      source: 'cook',
      ...happening,
    });
    if (!outcome.ok) throw new Error(outcome.why);
    state = outcome.state;
  };
  happen('12:00', { kind: 'oven set', oven: 'oven', heat: set.heat });
  happen('13:00', { kind: 'start', step: id('bread', 'bake'), at: at('13:00') });
  happen('13:04', { kind: 'start', step: id('tart', 'fill'), at: at('13:04') });
  happen('13:06', { kind: 'clock' });
  return state;
}

/** Key of what is said to be certain, and in how many of the cases that were played it was there. */
function shown(state: BenchState, samples = 16): { key: string; share: number }[] {
  const cases = playCases(state, state.time, { seed: 3, samples });
  return certainClashes(state, state.time).map(({ key }) => ({
    key,
    share: (cases.seen.get(key)?.length ?? 0) / cases.samples,
  }));
}

const CLASH = { key: 'oven tart.bake', share: 1 };

describe('certain', () => {
  test.each<[string, Partial<Case>, readonly (typeof CLASH)[]]>([
    ['two temperatures', {}, [CLASH]],
    ['the bread may be out in time', { bread: [15, 50], within: 12 }, []],
    ['the tart may wait', { within: 60 }, []],
    [
      'the oven is not as hot as it must be in time, though the bread is out',
      { bread: [14, 50], within: 0, breadAt: '160 C', tartAt: '230 C' },
      [CLASH],
    ],
    ['one temperature', { tartAt: '220 C' }, []],
    ['one temperature, and no shelf for both', { tartAt: '220 C', shelves: 1 }, [CLASH]],
    ['one temperature, and a door that must stay shut', { tartAt: '220 C', breadDoor: 'shut' }, [CLASH]],
    [
      'what follows the bread wants what the tart wants',
      { next: { at: '180 C', takes: [30, 40] }, bread: [14, 16], within: 12 },
      [],
    ],
    [
      'what follows the bread keeps it out',
      { next: { at: '200 C', takes: [30, 40] }, bread: [10, 16] },
      [CLASH],
    ],
    ['a step in between', { rest: { takes: 4, within: 2 } }, [CLASH]],
    ['a step in between that gives it time', { rest: { takes: 4, within: 40 } }, []],
  ])('%s', (_, given, expected) => {
    expect(shown(runOf({ ...PLAIN, ...given }))).toEqual(expected);
  });

  test('says who, where, by when, and when the oven is free at the soonest', () => {
    const state = runOf(PLAIN);
    // Filled by 13:16 at the latest, and it may wait 5 min; the bread is out at 13:40, and 220 to 180 C takes its time.
    expect(certainClashes(state, state.time)).toMatchObject([
      {
        kind: 'oven',
        chance: 'certain',
        steps: [id('bread', 'bake'), id('tart', 'bake')],
        soonest: at('13:21'),
        why: expect.stringMatching(
          /^tart: bake has to go into the oven by 13:21, and it is right for it at 13:4\d at the soonest, after bread: bake$/,
        ),
      },
    ]);
  });

  test('hands that are not free before something spoils', () => {
    const plan = workload({
      components: {
        dough: [
          step('knead', {
            takes: ['20 min', '30 min'],
            hands: 'busy',
            until: { kind: 'cue', text: 'smooth' },
          }),
        ],
        syrup: [
          step('boil', { takes: ['6 min', '8 min'], hands: 'near', until: { kind: 'cue', text: 'thick' } }),
          step('pour', { takes: '4 min', hands: 'busy', within: '2 min' }),
        ],
      },
    });
    const timetable: Timetable = {
      service: [at('16:00')],
      steps: [
        { step: id('dough', 'knead'), start: at('13:00'), end: at('13:05') },
        { step: id('syrup', 'boil'), start: at('13:00'), end: at('13:07') },
        { step: id('syrup', 'pour'), start: at('13:07'), end: at('13:11') },
      ],
      settings: [],
    };
    let state = begin({ run: 'r', workload: plan, timetable, begunAt: at('12:59') });
    for (const name of [id('dough', 'knead'), id('syrup', 'boil')]) {
      const outcome = apply(state, {
        id: name,
        time: at('13:00'),
        source: 'cook',
        kind: 'start',
        step: name,
        at: at('13:00'),
      });
      state = outcome.state;
    }
    expect(shown(state)).toEqual([{ key: 'hands dough.knead | syrup.pour', share: 1 }]);
    // A second pair of hands, and nothing is certain any more.
    const two = { ...plan, kitchen: { ...plan.kitchen, cooks: 2 } };
    expect(certainClashes({ ...state, setup: { ...state.setup, workload: two } }, state.time)).toEqual([]);
  });

  test('a step that has outrun its range, or a moment that has passed, makes nothing certain', () => {
    const state = runOf({ ...PLAIN, fill: [1, 2], within: 30, bread: [100, 110] });
    // At 13:06 filling was to be over at 13:06; by 13:10 it has outrun its range.
    const later = apply(state, { id: 'l', time: at('13:10'), source: 'clock', kind: 'clock' }).state;
    expect(certainClashes(later, later.time)).toEqual([]);
    const ended = apply(later, {
      id: 'e',
      time: at('13:10'),
      source: 'cook',
      kind: 'done',
      step: id('tart', 'fill'),
      at: at('13:10'),
    }).state;
    expect(certainClashes(ended, ended.time)).toHaveLength(1);
    const over = apply(ended, { id: 'o', time: at('13:41'), source: 'clock', kind: 'clock' }).state;
    expect(certainClashes(over, over.time)).toEqual([]);
  });

  const temperature = fc.constantFrom('160 C', '180 C', '184 C', '220 C');
  const span = (low: number, high: number): fc.Arbitrary<[number, number]> =>
    fc
      .tuple(fc.integer({ min: low, max: high }), fc.integer({ min: 0, max: 20 }))
      .map(([a, b]) => [a, a + b]);
  const cases: fc.Arbitrary<Case> = fc.record({
    bread: span(8, 50),
    breadAt: temperature,
    breadDoor: fc.constantFrom<Door>('usable', 'shut'),
    fill: span(3, 20),
    tartAt: temperature,
    within: fc.integer({ min: 0, max: 30 }),
    shelves: fc.integer({ min: 1, max: 2 }),
    tartShelves: fc.constant(1),
    next: fc.option(fc.record({ at: temperature, takes: span(2, 20) }), { nil: undefined }),
    rest: fc.option(
      fc.record({ takes: fc.integer({ min: 1, max: 6 }), within: fc.integer({ min: 0, max: 5 }) }),
      {
        nil: undefined,
      },
    ),
  }) as fc.Arbitrary<Case>;

  test('whatever is called certain is there in every case that is played', () => {
    let certain = 0;
    fc.assert(
      fc.property(cases, (given) => {
        const { next, ...rest } = given;
        // Only a later step that lowers the oven keeps its load in there.
        const made = next && Number.parseInt(next.at) < Number.parseInt(given.breadAt) ? given : rest;
        const found = shown(runOf(made), 8);
        certain += found.length;
        expect(found.filter(({ share }) => share < 1)).toEqual([]);
      }),
      { numRuns: 150, seed: 77 },
    );
    // The property says something only if it often had something to say.
    expect(certain).toBeGreaterThan(30);
  });
});
