import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { usualProbe } from '../../src/heat/index.ts';
import type { Kitchen } from '../../src/plan/index.ts';
import { deadBand } from '../../src/bench/triggers.ts';
import { celsius, plus, temperatureOf, type EpochMs } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { NOON, setupBy } from '../support/plans.ts';

/** A run whose one step under test, `work.wait`, has begun at noon and ends as told, in a kitchen with so much more. */
function waiting(until: string, more: Partial<Kitchen> = {}): TestRun {
  const plan = `
components:
  work:
    steps:
      - wait: { takes: 10 min - 4 h, usually: 30 min, uses: [fridge shelf], until: ${until} }
      - use:  { takes: 2 min, hands: busy }
`;
  const setup = setupBy(plan, '17:00', { 'work.wait': '12:00-12:30', 'work.use': '12:30-12:32' });
  const { workload } = setup;
  const kitchen = { ...workload.kitchen, ...more };
  return new TestRun({ ...setup, workload: { ...workload, kitchen } }).space('12:00');
}

/** Readings `[seconds after noon, degrees]`, or `[.., .., probe]`, as a probe sends them. */
type Given = readonly (readonly [after: number, degrees: number, probe?: string])[];

const hear = (run: TestRun, given: Given, source: 'probe' | 'cook' = 'probe'): TestRun =>
  given.reduce(
    (now, [after, degrees, probe = 'cream']) =>
      now.do(plus(NOON, after), { kind: 'reading', probe, temperature: temperatureOf(degrees, 'C') }, source),
    run,
  );

/** When the step ended, in seconds after noon, and by what. */
function ended(run: TestRun): string {
  const [step] = run.state.components[0]?.steps ?? [];
  return step?.state === 'ended' ? `${(step.endedAt - NOON) / 1000} by ${step.by}` : (step?.state ?? 'none');
}

describe('how readings end a step', () => {
  const FALLS = '{ probe: cream, falls to: 5 C, for: 60 s }';

  test('only once they have been there for the whole dwell', () => {
    expect(ended(hear(waiting(FALLS), [[1000, 5.4], [1020, 4.9], [1050, 4.9], [1079, 4.8]]))).toBe('running'); // prettier-ignore
    expect(ended(hear(waiting(FALLS), [[1000, 5.4], [1020, 4.9], [1050, 4.9], [1080, 4.8]]))).toBe('1080 by probe'); // prettier-ignore
  });

  test('straying by no more than the dead band does not begin the dwell anew, beyond it does; but what ends it lies within', () => {
    expect(deadBand(celsius(5))).toBe(0.5);
    expect(deadBand(celsius(180))).toBe(1.8);
    expect(
      ended(
        hear(waiting(FALLS), [
          [1020, 4.9],
          [1050, 5.4],
          [1080, 5.3],
        ]),
      ),
    ).toBe('running');
    expect(
      ended(
        hear(waiting(FALLS), [
          [1020, 4.9],
          [1050, 5.4],
          [1081, 5],
        ]),
      ),
    ).toBe('1081 by probe');
    expect(
      ended(
        hear(waiting(FALLS), [
          [1020, 4.9],
          [1050, 5.6],
          [1081, 5],
        ]),
      ),
    ).toBe('running');
  });

  test('a silence longer than the probe may be silent begins it anew', () => {
    expect(
      ended(
        hear(waiting(FALLS), [
          [1020, 4.9],
          [1141, 4.9],
        ]),
      ),
    ).toBe('running');
    expect(
      ended(
        hear(waiting(FALLS), [
          [1020, 4.9],
          [1141, 4.9],
          [1201, 4.8],
        ]),
      ),
    ).toBe('1201 by probe');
  });

  test('a reading that cannot be believed ends nothing and is told', () => {
    const run = hear(waiting(FALLS), [[1000, 60], [1001, 4], [1030, 60], [1060, -99]]); // prettier-ignore
    expect(ended(run)).toBe('running');
    expect(run.state.log.map(({ text }) => text)).toContain(
      'cream reads 4 C, which is too sudden to be believed: it does not count',
    );
    expect(run.state.probes[0]?.temperature.celsius).toBe(60);
  });

  test('the cook who reads a thermometer is believed at once, but not beyond what it can read', () => {
    expect(
      ended(
        hear(
          waiting(FALLS),
          [
            [1000, 60],
            [1001, 4],
          ],
          'cook',
        ),
      ),
    ).toBe('1001 by probe');
    expect(ended(hear(waiting(FALLS), [[1000, -99]], 'cook'))).toBe('running');
  });

  test("a probe's own error is taken out before anything is compared", () => {
    const off = { probes: [{ ...usualProbe('cream'), iceWater: celsius(0.6) }] };
    expect(ended(hear(waiting(FALLS, off), [[1000, 5.6]], 'cook'))).toBe('1000 by probe');
    expect(ended(hear(waiting(FALLS, off), [[1000, 5.7]], 'cook'))).toBe('running');
  });

  test('what is meant from boiling is met lower up high', () => {
    const sugar = '{ probe: cream, reaches: 118 C, sea level: true }';
    const high = { altitude: 900 };
    expect(ended(hear(waiting(sugar), [[900, 116]], 'cook'))).toBe('running');
    expect(ended(hear(waiting(sugar, high), [[900, 114.6]], 'cook'))).toBe('running');
    expect(ended(hear(waiting(sugar, high), [[900, 114.8]], 'cook'))).toBe('900 by probe');
  });

  test('two probes are there only together, and only while both are known', () => {
    const both = '{ probes: [cream, butter], between: 20-22 C }';
    expect(
      ended(
        hear(
          waiting(both),
          [
            [900, 21, 'cream'],
            [910, 19, 'butter'],
          ],
          'cook',
        ),
      ),
    ).toBe('running');
    expect(ended(hear(waiting(both), [[900, 21, 'cream'], [910, 20, 'butter']], 'cook'))).toBe('910 by probe'); // prettier-ignore
    expect(
      ended(
        hear(
          waiting(both),
          [
            [900, 21, 'cream'],
            [1100, 20, 'butter'],
          ],
          'cook',
        ),
      ),
    ).toBe('running');
  });

  test('a probe that flaps fills neither the log nor the memory', () => {
    const run = waiting(FALLS);
    hear(
      run,
      Array.from({ length: 300 }, (_, index) => [10 + index, index % 2 === 0 ? 60 : 200] as const),
    );
    expect(run.state.log.filter(({ text }) => text.includes('does not count'))).toHaveLength(1);
  });
});

