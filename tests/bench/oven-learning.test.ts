import { expect, test } from 'vitest';
import { ovenStretches, type BenchEvent, type Happening, type Source } from '../../src/bench/index.ts';
import { learnOven, ovenModel, secondsTo, temperatureAfter } from '../../src/heat/index.ts';
import type { Oven, Probe, StepId } from '../../src/plan/index.ts';
import { celsius, epochMs, seconds, temperatureOf } from '../../src/units/index.ts';
import { at, NOON, setupBy } from '../support/plans.ts';

const PLAN = `
components:
  shells:
    steps:
      - pipe: { takes: 6 min, hands: busy }
      - bake: { takes: 22 min, oven: { at: 220 C, door: shut } }
      - dry:  { takes: 30 min, oven: { off: true, door: ajar } }
`;
const plain = setupBy(
  PLAN,
  '13:25',
  { 'shells.pipe': '12:14-12:20', 'shells.bake': '12:20-12:42', 'shells.dry': '12:42-13:12' },
  ['12:00 220 C for shells.bake by 12:20', '12:42 off for shells.dry by 12:42'],
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
const setup = {
  ...plain,
  workload: { ...plain.workload, kitchen: { ...plain.workload.kitchen, probes: [air] } },
};

const event = (time: string, happening: Happening, source: Source = 'cook'): BenchEvent => ({
  id: `${time} ${happening.kind}`,
  time: at(time),
  source,
  ...happening,
});
const heat = (figure: number) => ({ kind: 'at', temperature: temperatureOf(figure, 'C') }) as const;
const reads = (time: number, figure: number): BenchEvent => ({
  id: `read ${time}`,
  time: epochMs(time),
  source: 'probe',
  kind: 'reading',
  probe: 'air',
  temperature: temperatureOf(figure, 'C'),
});

test('readings fall into stretches between what was done to the oven, without what was taken back', () => {
  const events = [
    event('12:00', { kind: 'oven set', oven: 'oven', heat: heat(220) }),
    reads(at('12:01'), 30),
    event('12:02', { kind: 'oven set', oven: 'oven', heat: heat(120) }),
    event('12:03', { kind: 'undo' }),
    reads(at('12:05'), 90),
    reads(at('12:06'), 900),
    event('12:20', { kind: 'start', step: 'shells.bake' as StepId, at: at('12:20') }),
    reads(at('12:21'), 212),
    event('12:30', { kind: 'door', oven: 'oven', door: 'open' }),
    reads(at('12:30:30'), 170),
    event('12:31', { kind: 'door', oven: 'oven', door: 'shut' }),
    event('12:42', { kind: 'start', step: 'shells.dry' as StepId, at: at('12:42') }),
    reads(at('12:50'), 150),
  ];
  expect(ovenStretches(setup, events).get('oven')).toEqual([
    {
      run: 'test',
      goal: 220,
      door: 'shut',
      offset: 0,
      samples: [
        { seconds: 60, celsius: 30 },
        { seconds: 300, celsius: 90 },
      ],
    },
    { run: 'test', goal: 220, door: 'shut', offset: 0, samples: [{ seconds: 60, celsius: 212 }] },
    { run: 'test', goal: 220, door: 'open', offset: 0, samples: [{ seconds: 30, celsius: 170 }] },
    { run: 'test', goal: undefined, door: 'ajar', offset: 0, samples: [{ seconds: 480, celsius: 150 }] },
  ]);
});

test('and from them the oven is learned', () => {
  const [oven] = setup.workload.kitchen.ovens as [Oven];
  const truth = ovenModel({ ...oven, heats: 9 }, 20);
  const events = [
    event('12:00', { kind: 'oven set', oven: 'oven', heat: heat(220) }),
    ...Array.from({ length: 60 }, (_, index) => {
      const time = NOON + (index + 1) * 30_000;
      return reads(
        time,
        temperatureAfter(truth, { from: 20, goal: 220, door: 'shut' }, (time - NOON) / 1000),
      );
    }),
  ];
  const learned = learnOven(ovenStretches(setup, events).get('oven') ?? [], oven, 20);
  expect(learned.heats?.value).toBeCloseTo(secondsTo(truth, 20, 200), 0);
});
