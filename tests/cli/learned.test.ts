import { expect, test } from 'vitest';
import type { BenchEvent, RunSetup } from '../../src/bench/index.ts';
import { taughtWorkload } from '../../src/cli/learned.ts';
import { ovenModel, secondsTo, temperatureAfter } from '../../src/heat/index.ts';
import { createRun, openRun } from '../../src/journal/index.ts';
import { machineClock, momentOf } from '../../src/keeper/index.ts';
import type { Kitchen, Oven, Probe } from '../../src/plan/index.ts';
import { celsius, epochMs, seconds, temperatureOf } from '../../src/units/index.ts';
import { tempFolder } from '../support/folder.ts';
import { setupBy } from '../support/plans.ts';

const plain = setupBy(
  'components: { buns: { steps: [{ bake: { takes: 20 min, oven: { at: 220 C } } }] } }',
  '13:25',
  { 'buns.bake': '12:40-13:00' },
  ['12:00 220 C for buns.bake by 12:40', '13:00 off for buns.bake by 13:00'],
);
const air: Probe = {
  name: 'air',
  low: celsius(-50),
  high: celsius(300),
  fastest: 10,
  stale: seconds(120),
  iceWater: celsius(0),
  oven: 'oven',
};

/** The kitchen, with a probe in its oven and only guesses about it. */
const { workload } = plain;
const guessing: Kitchen = {
  ...workload.kitchen,
  probes: [air],
  ovens: workload.kitchen.ovens.map((oven) => ({ ...oven, given: [] })),
};
const setup = (run: string, kitchen: Kitchen = guessing): RunSetup => ({
  ...plain,
  run,
  workload: { ...workload, kitchen },
});

/** A run in whose oven a probe was read each half minute while it heated at so many degrees a minute. */
function kept(
  store: string,
  run: string,
  heats: number,
  kitchen?: Kitchen,
  more: Partial<RunSetup> = {},
): void {
  const now = momentOf(machineClock());
  const begun = { ...setup(run, kitchen), ...more };
  expect(createRun(store, begun, now).ok).toBe(true);
  const { journal } = openRun(store, run, { purpose: 'keep', now });
  if (!journal) throw new Error('the run was just made');
  const [oven] = begun.workload.kitchen.ovens as [Oven];
  const truth = ovenModel({ ...oven, heats }, 20);
  const events: BenchEvent[] = Array.from({ length: 50 }, (_, index) => {
    const passed = (index + 1) * 30;
    const read = temperatureAfter(truth, { from: 20, goal: 220, door: 'shut' }, passed);
    return {
      id: `r${index}`,
      time: epochMs(begun.begunAt + passed * 1000),
      source: 'probe',
      kind: 'reading',
      probe: 'air',
      temperature: temperatureOf(Math.round(read * 10) / 10, 'C'),
    };
  });
  const heat = { kind: 'at', temperature: temperatureOf(220, 'C') } as const;
  const set = { id: 's', time: begun.begunAt, source: 'cook', kind: 'oven set', oven: 'oven', heat } as const;
  for (const event of [set, ...events]) expect(journal.append(event, now).ok).toBe(true);
  journal.close();
}

test('runs in the store teach the ovens of the kitchen they were in, and of no other', () => {
  const store = tempFolder();
  kept(store, 'first', 12);
  kept(store, 'second', 11);
  kept(store, 'elsewhere', 3, { ...guessing, name: 'elsewhere' });
  // What an oven did in a rehearsal was made up.
  kept(store, 'rehearsed', 4, undefined, { rehearsal: { seed: 1 } });
  const taught = taughtWorkload(store, setup('next').workload);
  expect(taught.words).toEqual(['oven heats from 20 to 200 C in 15.7 min, +- 1.0 min (learned from 2 runs)']);
  const [oven] = taught.workload.kitchen.ovens as [Oven];
  // Between 180 / 12 = 15 min and 180 / 11 = 16.4 min.
  expect(secondsTo(ovenModel(oven, 20), 20, 200) / 60).toBeCloseTo(15.68, 1);
  expect(oven.given).toContain('heats');
});

test('what the kitchen file says stays, and an empty store teaches nothing', () => {
  const store = tempFolder();
  expect(taughtWorkload(store, setup('next').workload)).toEqual({
    workload: setup('next').workload,
    words: [],
  });
  kept(store, 'first', 12);
  kept(store, 'second', 11);
  const given = {
    ...guessing,
    ovens: guessing.ovens.map((oven) => ({ ...oven, given: ['heats' as const] })),
  };
  const taught = taughtWorkload(store, setup('next', given).workload);
  expect(taught.workload.kitchen.ovens).toEqual(given.ovens);
  expect(taught.words).toHaveLength(1);
  expect(taughtWorkload(store, workload)).toEqual({ workload, words: [] });
});
