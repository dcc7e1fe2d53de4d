import { describe, expect, test } from 'vitest';
import {
  learnedWords,
  learnOven,
  ovenModel,
  secondsTo,
  temperatureAfter,
  withLearned,
  type OvenDoor,
  type OvenStretch,
} from '../../src/heat/index.ts';
import type { Oven } from '../../src/plan/index.ts';
import { celsius, seconds } from '../../src/units/index.ts';

const ROOM = 21;
/** What the kitchen believes: guesses. */
const believed: Oven = {
  name: 'oven',
  shelves: 2,
  heats: 15,
  cools: 3,
  tolerance: celsius(8),
  soak: seconds(600),
  given: [],
};
/** What it really is. */
const truth: Oven = { ...believed, heats: 11, cools: 2.4, ajar: 6 };

/** Noise that is the same in every run of the test, roughly normal. */
function noise(seed: number): () => number {
  let state = seed;
  const next = (): number => {
    state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
    return state / 2 ** 31 - 0.5;
  };
  return () => (next() + next() + next() + next()) * 1.7;
}

interface Watching {
  readonly from: number;
  readonly goal?: number;
  readonly door?: OvenDoor;
  readonly minutes: number;
  /** How much slower this run was than the oven as a rule. */
  readonly slower?: number;
  readonly off?: number;
  readonly spikes?: boolean;
}

function watched(run: string, seed: number, given: Watching): OvenStretch {
  const { from, goal, door = 'shut', minutes, slower = 1, off = 0, spikes = false } = given;
  const model = ovenModel(truth, ROOM);
  const random = noise(seed);
  const samples = Array.from({ length: minutes * 2 }, (_, index) => {
    const time = (index + 1) * 30;
    const mean = temperatureAfter(
      model,
      { from, goal: goal === undefined ? undefined : goal + off, door },
      time / slower,
    );
    const holds = goal !== undefined && Math.abs(mean - goal - off) < 1;
    const read =
      mean + random() + (holds ? 12 * Math.sin(time / 90) : 0) + (spikes && index % 9 === 4 ? -60 : 0);
    return { seconds: time, celsius: read };
  });
  return { run, goal, door, offset: 0, samples };
}

const RUNS = ['a', 'b', 'c', 'd'] as const;
const inRuns = (given: Watching, slower: readonly number[]): OvenStretch[] =>
  RUNS.map((run, index) => watched(run, index + 1, { ...given, slower: slower[index] ?? 1 }));

describe('what runs teach of an oven', () => {
  test('how long it takes to heat, with the spread from run to run', () => {
    const stretches = inRuns({ from: ROOM, goal: 220, minutes: 25 }, [0.95, 1.1, 1, 0.95]);
    const { heats } = learnOven(stretches, believed, ROOM);
    const real = secondsTo(ovenModel(truth, ROOM), ROOM, 200);
    expect(heats?.runs).toBe(4);
    expect(Math.abs((heats?.value ?? 0) / real - 1)).toBeLessThan(0.03);
    expect((heats?.spread ?? 0) / real).toBeGreaterThan(0.04);
    expect((heats?.spread ?? 0) / real).toBeLessThan(0.12);
  });

  test('how it falls, shut and ajar, each by its own door', () => {
    const found = learnOven(
      [
        ...inRuns({ from: 220, minutes: 30 }, [1, 1, 1, 1]),
        ...inRuns({ from: 180, door: 'ajar', minutes: 30 }, [1, 1, 1, 1]),
      ],
      believed,
      ROOM,
    );
    const real = ovenModel(truth, ROOM);
    expect(Math.abs((found.cools?.value ?? 0) / secondsTo(real, 220, 180) - 1)).toBeLessThan(0.03);
    expect(Math.abs((found.ajar?.value ?? 0) / secondsTo(real, 220, 180, 'ajar') - 1)).toBeLessThan(0.03);
    expect(found.open).toBeUndefined();
  });

  test('how far it holds off what it is set to, and how far it swings', () => {
    const { offset, swing } = learnOven(
      inRuns({ from: 200, goal: 200, off: -9, minutes: 60 }, []),
      believed,
      ROOM,
    );
    expect(Math.abs((offset?.value ?? 0) + 9)).toBeLessThan(1);
    expect(swing?.value).toBeGreaterThan(10);
    expect(swing?.value).toBeLessThan(15);
  });

  test('an offset that was allowed for already is not lost', () => {
    const before = inRuns({ from: 200, goal: 200, off: -9, minutes: 60 }, []);
    const after = inRuns({ from: 200, goal: 200, off: 0, minutes: 60 }, []).map((stretch) => ({
      ...stretch,
      run: `later ${stretch.run}`,
      offset: -9,
    }));
    const { offset } = learnOven([...before, ...after], believed, ROOM);
    expect(offset?.runs).toBe(8);
    expect(Math.abs((offset?.value ?? 0) + 9)).toBeLessThan(1);
  });

  test('readings that are wrong now and then change little', () => {
    const given = { from: ROOM, goal: 220, minutes: 25 };
    const plain = learnOven([watched('a', 1, given)], believed, ROOM).heats?.value ?? 0;
    const spiked = learnOven([watched('a', 1, { ...given, spikes: true })], believed, ROOM).heats?.value ?? 0;
    expect(Math.abs(spiked / plain - 1)).toBeLessThan(0.05);
  });

  test('a run that is far off all others is left out', () => {
    const stretches = inRuns({ from: ROOM, goal: 220, minutes: 60 }, [1, 1.02, 0.98, 2.4]);
    expect(learnOven(stretches, believed, ROOM).heats?.runs).toBe(3);
  });

  test('nothing is learned from too little', () => {
    const few = { ...watched('a', 1, { from: ROOM, goal: 220, minutes: 25 }) };
    expect(learnOven([{ ...few, samples: few.samples.slice(0, 7) }], believed, ROOM)).toEqual({});
    expect(learnOven([watched('a', 1, { from: 190, goal: 200, minutes: 10 })], believed, ROOM)).toEqual({});
    expect(learnOven([], believed, ROOM)).toEqual({});
  });
});

describe('what is learned is used', () => {
  const learned = learnOven(
    inRuns({ from: ROOM, goal: 220, minutes: 25 }, [1, 1.02, 0.98, 1]),
    believed,
    ROOM,
  );

  test('in the place of a guess, and its model then takes as long', () => {
    const better = ovenModel(withLearned(believed, learned, ROOM), ROOM);
    expect(secondsTo(better, ROOM, 200)).toBeCloseTo(learned.heats?.value ?? 0, 6);
    expect(better.guessed).not.toContain('heats');
    expect(better.guessed).toContain('cools');
  });

  test('and not in the place of what the kitchen file says, nor after one run', () => {
    const given: Oven = { ...believed, given: ['heats'] };
    expect(withLearned(given, learned, ROOM)).toEqual(given);
    const { given: _, ...old } = believed;
    expect(withLearned(old, learned, ROOM)).toEqual(old);
    const once = { heats: { value: 900, runs: 1 } };
    expect(withLearned(believed, once, ROOM)).toEqual(believed);
  });

  test('in words', () => {
    expect(
      learnedWords({ heats: { value: 792, spread: 66, runs: 4 }, offset: { value: -8.2, runs: 1 } }, ROOM),
    ).toEqual([
      'heats from 21 to 200 C in 13.2 min, +- 1.1 min (learned from 4 runs)',
      'stands off its knob by -8.2 C (learned from 1 run)',
    ]);
  });
});
