import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  boilingPoint,
  corrected,
  faultAt,
  hearProbe,
  usualProbe,
  type ProbeTrack,
} from '../../src/heat/index.ts';
import { celsius, epochMs, plus } from '../../src/units/index.ts';

const START = epochMs(1_800_000_000_000);
const PROBE = usualProbe('cream');

/** Readings `[seconds, degrees]`, in order: which were believed, and the track after them. */
function hear(readings: readonly (readonly [number, number])[], probe = PROBE) {
  let track: ProbeTrack | undefined;
  const believed = readings.map(([after, degrees]) => {
    const heard = hearProbe(track, probe, { at: plus(START, after), celsius: celsius(degrees) }, false);
    track = heard.track;
    return heard.believed;
  });
  if (!track) throw new Error('no readings');
  return { believed, track };
}

describe('what is believed of a probe', () => {
  test('a body that cools is', () => {
    const { believed, track } = hear([
      [0, 80],
      [10, 78],
      [20, 76.5],
    ]);
    expect(believed).toEqual([true, true, true]);
    expect(track.fault).toBeUndefined();
    expect(track.samples).toHaveLength(3);
  });

  test('a spike is not, and what comes after it is', () => {
    expect(hear([[0, 40], [2, 95], [4, 39.9]]).believed).toEqual([true, false, true]); // prettier-ignore
  });

  test('a figure no probe can read is not', () => {
    const { believed, track } = hear([
      [0, 20],
      [10, -127],
      [20, 20],
    ]);
    expect(believed).toEqual([true, false, true]);
    expect(track.fault).toBeUndefined();
  });

  test('a probe that was moved is, once three readings over ten seconds agree; what went before is forgotten', () => {
    const { believed, track } = hear([
      [0, 60],
      [1, 21],
      [6, 20.5],
      [11, 20.4],
      [16, 20.3],
    ]);
    expect(believed).toEqual([true, false, false, true, true]);
    expect(track.samples.map(({ celsius: read }) => read)).toEqual([21, 20.5, 20.4, 20.3]);
  });

  test('a probe that leaps to and fro is not', () => {
    const readings = Array.from({ length: 20 }, (_, index) => [index, index % 2 === 0 ? 20 : 90] as const);
    const { believed } = hear(readings);
    expect(believed.filter(Boolean)).toHaveLength(10);
  });

  test('a body that cools until it is cold is never called frozen, however finely its probe reads', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 600, max: 10_800 }),
        fc.double({ min: 2, max: 12, noNaN: true }),
        fc.constantFrom(0.1, 0.5, 1),
        fc.constantFrom(20, 60, 100),
        (tau, around, digit, every) => {
          let track: ProbeTrack | undefined;
          for (let passed = 0; passed < 8 * 3600; passed += every) {
            const truth = around + (30 - around) * Math.exp(-passed / tau);
            const degrees = celsius(Math.round(truth / digit) * digit);
            const heard = hearProbe(track, PROBE, { at: plus(START, passed), celsius: degrees }, false);
            expect(heard.believed).toBe(true);
            track = heard.track;
          }
        },
      ),
      { numRuns: 150, seed: 4 },
    );
  });

  test('one that stands still while it was falling fast is frozen; one that is cold and constant is not', () => {
    const falling = Array.from({ length: 31 }, (_, index) => [index * 10, 80 - index] as const);
    const stuck = Array.from({ length: 30 }, (_, index) => [310 + index * 10, 50] as const);
    const { believed, track } = hear([...falling, ...stuck]);
    expect(believed.slice(0, 31)).not.toContain(false);
    expect(believed.at(-1)).toBe(false);
    expect(track.fault?.kind).toBe('frozen');
    const cold = Array.from({ length: 500 }, (_, index) => [index * 10, 4] as const);
    expect(hear(cold).believed).not.toContain(false);
  });

  test('one that is not heard for its time is silent; one that only a cook read never is', () => {
    const { track } = hear([[0, 20]]);
    expect(faultAt(track, PROBE, plus(START, 119))).toBeUndefined();
    expect(faultAt(track, PROBE, plus(START, 120))).toBe('silent');
    const byHand = hearProbe(undefined, PROBE, { at: START, celsius: celsius(20) }, true).track;
    expect(faultAt(byHand, PROBE, plus(START, 9000))).toBeUndefined();
  });

  test("a cook's own reading is, however sudden, but not one outside what the probe can read", () => {
    const { track } = hear([[0, 80]]);
    const at = plus(START, 2);
    expect(hearProbe(track, PROBE, { at, celsius: celsius(20) }, true).believed).toBe(true);
    expect(hearProbe(track, PROBE, { at, celsius: celsius(400) }, true).believed).toBe(false);
  });

  test('of a reading each second for five hours some hundred are kept, spread over all of it', () => {
    const { track } = hear(
      Array.from({ length: 18_000 }, (_, index) => [index, 4 + 60 * Math.exp(-index / 5000)] as const),
    );
    const ages = track.samples.map(({ at }) => (at - START) / 1000);
    expect(ages.length).toBeGreaterThanOrEqual(90);
    expect(ages.length).toBeLessThanOrEqual(120);
    expect([ages[0], ages.at(-1)]).toEqual([0, 17_999]);
    const gaps = ages.slice(1).map((age, index) => age - (ages[index] ?? 0));
    expect(Math.max(...gaps)).toBeLessThan(18_000 / 60);
  });

  test('a probe that freezes after hours is found out as well', () => {
    const falling = Array.from({ length: 1800 }, (_, index) => [index * 10, 80 - index / 30] as const);
    const stuck = Array.from({ length: 300 }, (_, index) => [18_000 + index * 10, 20] as const);
    expect(hear([...falling, ...stuck]).track.fault?.kind).toBe('frozen');
  });

  test('whatever comes, what is kept stays small, in order, and within limits', () => {
    const readings = fc.array(
      fc.tuple(fc.integer({ min: 0, max: 90 }), fc.double({ min: -300, max: 500, noNaN: true })),
      {
        minLength: 1,
        maxLength: 600,
      },
    );
    fc.assert(
      fc.property(readings, (steps) => {
        let passed = 0;
        const { track } = hear(steps.map(([wait, degrees]) => [(passed += wait), degrees] as const));
        expect(track.samples.length).toBeLessThanOrEqual(120);
        for (const [index, sample] of track.samples.entries()) {
          expect(sample.at).toBeGreaterThanOrEqual(track.samples[index - 1]?.at ?? 0);
          expect(sample.celsius).toBeGreaterThanOrEqual(PROBE.low);
          expect(sample.celsius).toBeLessThanOrEqual(PROBE.high);
        }
        expect(track.doubted?.length ?? 0).toBeLessThanOrEqual(3);
      }),
      { seed: 4_001, numRuns: 60 },
    );
  });
});

describe("a probe's own error", () => {
  test('water boils lower up high', () => {
    expect(boilingPoint()).toBe(100);
    expect(boilingPoint(900)).toBeCloseTo(96.7);
  });

  test('ice water shifts every reading; boiling water stretches them', () => {
    const off = { ...PROBE, iceWater: celsius(0.6) };
    expect(corrected(off, celsius(5.6))).toBeCloseTo(5);
    const both = { ...off, boilingWater: celsius(98.6) };
    expect(corrected(both, celsius(98.6))).toBeCloseTo(100);
    expect(corrected(both, celsius(0.6))).toBeCloseTo(0);
    expect(corrected(both, celsius(98.6), 900)).toBeCloseTo(96.7);
  });
});
