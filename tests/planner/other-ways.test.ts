import { describe, expect, test } from 'vitest';
import { stepId, componentId, type StepId, type Workload } from '../../src/plan/index.ts';
import {
  planTimetable,
  replan,
  verify,
  type OtherWay,
  type Progress,
  type Proposal,
  type StepStanding,
  type Timetable,
} from '../../src/planner/index.ts';
import { celsius, epochMs, seconds, type EpochMs } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';

const at = (clock: string): EpochMs => moment(`2027-05-14 ${clock}`);
const id = (component: string, name: string): StepId => stepId(componentId(component), name);

function timetable(made: Workload, service: string): Timetable {
  const result = planTimetable(made, { service: { kind: 'at', moments: [at(service)] } });
  if (!('timetable' in result)) throw new Error(`no timetable: ${result.status}`);
  return result.timetable;
}

/** A run that has gone as it was told, but for single steps. */
function progressAt(told: Timetable, now: EpochMs, except: Readonly<Record<StepId, StepStanding>>): Progress {
  const steps = Object.fromEntries(
    told.steps.map(({ step: name, start, end }): [StepId, StepStanding] => {
      if (end <= now) return [name, { kind: 'ended', start, end }];
      return [name, start > now ? { kind: 'open' } : { kind: 'going', start, soonest: end, likely: end }];
    }),
  );
  return { now, steps: { ...steps, ...except }, ovens: [], told, served: [] };
}

function proposal(made: Workload, progress: Progress): Proposal {
  const result = replan(made, { progress, others: true });
  if (result.kind !== 'proposal') throw new Error(`no proposal: ${result.kind}`);
  return result;
}

/** What every way out must be: sound, and other than the others. */
function expectSound(made: Workload, progress: Progress, first: Proposal): readonly OtherWay[] {
  const others = first.others ?? [];
  expect(others.length).toBeLessThanOrEqual(2);
  const starts = [first, ...others].map((way) => JSON.stringify(way.timetable.steps));
  expect(new Set(starts).size).toBe(starts.length);
  for (const way of others) {
    expect(verify(made, way.timetable, { progress, margins: 'drop', broken: way.broken })).toEqual([]);
    expect(way.what.length).toBeGreaterThan(5);
    expect(way.what.length).toBeLessThan(80);
  }
  return others;
}

/** Tarts and rolls that want different temperatures, and a sauce for the same two hands. */
const kitchen = (ovens: number): Workload =>
  workload({
    margin: '5 min',
    kitchen: { ovens: Array.from({ length: ovens }, () => ({ soak: seconds(60), tolerance: celsius(5) })) },
    components: {
      tarts: [
        step('line', { takes: ['20 min', '40 min'], hands: 'busy' }),
        step('bake', { takes: '20 min', oven: { at: '200 C' }, within: '1 h' }),
      ],
      rolls: [
        step('shape', { takes: '10 min', hands: 'busy' }),
        step('bake', { takes: '15 min', oven: { at: '160 C' }, within: '2 h' }),
      ],
      sauce: [step('stir', { takes: '12 min', hands: 'busy' })],
    },
  });

/** The tarts are being lined, a minute before they should be done, and will take so many minutes more. */
function lateTarts(made: Workload, minutes: number): Progress {
  const told = timetable(made, '15:00');
  const line = told.steps.find((each) => each.step === id('tarts', 'line'));
  if (!line) throw new Error('no such step');
  const late = epochMs(line.end + minutes * 60_000);
  return progressAt(told, epochMs(line.end - 60_000), {
    [id('tarts', 'line')]: { kind: 'going', start: line.start, soonest: late, likely: late },
  });
}

describe('other ways out', () => {
  test.each([
    [1, 10],
    [1, 45],
    [2, 10],
    [2, 25],
  ])('%d ovens, %d min late: sound, different from each other, and no more than two', (ovens, minutes) => {
    const made = kitchen(ovens);
    const progress = lateTarts(made, minutes);
    const others = expectSound(made, progress, proposal(made, progress));
    // With one oven and one pair of hands nothing is left to turn round here.
    expect(others.length > 0).toBe(ovens > 1);
  });

  test('with two ovens a load in the other one is offered, by name', () => {
    const made = kitchen(2);
    const progress = lateTarts(made, 25);
    const others = proposal(made, progress).others ?? [];
    expect(others.map(({ what }) => what).join('; ')).toMatch(/in the oven|before/);
  });

  test('are not looked for unless they are asked for, and do not change what comes first', () => {
    const made = kitchen(2);
    const progress = lateTarts(made, 25);
    const plain = replan(made, { progress });
    if (plain.kind !== 'proposal') throw new Error(plain.kind);
    expect(plain.others).toBeUndefined();
    const { others: _, ...first } = proposal(made, progress);
    expect(first).toEqual(plain);
  });

  test('the same question has the same answer', () => {
    const made = kitchen(1);
    const progress = lateTarts(made, 45);
    expect(replan(made, { progress, others: true })).toEqual(replan(made, { progress, others: true }));
  });
});
