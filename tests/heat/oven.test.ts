import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  airAround,
  knobFor,
  loaded,
  openingCost,
  ovenModel,
  secondsTo,
  secondsToRange,
  secondsUntilRight,
  secondsUntilRightRange,
  temperatureAfter,
  type OvenDoor,
} from '../../src/heat/index.ts';
import type { Oven } from '../../src/plan/index.ts';
import { celsius, seconds } from '../../src/units/index.ts';

const ROOM = 20;
const MINUTE = 60;
const oven = (figures: Partial<Oven> = {}): Oven => ({
  name: 'oven',
  shelves: 2,
  heats: 15,
  cools: 3,
  tolerance: celsius(8),
  soak: seconds(600),
  ...figures,
});
const model = (figures: Partial<Oven> = {}) => ovenModel(oven(figures), ROOM);
const minutes = (time: number): number => Math.round((time / MINUTE) * 100) / 100;

describe('what an oven takes from one temperature to another', () => {
  test('a mean rate holds from the room to 200 C, and from 220 to 180 C', () => {
    expect(minutes(secondsTo(model(), ROOM, 200))).toBe(180 / 15);
    expect(minutes(secondsTo(model(), 220, 180))).toBe(13.33);
  });

  test('a change that was watched takes as long as it took', () => {
    const watched = model({
      heats: { from: celsius(25), to: celsius(230), in: seconds(17 * MINUTE) },
      cools: { from: celsius(230), to: celsius(150), in: seconds(26 * MINUTE) },
      ajar: { from: celsius(150), to: celsius(90), in: seconds(11 * MINUTE) },
      open: { from: celsius(200), to: celsius(60), in: seconds(9 * MINUTE) },
      hottest: celsius(310),
    });
    expect(minutes(secondsTo(watched, 25, 230))).toBe(17);
    expect(minutes(secondsTo(watched, 230, 150))).toBe(26);
    expect(minutes(secondsTo(watched, 150, 90, 'ajar'))).toBe(11);
    expect(minutes(secondsTo(watched, 200, 60, 'open'))).toBe(9);
  });

  // By hand: tau = 12 min / ln(380 / 200) = 18.70 min; tau ln(380 / 180) = 13.97, tau ln(380 / 150) = 17.38.
  test.each([
    [ROOM, 220, 13.97],
    [ROOM, 250, 17.38],
    [180, 220, 3.75],
    // tau = 13.33 min / ln(200 / 160) = 59.75 min; tau ln(160 / 100), and tau ln(200 / 10).
    [180, 120, 28.08],
    [220, 30, 179.0],
  ])('from %d C to %d C in %d min', (from, to, expected) => {
    expect(minutes(secondsTo(model(), from, to))).toBe(expected);
  });

  test('within its tolerance it is right at once; upwards it soaks', () => {
    expect(secondsUntilRight(model(), 175, 180)).toBe(0);
    expect(minutes(secondsUntilRight(model(), ROOM, 200))).toBe(22);
    expect(minutes(secondsUntilRight(model(), 220, 180))).toBe(13.33);
  });

  test('every goal is reached some time with the door shut, and not with the door open', () => {
    expect(secondsTo(model({ hottest: celsius(250) }), ROOM, 300)).toBeLessThan(24 * 3600);
    expect(secondsTo(model(), ROOM, 590)).toBeLessThan(24 * 3600);
    expect(secondsTo(model(), 100, 220, 'open')).toBe(Infinity);
    expect(Number.isFinite(secondsTo(model(), 220, -10))).toBe(true);
  });

  test('its knob is turned further where it stands below what that says', () => {
    expect(knobFor(model({ offset: celsius(-8) }), 180)).toBe(188);
  });
});

test('docs/ovens.md names the guesses that are used', () => {
  const page = readFileSync(new URL('../../docs/ovens.md', import.meta.url), 'utf8');
  const { hottest, overshoot, swing, offset, load, cooling, guessed } = model({ given: [] });
  for (const row of [
    `| \`hottest\` | ${hottest} C,`,
    `| \`overshoot\` | ${overshoot} C |`,
    `| \`swing\` | ${swing} C |`,
    `| \`offset\` | ${offset} C |`,
    `| \`load\` | ${load} C a shelf,`,
  ])
    expect(page).toContain(row);
  expect(page).toContain('| `ajar` | a third of the time constant');
  expect(cooling.shut / cooling.ajar).toBeCloseTo(3, 9);
  expect(page).toContain('| `open` | an eighth of it');
  expect(cooling.shut / cooling.open).toBeCloseTo(8, 9);
  expect(guessed).toHaveLength(11);
});

const anOven = fc
  .record({
    heats: fc.double({ min: 1, max: 60, noNaN: true }),
    cools: fc.double({ min: 0.5, max: 20, noNaN: true }),
    hottest: fc.option(fc.integer({ min: 260, max: 500 }), { nil: undefined }),
  })
  .map(({ heats, cools, hottest }) =>
    model({ heats, cools, ...(hottest === undefined ? {} : { hottest: celsius(hottest) }) }),
  );
const aHeat = fc.integer({ min: 20, max: 300 });
const aDoor = fc.constantFrom<OvenDoor>('shut', 'ajar', 'open');
const aTime = fc.integer({ min: 0, max: 6 * 3600 });
const aGoal = fc.option(fc.integer({ min: 40, max: 300 }), { nil: undefined });

