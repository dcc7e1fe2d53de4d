import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  COOLING_RULES,
  coolingReading,
  coolingSince,
  outOfCold,
  rulesNamed,
  standsOf,
  type CoolingStand,
  type Sample,
} from '../../src/heat/index.ts';
import { COOLING_RULE_NAMES, type CoolingRuleName } from '../../src/plan/index.ts';
import { celsius, epochMs, plus, type EpochMs } from '../../src/units/index.ts';

const OFF_THE_HEAT = epochMs(1_800_000_000_000);
const minute = (after: number): EpochMs => plus(OFF_THE_HEAT, after * 60);
type Reading = readonly [minute: number, celsius: number];

/** How the limits for cooked food stand after readings at minutes off the heat, `now` minutes off it. */
function stands(name: CoolingRuleName, readings: readonly Reading[], now: number): readonly CoolingStand[] {
  const { cooked } = COOLING_RULES[name];
  const run = readings.reduce(
    (before, [at, figure]) => coolingReading(before, cooked, { at: minute(at), celsius: celsius(figure) }),
    coolingSince(OFF_THE_HEAT, cooked),
  );
  return standsOf(run, cooked, minute(now));
}

/** Each stand in short: its state, when its clock started and ends in minutes off the heat, and when it was met. */
const short = (each: CoolingStand): string => {
  const at = (moment: EpochMs): number => (moment - OFF_THE_HEAT) / 60_000;
  if (each.state === 'not started') return each.state;
  const met = 'met' in each && each.met ? ` at ${at(each.met.at)}` : '';
  return `${each.state}${met}: ${at(each.startedAt)} to ${at(each.by)}${each.isAssumed ? ', assumed' : ''}`;
};

describe('the sets', () => {
  test.each(COOLING_RULE_NAMES)(
    '%s has a source, and limits that lead down to how cold it is held',
    (name) => {
      const rules = COOLING_RULES[name];
      expect(rulesNamed(name)).toBe(rules);
      expect(rules.source).not.toBe('');
      const coldest = Math.min(...rules.cooked.map(({ to }) => to));
      expect(rules.cold ?? coldest).toBe(coldest);
      for (const { from, to, within } of [...rules.cooked, ...rules.ambient]) {
        expect(from ?? 100).toBeGreaterThan(to);
        expect(within).toBeGreaterThan(0);
      }
    },
  );

  test('a name that is not known is no set', () => {
    expect(rulesNamed(undefined)).toBeUndefined();
    expect(rulesNamed('atlantis')).toBeUndefined();
  });

  // Largest time constants that still meet each rule, min, worked out by hand from the closed form for a medium.
  test.each<[CoolingRuleName, number, number]>([
    ['us food code', 0.5, 118],
    ['us food code', 3, 109],
    ['us food code', 4, 91],
    ['australia', 2, 108],
    ['australia', 4, 85],
    ['france', 3, 56],
    ['uk guidance', 4, 33],
  ])('%s in %f C is met up to a time constant of %i min, and not beyond', (name, around, tau) => {
    const met = (share: number): boolean => {
      const curve = Array.from({ length: 60 * 12 }, (_, at): Reading => [
        at,
        around + (85 - around) * Math.exp(-at / (tau * share)),
      ]);
      return stands(name, curve, 60 * 12).every(({ state }) => state === 'met');
    };
    expect([met(0.96), met(1.04)]).toEqual([true, false]);
  });
});