interface Sent {
  readonly at: EpochMs;
  readonly degrees: number;
}

/**
 * The law, told without the bench, for `between: 20-22 C, for: 60 s`: a probe ends a step at a reading within the goal, with
 * one within it at least the dwell before, none beyond the dead band in between, and no two of them further apart than the
 * probe may be silent. `near`: what was sent but for the spikes.
 */
function mayEnd(near: readonly Sent[], endedAt: EpochMs): boolean {
  const before = near.filter(({ at }) => at <= endedAt);
  const isIn = ({ degrees }: Sent): boolean => degrees >= 20 && degrees <= 22;
  const last = before.at(-1);
  if (last?.at !== endedAt || !isIn(last)) return false;
  return before.some((first, index) => {
    const since = before.slice(index);
    return (
      isIn(first) &&
      endedAt - first.at >= 60_000 &&
      since.every(({ degrees }) => degrees >= 19.5 && degrees <= 22.5) &&
      since.every(({ at }, place) => at - (since[place - 1]?.at ?? at) <= 120_000)
    );
  });
}

test('no order or timing of readings ends a step outside its trigger', () => {
  const near = fc.integer({ min: 380, max: 460 }).map((twentieths) => twentieths / 20);
  const inside = fc.integer({ min: 195, max: 221 }).map((tenths) => tenths / 10);
  const spike = fc.oneof(fc.integer({ min: -200, max: 0 }), fc.integer({ min: 45, max: 400 }));
  const degrees = fc.oneof(
    { weight: 2, arbitrary: near },
    { weight: 10, arbitrary: inside },
    { weight: 1, arbitrary: spike },
  );
  const wait = fc.oneof(
    { weight: 12, arbitrary: fc.integer({ min: 1, max: 40 }) },
    { weight: 1, arbitrary: fc.integer({ min: 100, max: 900 }) },
  );
  let ends = 0;
  fc.assert(
    fc.property(fc.array(fc.tuple(wait, degrees), { minLength: 5, maxLength: 40 }), (steps) => {
      const run = waiting('{ probe: cream, between: 20-22 C, for: 60 s }');
      const sent: Sent[] = [];
      let passed = 0;
      for (const [gap, figure] of steps) {
        passed += gap;
        sent.push({ at: plus(NOON, passed), degrees: figure });
        hear(run, [[passed, figure]]);
        const [step] = run.state.components[0]?.steps ?? [];
        if (step?.state !== 'ended') continue;
        ends += 1;
        const calm = sent.filter((each) => each.degrees > 10 && each.degrees < 35);
        expect(mayEnd(calm, step.endedAt)).toBe(true);
        return;
      }
    }),
    { seed: 4_002, numRuns: 200 },
  );
  expect(ends).toBeGreaterThan(40);
});
