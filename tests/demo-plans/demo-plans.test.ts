import { describe, expect, test } from 'vitest';
import { replay, type RunSetup } from '../../src/bench/index.ts';
import { readKitchen, type Workload } from '../../src/plan/index.ts';
import { planTimetable, verify, type ServiceRequest, type Timetable } from '../../src/planner/index.ts';
import { rehearseToEnd } from '../../src/rehearsal/index.ts';
import { epochMs, hours, minutes, momentOf, plus, secondsBetween } from '../../src/units/index.ts';
import {
  demoKitchens,
  demoPlans,
  demoWorkload,
  kitchenFile,
  loadDemo,
  planText,
  refusedPlans,
} from './demo-plans.ts';

/** 2027-03-05, a Friday, 07:00. */
const FRIDAY_7 = epochMs(Date.UTC(2027, 2, 5, 7));
/** A service this far ahead leaves room for every plan. */
const AHEAD = hours(36);
const SEEDS = Array.from({ length: 12 }, (_, seed) => seed);

function timetableFor(workload: Workload, service: ServiceRequest): Timetable {
  const result = planTimetable(workload, { service, now: FRIDAY_7 });
  if (!('timetable' in result)) throw new Error(`no timetable: ${JSON.stringify(result)}`);
  return result.timetable;
}

function ownTime(workload: Workload): ServiceRequest {
  const moments = workload.plans.map(({ serve }) => {
    if (!serve) throw new Error('a demo plan has a time of service');
    return momentOf(serve, plus(FRIDAY_7, AHEAD), workload.kitchen.timeZone);
  });
  return { kind: 'at', moments };
}

const runOf = (workload: Workload, timetable: Timetable): RunSetup => ({
  run: 'demo',
  workload,
  timetable,
  begunAt: FRIDAY_7,
});

test('there are five demo plans, four kitchens, and a plan to refuse', () => {
  expect(demoPlans).toEqual([
    'choir-supper',
    'ferry-breakfast',
    'gallery-opening',
    'rowing-dinner',
    'terrace-tea',
  ]);
  expect(demoKitchens).toEqual(['bakehouse', 'one-oven', 'stage', 'tent']);
  expect(refusedPlans).toEqual(['two-hot-ovenfuls']);
});

test.each(demoKitchens)('the kitchen %s is read without a complaint', (name) => {
  const { kitchen, diagnostics } = readKitchen(kitchenFile(name), 'UTC');
  expect(diagnostics).toEqual([]);
  expect(kitchen?.name).toBe(name);
});