describe('clocks', () => {
  test('run from the last reading that was so hot, and are met by a reading', () => {
    const curve: Reading[] = [
      [5, 80],
      [20, 57],
      [30, 50],
    ];
    expect(stands('us food code', curve, 31).map(short)).toEqual([
      'running: 20 to 140',
      'running: 20 to 380',
    ]);
    const cooled: Reading[] = [...curve, [100, 21], [300, 5]];
    expect(stands('us food code', cooled, 310).map(short)).toEqual([
      'met at 100: 20 to 140',
      'met at 300: 20 to 380',
    ]);
  });

  test('do not run while the body is still so hot, and are assumed to where it was not read so hot', () => {
    expect(stands('us food code', [[5, 80]], 15).map(short)).toEqual(['not started', 'not started']);
    const late = ['running: 0 to 120, assumed', 'running: 0 to 360, assumed'];
    expect(stands('us food code', [], 30).map(short)).toEqual(late);
    expect(stands('us food code', [[20, 50]], 30).map(short)).toEqual(late);
  });

  test('a stage that follows another starts with the reading that shows the other at its end', () => {
    const curve: Reading[] = [
      [5, 70],
      [90, 24],
    ];
    expect(stands('australia', curve, 100).map(short)).toEqual(['running: 5 to 125', 'not started']);
    expect(stands('australia', [...curve, [110, 20]], 120).map(short)).toEqual([
      'met at 110: 5 to 125',
      'running: 110 to 350',
    ]);
  });

  test('and no later than the other was to end: both together never last longer than the set says', () => {
    const sparse: Reading[] = [
      [5, 70],
      [300, 4],
    ];
    expect(stands('australia', sparse, 310).map(short)).toEqual([
      'passed at 300: 5 to 125',
      'met at 300: 125 to 365',
    ]);
    expect(
      stands(
        'australia',
        [
          [5, 70],
          [400, 4],
        ],
        410,
      ).map(short)[1],
    ).toBe('passed at 400: 125 to 365');
  });

  test('a reading right at the end of one stage starts the next, and so does the end of its time', () => {
    const exact: Reading[] = [
      [5, 70],
      [100, 21],
    ];
    expect(stands('australia', exact, 101).map(short)).toEqual([
      'met at 100: 5 to 125',
      'running: 100 to 340',
    ]);
    expect(stands('australia', exact, 400).map(short)[1]).toBe('passed: 100 to 340');
    expect(stands('australia', exact, 101)[1]).toMatchObject({ startedWith: { celsius: 21 } });
    const unread: Reading[] = [
      [5, 70],
      [90, 30],
    ];
    expect(stands('australia', unread, 125).map(short)).toEqual(['running: 5 to 125', 'not started']);
    expect(stands('australia', unread, 126).map(short)).toEqual(['passed: 5 to 125', 'running: 125 to 365']);
  });

  test('a reading of something else, taken for the food, is withdrawn by the next of the food', () => {
    const probeOnTheBench: Reading[] = [
      [0, 80],
      [20, 50],
      [30, 20],
      [31, 19],
      [34, 46],
    ];
    expect(stands('us food code', probeOnTheBench.slice(0, 4), 32).map(short)[0]).toBe('met at 30: 0 to 120');
    expect(stands('us food code', probeOnTheBench, 35).map(short)[0]).toBe('running: 0 to 120');
    // One that stood in the room before it was put into the hot food has said nothing of the food.
    expect(
      stands(
        'us food code',
        [
          [2, 20],
          [4, 80],
          [20, 50],
        ],
        30,
      ).map(short)[0],
    ).toBe('running: 4 to 124');
  });

  test('a reading after the limit does not meet it', () => {
    const curve: Reading[] = [
      [5, 70],
      [150, 20],
    ];
    expect(stands('france', curve, 120).map(short)).toEqual(['running: 5 to 125']);
    expect(stands('france', curve, 126).map(short)).toEqual(['passed: 5 to 125']);
    expect(stands('france', [...curve, [160, 9]], 170).map(short)).toEqual(['passed at 160: 5 to 125']);
  });

  test('a body that was hot and is not read any more has cooled unseen', () => {
    expect(stands('us food code', [[5, 80]], 16).map(short)).toEqual([
      'running: 5 to 125',
      'running: 5 to 365',
    ]);
  });

  test('a set that counts from off the heat needs no reading to count from', () => {
    expect(stands('ireland', [[30, 60]], 40).map(short)).toEqual(['running: 0 to 150']);
  });

  test('what is heated again begins anew', () => {
    const curve: Reading[] = [
      [5, 70],
      [100, 30],
      [130, 75],
      [140, 50],
    ];
    expect(stands('us food code', curve, 141).map(short)).toEqual([
      'running: 130 to 250',
      'running: 130 to 490',
    ]);
  });

  test('there is a tenth of the time left to act from the warning on', () => {
    const [first] = stands('us food code', [[0, 50]], 10);
    expect(first?.state === 'running' ? (first.by - first.warnFrom) / 60_000 : undefined).toBe(12);
  });
});

