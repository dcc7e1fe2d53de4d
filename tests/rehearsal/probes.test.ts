import { expect, test } from 'vitest';
import type { ProbeGoal, Trigger } from '../../src/plan/index.ts';
import { nextReading, type LastReading } from '../../src/rehearsal/probes.ts';
import { seconds, temperatureOf, type Temperature } from '../../src/units/index.ts';

const C = (figure: number): Temperature => temperatureOf(figure, 'C');

const trigger = (goal: ProbeGoal, lasting = 10): Extract<Trigger, { kind: 'probe' }> => ({
  kind: 'probe',
  probe: 'probe',
  goal,
  lasting: seconds(lasting),
});

/** All readings of a step of this length, from its start until its goal has been held, as [seconds, figure]. */
function readings(of: ReturnType<typeof trigger>, duration: number, before?: number): [number, number][] {
  const found: [number, number][] = [];
  let last: LastReading | undefined =
    before === undefined ? undefined : { after: seconds(-60), celsius: C(before).celsius };
  while (found.length < 1000 && (found.at(-1)?.[0] ?? 0) <= duration + of.lasting) {
    const next = nextReading(of, seconds(duration), last);
    found.push([next.after, next.temperature.figure]);
    last = { after: next.after, celsius: next.temperature.celsius };
  }
  return found;
}

function isInside(goal: ProbeGoal, figure: number): boolean {
  if (goal.kind === 'between') return figure >= goal.low.figure && figure <= goal.high.figure;
  return goal.kind === 'reaches' ? figure >= goal.to.figure : figure <= goal.to.figure;
}

test.each<[string, ReturnType<typeof trigger>, number, number | undefined]>([
  ['a panade warms to 76 C', trigger({ kind: 'reaches', to: C(76) }), 180, undefined],
  ['a syrup boils to 103 C', trigger({ kind: 'reaches', to: C(103) }), 480, 20],
  ['cream over ice falls to 21 C', trigger({ kind: 'falls to', to: C(21) }), 1500, 95],
  ['cream in the fridge falls to 5 C', trigger({ kind: 'falls to', to: C(5) }), 9000, 20.8],
  ['a dome freezes to -18 C', trigger({ kind: 'falls to', to: C(-18) }), 60_000, undefined],
  ['a glaze falls into 32-35 C', trigger({ kind: 'between', low: C(32), high: C(35) }), 3600, 103],
  ['a custard rises into 80-83 C', trigger({ kind: 'between', low: C(80), high: C(83) }), 540, undefined],
  ['whites stay at 70 C for 20 s', trigger({ kind: 'reaches', to: C(70) }, 20), 480, undefined],
  ['Fahrenheit', trigger({ kind: 'reaches', to: temperatureOf(160, 'F') }), 480, undefined],
  [
    'a goal to hold for longer than the step takes',
    trigger({ kind: 'reaches', to: C(70) }, 300),
    200,
    undefined,
  ],
  ['a probe that was already past its goal', trigger({ kind: 'reaches', to: C(60) }), 300, 85],
])('%s: outside the goal, then inside until the step is over', (_name, of, duration, before) => {
  const all = readings(of, duration, before);
  const firstInside = all.findIndex(([, figure]) => isInside(of.goal, figure));
  expect(firstInside).toBeGreaterThan(0);
  expect(all.slice(firstInside).every(([, figure]) => isInside(of.goal, figure))).toBe(true);
  const since = all[firstInside]?.[0] ?? 0;
  const held = all.find(([after]) => after >= since + of.lasting)?.[0];
  expect(held).toBe(Math.max(duration, Math.ceil(duration / 2) + of.lasting));
});

test('a probe is read every half minute, and more seldom in a long step, but never so that it seems silent', () => {
  expect(readings(trigger({ kind: 'reaches', to: C(76) }), 125)).toEqual([
    [30, expect.any(Number)],
    [60, expect.any(Number)],
    [90, expect.any(Number)],
    [115, 76.2],
    [125, 76.2],
    [155, 76.2],
  ]);
  expect(readings(trigger({ kind: 'falls to', to: C(-18) }), 60_000).length).toBeLessThan(620);
});

test('the curve is first-order: a cooling mass falls fastest at first', () => {
  const figures = readings(trigger({ kind: 'falls to', to: C(21) }), 1500, 95).map(([, figure]) => figure);
  const falls = figures.slice(1, 40).map((figure, i) => (figures[i] ?? 0) - figure);
  expect(falls.every((fall, i) => i === 0 || fall <= (falls[i - 1] ?? 0) + 0.11)).toBe(true);
});