describe.each(demoPlans)('%s', (name) => {
  test('is read without a complaint', () => {
    expect(loadDemo(name).drawn).toEqual([]);
  });

  test('its calls are short enough for a screen, and hot steps warn', () => {
    const steps = demoWorkload(name).components.flatMap((component) => component.steps);
    expect(steps.filter((step) => step.action.length > 60 || step.action === step.name)).toEqual([]);
    expect(steps.filter((step) => step.caution !== undefined).length).toBeGreaterThan(1);
    for (const component of demoWorkload(name).components)
      expect(component.title.length).toBeLessThanOrEqual(20);
  });

  test('names its sources and its amounts', () => {
    expect(planText(name)).toMatch(/^# Amounts for /m);
    expect(planText(name)).toMatch(/# (?:.*\. )?source: /m);
  });

  test.each(['at its own time', 'soonest'])('has a timetable, %s, that keeps every rule', (when) => {
    const workload = demoWorkload(name);
    const timetable = timetableFor(workload, when === 'soonest' ? { kind: 'soonest' } : ownTime(workload));
    expect(verify(workload, timetable, { now: FRIDAY_7 })).toEqual([]);
  });

  test('is rehearsed to service: never stuck, and in time', () => {
    const workload = demoWorkload(name);
    const setup = runOf(workload, timetableFor(workload, { kind: 'soonest' }));
    const bad = SEEDS.map((seed) => rehearseToEnd(setup, seed)).flatMap((end) => {
      if (end.ended === 'stuck') return [end.why];
      return end.late > 0 ? [`${end.late} s late (seed ${end.seed})`] : [];
    });
    expect(bad).toEqual([]);
  });

  test.each([3, 4])('a rehearsal with seed %i can be had again, and its events give its state', (seed) => {
    const workload = demoWorkload(name);
    const setup = runOf(workload, timetableFor(workload, { kind: 'soonest' }));
    const end = rehearseToEnd(setup, seed);
    expect(rehearseToEnd(setup, seed).events).toEqual(end.events);
    expect(replay(setup, end.events)).toEqual(end.state);
  });

  test('is rehearsed to its own time of service', () => {
    const workload = demoWorkload(name);
    const setup = runOf(workload, timetableFor(workload, ownTime(workload)));
    expect(rehearseToEnd(setup, 1)).toMatchObject({
      ended: 'served',
      late: 0,
      servedAt: setup.timetable.service[0],
    });
  });
});

/** A step of a timetable. */
const at = ({ steps }: Timetable, id: string) => {
  const found = steps.find(({ step }) => step === id);
  if (!found) throw new Error(`no step ${id}`);
  return found;
};

describe('what each plan is there to show', () => {
  test('gallery-opening can be served on the same day, four to six hours after it is begun', () => {
    const timetable = timetableFor(demoWorkload('gallery-opening'), { kind: 'soonest' });
    const wait = secondsBetween(FRIDAY_7, timetable.service[0] ?? FRIDAY_7);
    expect(wait).toBeGreaterThan(hours(4));
    expect(wait).toBeLessThan(hours(6));
  });

  test('gallery-opening lowers its oven with the door shut, without a wait', () => {
    const timetable = timetableFor(demoWorkload('gallery-opening'), { kind: 'soonest' });
    expect(at(timetable, 'shells.bake low').start).toBe(at(timetable, 'shells.bake high').end);
  });

  test('gallery-opening makes twice as many with twice the trays only where the oven has the shelves', () => {
    expect(loadDemo('gallery-opening', 20).drawn).toEqual([]);
    expect(loadDemo('gallery-opening', 80).drawn.join('\n')).toContain('shelves');
  });

  test('terrace-tea dries its nests in the oven as it falls, door ajar', () => {
    const timetable = timetableFor(demoWorkload('terrace-tea'), { kind: 'soonest' });
    expect(at(timetable, 'nests.dry').start).toBe(at(timetable, 'nests.bake').end);
    expect(timetable.settings.at(-1)?.heat).toEqual({ kind: 'off' });
  });

  test('rowing-dinner is made on the evening before, and glazed while frozen', () => {
    const workload = demoWorkload('rowing-dinner');
    const timetable = timetableFor(workload, ownTime(workload));
    const [service = FRIDAY_7] = timetable.service;
    expect(secondsBetween(timetable.steps[0]?.start ?? service, service)).toBeLessThan(hours(26));
    expect(secondsBetween(at(timetable, 'domes.build').end, service)).toBeGreaterThan(hours(20));
    expect(at(timetable, 'finish.pour').start).toBe(at(timetable, 'domes.freeze').end);
  });

  test('ferry-breakfast rests over night and is in the oven before dawn', () => {
    const workload = demoWorkload('ferry-breakfast');
    const timetable = timetableFor(workload, ownTime(workload));
    const retard = at(timetable, 'twists.retard');
    expect(secondsBetween(retard.start, retard.end)).toBeGreaterThanOrEqual(hours(9));
    expect(at(timetable, 'twists.bake').oven).toBe('deck');
  });

  test('choir-supper: with a second oven the two ovenfuls are baked at once, with one the planner moves one', () => {
    const workload = demoWorkload('choir-supper');
    const service = ownTime(workload);
    const ovens = workload.kitchen.ovens.flatMap((oven) => [oven, { ...oven, name: 'neighbour' }]);
    const apart = timetableFor({ ...workload, kitchen: { ...workload.kitchen, ovens } }, service);
    const [tarts, wafers] = [at(apart, 'tarts.bake'), at(apart, 'wafers.bake')];
    expect(wafers.start).toBeLessThan(tarts.end);
    expect(tarts.start).toBeLessThan(wafers.end);
    const both = timetableFor(workload, service);
    // One after the other, with the oven's way from one temperature to the other in between.
    const [first, second] = [at(both, 'tarts.bake'), at(both, 'wafers.bake')].toSorted(
      (a, b) => a.start - b.start,
    );
    expect(first && second && secondsBetween(first.end, second.start)).toBeGreaterThanOrEqual(minutes(14));
  });

  test('two-hot-ovenfuls is refused, and both ovenfuls are named', () => {
    const workload = demoWorkload('two-hot-ovenfuls');
    const result = planTimetable(workload, { service: ownTime(workload), now: FRIDAY_7 });
    expect(result).toMatchObject({ status: 'infeasible' });
    const words =
      result.status === 'infeasible' ? result.reasons.map((reason) => reason.message).join('\n') : '';
    for (const part of ['puffs.bake', '200 C', 'custards.bake', '140 C']) expect(words).toContain(part);
  });
});