const curves = fc
  .array(fc.tuple(fc.integer({ min: 0, max: 500 }), fc.double({ min: -2, max: 90, noNaN: true })), {
    maxLength: 12,
  })
  .map((readings): Reading[] => readings.toSorted(([a], [b]) => a - b));
const RANK = { met: 0, 'not started': 1, running: 1, passed: 2 } as const;

describe('laws', () => {
  test('one more reading that is cold never makes a limit worse', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...COOLING_RULE_NAMES),
        curves,
        fc.integer({ min: 0, max: 500 }),
        fc.integer({ min: 0, max: 600 }),
        (name, curve, at, now) => {
          const cold = Math.min(...COOLING_RULES[name].cooked.map(({ to }) => to));
          const seen = curve.filter(([when]) => when <= now);
          const more = [...seen, [Math.min(at, now), cold] as const].toSorted(([a], [b]) => a - b);
          const worst = (readings: readonly Reading[]): number[] =>
            stands(name, readings, now).map(({ state }) => RANK[state]);
          const [before, after] = [worst(seen), worst(more)];
          // A second stage begins with it, and may then be late; the first may only gain.
          expect(after[0]).toBeLessThanOrEqual(before[0] ?? 2);
        },
      ),
    );
  });

  test('only a reading meets a limit: time alone takes one from running to passed and no other way', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...COOLING_RULE_NAMES),
        curves,
        fc.integer({ min: 0, max: 500 }),
        (name, curve, later) => {
          const end = Math.max(0, ...curve.map(([at]) => at));
          const [now, then] = [stands(name, curve, end), stands(name, curve, end + later)];
          for (const [index, { state }] of now.entries()) {
            const after = then[index]?.state;
            expect(state === 'met' || state === 'passed' ? [state] : [state, 'running', 'passed']).toContain(
              after,
            );
          }
        },
      ),
    );
  });

  test('a limit that is met was read that cold in its time', () => {
    fc.assert(
      fc.property(fc.constantFrom(...COOLING_RULE_NAMES), curves, (name, curve) => {
        for (const each of stands(name, curve, 700)) {
          if (each.state !== 'met') continue;
          const { met, by, startedAt, limit } = each;
          expect(met.celsius).toBeLessThanOrEqual(limit.to);
          expect(met.at).toBeLessThanOrEqual(by);
          expect(met.at).toBeGreaterThanOrEqual(startedAt);
        }
      }),
    );
  });

  test('however many readings come, what is kept is small', () => {
    const { cooked } = COOLING_RULES.australia;
    let run = coolingSince(OFF_THE_HEAT, cooked);
    for (let at = 0; at < 20_000; at += 1) {
      const sample: Sample = { at: plus(OFF_THE_HEAT, at), celsius: celsius(3 + 80 * Math.exp(-at / 4000)) };
      run = coolingReading(run, cooked, sample);
    }
    expect(JSON.stringify(run).length).toBeLessThan(800);
  });
});

test('time out of the cold adds up over every trip, the one that goes on included', () => {
  const trips = [
    { from: minute(0), to: minute(20) },
    { from: minute(60), to: minute(75) },
    { from: minute(100) },
  ];
  expect(outOfCold(trips, minute(130))).toBe(65 * 60);
});
