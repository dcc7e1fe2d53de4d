import { describe, expect, test } from 'vitest';
import { apply, begin, bodiesOf, project } from '../../src/bench/index.ts';
import { bodyAfter } from '../../src/heat/index.ts';
import { celsius, plus, secondsBetween, temperatureOf, wallClock } from '../../src/units/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, NOON, setupBy } from '../support/plans.ts';

const PLAN = `
components:
  cream:
    depth: 3 cm
    steps:
      - chill: { takes: 20 min - 4 h, usually: 1 h, uses: [fridge shelf], until: { probe: cream, falls to: 10 C, for: 20 s } }
      - fold:  { takes: 5 min, hands: busy }
`;

const setup = () => setupBy(PLAN, '15:00', { 'cream.chill': '12:00-13:00', 'cream.fold': '13:00-13:05' });

/** A cream put into the fridge (4 C) at noon, 60 C warm, with a time constant of so many minutes, read each half minute until then. */
function chilling(tau: number, minutes: number): TestRun {
  const run = new TestRun(setup()).space('12:00');
  for (let passed = 0; passed <= minutes * 60; passed += 30) read(run, passed, degreesAt(tau, passed));
  return run;
}

const degreesAt = (tau: number, passed: number): number =>
  Math.round(10 * bodyAfter(celsius(60), celsius(4), tau * 60, passed)) / 10;

const read = (run: TestRun, passed: number, degrees: number): TestRun =>
  run.do(
    plus(NOON, passed),
    { kind: 'reading', probe: 'cream', temperature: temperatureOf(degrees, 'C') },
    'probe',
  );

/** What is said of probes. */
const probeCauses = ({ state }: TestRun): string[] =>
  state.alarms.filter(({ kind }) => kind === 'probe').map(({ cause }) => cause);

describe('a body on the bench', () => {
  test('when it will be there is told as a range, from what was read', () => {
    const [body] = bodiesOf(chilling(30, 25).state);
    expect(body).toMatchObject({ step: 'cream.chill', probe: 'cream', edge: 10, isFalling: true });
    const truth = 30 * Math.log(56 / 6);
    if (body?.prediction.kind !== 'expected') throw new Error(JSON.stringify(body?.prediction));
    const { low, usual, high } = body.prediction;
    expect(secondsBetween(NOON, low) / 60).toBeLessThan(truth);
    expect(secondsBetween(NOON, high) / 60).toBeGreaterThan(truth);
    expect(Math.abs(secondsBetween(NOON, usual) / 60 - truth)).toBeLessThan(5);
  });

  test('too early it is not told, and why', () => {
    const [body] = bodiesOf(chilling(30, 4).state);
    expect(body?.prediction).toMatchObject({ kind: 'refused' });
    expect(bodiesOf(new TestRun(setup()).space('12:00').state)).toEqual([]);
  });

  test('it is expected to end then, not after its usual hour; and that moves with readings, not with the clock', () => {
    const run = chilling(60, 30);
    const ends = (now: string): number =>
      project(run.clock(now).state, at(now)).steps.find(({ step }) => step === 'cream.chill')?.end ?? 0;
    const first = ends('12:31');
    expect(secondsBetween(NOON, first as never) / 60).toBeGreaterThan(100);
    expect(ends('12:33')).toBe(first);
  });

  test('later than it is wanted: an alarm with when, by when it had to begin, and what helps', () => {
    const run = chilling(60, 30).clock('12:31:30');
    const [alarm] = run.state.alarms.filter(({ kind }) => kind === 'not there in time');
    expect(alarm?.cause).toMatch(
      /^cream: chill will be at 10 C between 13:59 and 14:41, and is wanted at 13:00$/,
    );
    expect(alarm?.consequence).toContain('to be there in time it had to begin by 10:4');
    expect(alarm?.action).toMatch(
      /^set it in an ice bath, or spread it half as deep, or stir it now and then: the first makes some/,
    );
  });

  test('in time: no alarm', () => {
    expect(chilling(20, 30).clock('12:31:30').alarms).toEqual([]);
  });

  test('a probe that falls silent while a step waits for it', () => {
    const run = chilling(20, 20);
    expect(probeCauses(run.clock('12:21:55'))).toEqual([]);
    const alarm = run.clock('12:22:05').state.alarms.find(({ kind }) => kind === 'probe');
    expect(alarm?.cause).toBe('the probe cream has fallen silent, and cream: chill waits for it');
    expect(alarm?.action).toContain('read another one by hand');
    read(run, 1350, degreesAt(20, 1350));
    expect(run.clock('12:23').alarms).not.toContain('probe: unheard');
  });

  test('a probe that jumps about is told after a minute of it, a single spike never', () => {
    const spike = read(chilling(20, 20), 1210, 95);
    expect(read(spike, 1220, degreesAt(20, 1220)).clock('12:21:40').alarms).toEqual([]);
    const jumping = chilling(20, 20);
    for (let passed = 1210; passed < 1300; passed += 10) read(jumping, passed, passed % 20 === 0 ? 95 : 140);
    expect(probeCauses(jumping)).toEqual(['the probe cream jumps about, and cream: chill waits for it']);
  });
});

test('thousands of readings are lived again in a few seconds', () => {
  const began = performance.now();
  const started = new TestRun(setup()).space('12:00');
  let { state } = started;
  for (let count = 0; count < 2000; count += 1) {
    const time = plus(NOON, 5 * (count + 1));
    const temperature = temperatureOf(degreesAt(120, 5 * count), 'C');
    const outcome = apply(state, {
      id: `r${count}`,
      time,
      source: 'probe',
      kind: 'reading',
      probe: 'cream',
      temperature,
    });
    ({ state } = outcome);
  }
  expect(state.probes[0]?.track.samples.length).toBeLessThanOrEqual(120);
  expect(JSON.stringify(state.probes).length).toBeLessThan(10_000);
  expect(performance.now() - began).toBeLessThan(10_000);
  expect(begin(setup()).probes).toEqual([]);
  expect(wallClock(state.time, 'UTC')).toBe('14:46');
});