describe('what an oven stands at', () => {
  test('is, after the time from one temperature to another, that other one', () => {
    fc.assert(
      fc.property(anOven, aHeat, fc.integer({ min: 25, max: 300 }), (which, from, goal) => {
        const time = secondsTo(which, from, goal);
        const door: OvenDoor = 'shut';
        expect(temperatureAfter(which, { from, goal, door }, time)).toBeCloseTo(goal, 6);
      }),
    );
  });

  test('is the same whether it is looked at on the way or not', () => {
    fc.assert(
      fc.property(anOven, aHeat, aGoal, aDoor, aTime, aTime, (which, from, goal, door, first, second) => {
        const between = temperatureAfter(which, { from, goal, door }, first);
        expect(temperatureAfter(which, { from: between, goal, door }, second)).toBeCloseTo(
          temperatureAfter(which, { from, goal, door }, first + second),
          6,
        );
      }),
    );
  });

  test('never passes its goal, never falls below the room, and never turns back while the door is shut', () => {
    fc.assert(
      fc.property(anOven, aHeat, aGoal, aTime, aTime, (which, from, goal, a, b) => {
        const [first, second] = [a, b].toSorted((x, y) => x - y) as [number, number];
        const stand = { from, goal, door: 'shut' } as const;
        const [earlier, later] = [
          temperatureAfter(which, stand, first),
          temperatureAfter(which, stand, second),
        ];
        const to = goal ?? ROOM;
        const [low, high] = [Math.min(from, to) - 1e-9, Math.max(from, to) + 1e-9];
        expect(earlier).toBeGreaterThanOrEqual(low);
        expect(earlier).toBeLessThanOrEqual(high);
        expect((later - earlier) * (to - from)).toBeGreaterThanOrEqual(-1e-6);
      }),
    );
  });

  test('a hotter start is never colder later, and a wider door never warmer', () => {
    fc.assert(
      fc.property(anOven, aHeat, aHeat, aGoal, aDoor, aTime, (which, a, b, goal, door, time) => {
        const [cool, hot] = [Math.min(a, b), Math.max(a, b)];
        const after = (from: number, way: OvenDoor): number =>
          temperatureAfter(which, { from, goal, door: way }, time);
        expect(after(hot, door)).toBeGreaterThanOrEqual(after(cool, door) - 1e-6);
        expect(after(hot, 'ajar')).toBeLessThanOrEqual(after(hot, 'shut') + 1e-6);
        expect(after(hot, 'open')).toBeLessThanOrEqual(after(hot, 'ajar') + 1e-6);
      }),
    );
  });

  // By hand: 20 + 160 exp(-30 / 19.92), with tau = 59.75 min / 3.
  test('drying with the oven off and its door ajar follows a curve', () => {
    expect(temperatureAfter(model(), { from: 180, goal: undefined, door: 'ajar' }, 30 * MINUTE)).toBeCloseTo(
      55.5,
      1,
    );
  });

  test('a heater can hold an oven at 200 C with its door ajar and not with its door open', () => {
    const later = (door: OvenDoor): number => temperatureAfter(model(), { from: 200, goal: 200, door }, 3600);
    expect(later('ajar')).toBe(200);
    // By hand: rates 1 / 18.70 and 1 / 7.47 - 1 / 59.75 a minute; (400 / 18.70 + 20 * 0.1171) / 0.1706.
    expect(later('open')).toBeCloseTo(139.1, 0);
  });
});

describe('the air around it', () => {
  test('shoots past the goal after the first heating and swings later', () => {
    const which = model({ overshoot: celsius(36), swing: celsius(10) });
    const there = secondsTo(which, ROOM, 180);
    const at = (after: number) => airAround(which, { from: ROOM, goal: 180, door: 'shut' }, there + after);
    expect(at(180)).toEqual({ low: 170, mean: 180, high: 216 });
    expect(at(3600)).toEqual({ low: 170, mean: 180, high: 190 });
    const early = airAround(which, { from: ROOM, goal: 180, door: 'shut' }, 60);
    expect(early.high).toBe(early.mean);
  });

  test('an opening costs more the longer it lasts, and comes back', () => {
    const brief = openingCost(model(), 200, 5);
    const long = openingCost(model(), 200, 60);
    // By hand, one minute: 180 (1 - exp(-1 / 7.47)) = 22.6 in the walls, and 0.2 x 157.4 = 31.4 of the air on top.
    expect(long.lost).toBeCloseTo(22.6, 1);
    expect(long.fell).toBeCloseTo(54.0, 0);
    // 18.70 ln(222.6 / 200) = 2.00 min for the walls, and one minute for the air.
    expect(long.back).toBeCloseTo(180, -1);
    expect(brief.fell).toBeLessThan(long.fell);
    expect(brief.back).toBeLessThan(long.back);
    expect(openingCost(model(), 200, 0)).toEqual({ fell: 0, lost: 0, back: 0 });
  });

  test('cold loads take it down, never by more than half its way to the room', () => {
    expect(loaded(model({ load: celsius(9) }), 180, 2)).toBe(162);
    expect(loaded(model({ load: celsius(9) }), 30, 2)).toBe(25);
  });
});

describe('how sure a time is', () => {
  test('a guess is wide, a figure that was given narrow', () => {
    const guess = secondsUntilRightRange(model({ given: [] }), ROOM, 200);
    const given = secondsUntilRightRange(model({ given: ['heats', 'soak'] }), ROOM, 200);
    expect([guess.low, guess.usual, guess.high].map(minutes)).toEqual([12.2, 22, 39.2]);
    expect([given.low, given.usual, given.high].map(minutes)).toEqual([20.8, 22, 23.8]);
    expect(secondsUntilRightRange(model(), 182, 180)).toEqual({ low: 0, usual: 0, high: 0 });
    expect(minutes(secondsToRange(model(), 220, 180).high)).toBe(15.33);
  });
});
