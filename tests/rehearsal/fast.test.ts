import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { loadWorkload, type Workload } from '../../src/plan/index.ts';
import { planTimetable, replan, type Timetable } from '../../src/planner/index.ts';
import {
  courseOf,
  createPlayedRun,
  play,
  playReal,
  windowsOf,
  type Course,
  type PlayedRun,
} from '../../src/rehearsal/index.ts';
import type { RunSetup } from '../../src/bench/index.ts';
import { parseTemperature, plus, seconds, type Temperature } from '../../src/units/index.ts';
import { longDay } from '../../scripts/bench-rehearsal/day.ts';
import { demoPlans, demoWorkload } from '../demo-plans/demo-plans.ts';
import { laidTogether, step, workload } from '../support/workloads.ts';
import { NOON, smallRun } from './small-run.ts';
import { smallKitchenRun } from './small-kitchens.ts';

function warm(text: string): Temperature {
  const parsed = parseTemperature(text);
  if (!parsed.ok) throw new Error(parsed.problem);
  return parsed.value;
}

const demoRun = (name: string): RunSetup => runOf(demoWorkload(name), name);

function runOf(plans: Workload, name: string): RunSetup {
  const result = planTimetable(plans, { service: { kind: 'soonest' }, now: NOON });
  if (!('timetable' in result)) throw new Error(result.status);
  return begun(name, plans, result.timetable);
}

function begun(name: string, plans: Workload, timetable: Timetable): RunSetup {
  const first = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  return { run: name, workload: plans, timetable, begunAt: first.reduce((a, b) => (a < b ? a : b)) };
}

/** What a rehearsal came to, in words that can be compared. */
const told = ({ steps }: Course, run: PlayedRun): string[] => [
  `seed ${run.seed} ${run.leaves} at ${run.leftAt}, served ${run.servedAt.join(' ')}, ${run.late} s late, broken ${run.broken.join('')}`,
  ...steps.map(
    ({ id }, index) => `${id} ${run.starts[index]} to ${run.ends[index]}, drawn ${run.drawn[index]}`,
  ),
];

/** Plays seeds both ways; how many of them wanted a new timetable. */
function expectEqual(setup: RunSetup, seeds: readonly number[]): number {
  const course = courseOf(setup);
  const [fast, real] = [createPlayedRun(course), createPlayedRun(course)];
  let wanted = 0;
  for (const seed of seeds) {
    play(course, seed, fast);
    playReal(course, seed, real);
    expect(told(course, fast)).toEqual(told(course, real));
    if (real.leaves === 'needs bench') wanted += 1;
  }
  return wanted;
}

const seedsFrom = (first: number, count: number): number[] =>
  Array.from({ length: count }, (_, index) => first + index);

describe('the fast bench takes the very course of the real one', () => {
  test.each(demoPlans)('%s', (name) => {
    expect(expectEqual(demoRun(name), seedsFrom(100, 5))).toBeLessThanOrEqual(5);
  });

  test('a day of sixty steps that is made up, planned backwards from an evening', () => {
    const moments = [plus(NOON, 8 * 3600)];
    const day = longDay(1);
    const result = planTimetable(day, { service: { kind: 'at', moments } });
    if (!('timetable' in result)) throw new Error(result.status);
    expect(expectEqual(begun('day', day, result.timetable), seedsFrom(7, 2))).toBeLessThanOrEqual(2);
  });

  test('a plan without troubles, and one in which each draw stands for itself', () => {
    expectEqual(smallRun, seedsFrom(0, 20));
    const course = courseOf(smallRun, { life: 'plain' });
    const [fast, real] = [createPlayedRun(course), createPlayedRun(course)];
    for (const seed of seedsFrom(0, 10)) {
      play(course, seed, fast);
      playReal(course, seed, real);
      expect(told(course, fast)).toEqual(told(course, real));
    }
  });

  test('small random kitchens', () => {
    let [kitchens, wanted] = [0, 0];
    for (const seed of seedsFrom(0, 60)) {
      const setup = smallKitchenRun(seed);
      if (!setup) continue;
      kitchens += 1;
      wanted += expectEqual(setup, seedsFrom(seed * 3, 2));
    }
    expect(kitchens).toBeGreaterThan(30);
    expect(wanted).toBeGreaterThan(5);
  });

  test('nobody sits in a kitchen in which nothing is called any more: every rehearsal comes to service', () => {
    const stuck = seedsFrom(0, 300).filter((kitchen) => {
      const setup = smallKitchenRun(kitchen);
      if (!setup) return false;
      const course = courseOf(setup);
      const run = createPlayedRun(course);
      return seedsFrom(0, 3).some((seed) => {
        play(course, seed, run);
        return !Number.isFinite(run.late);
      });
    });
    expect(stuck).toEqual([]);
  });

  test.each([
    [186, 2],
    [195, 0],
  ])('nobody starts a step before hands were free for it (kitchen %i, seed %i)', (kitchen, seed) => {
    const setup = smallKitchenRun(kitchen);
    if (!setup) throw new Error('no timetable');
    expect(expectEqual(setup, [seed])).toBe(1);
  });

  test('where the cook takes new timetables, up to the moment at which one is first wanted', () => {
    const course = courseOf(demoRun('ferry-breakfast'));
    const [fast, real] = [createPlayedRun(course), createPlayedRun(course)];
    let replanned = 0;
    for (const seed of seedsFrom(0, 12)) {
      play(course, seed, fast);
      if (fast.leaves === 'played') continue;
      const end = playReal(course, seed, real, { replan });
      replanned += 1;
      expect(real.leftAt).toBe(fast.leftAt);
      const before = (run: PlayedRun): number[] =>
        [...run.starts, ...run.ends].map((at) => (at < run.leftAt ? at : NaN));
      expect(before(fast)).toEqual(before(real));
      expect(end.events.some(({ kind }) => kind === 'proposed' || kind === 'not proposed')).toBe(true);
      if (replanned === 3) break;
    }
    expect(replanned).toBe(3);
  });
});

describe('what a rehearsal comes to', () => {
  test('the same seed gives the same, whatever was played in between; another gives another', () => {
    const course = courseOf(demoRun('gallery-opening'));
    const run = createPlayedRun(course);
    const outcome = (seed: number): string[] => {
      play(course, seed, run);
      return told(course, run);
    };
    const first = outcome(7);
    expect(outcome(8)).not.toEqual(first);
    expect(outcome(7)).toEqual(first);
  });

  test('a run that is moved in time is the same run', () => {
    const setup = demoRun('terrace-tea');
    const by = 86_400;
    const { timetable } = setup;
    const moved: RunSetup = {
      ...setup,
      begunAt: plus(setup.begunAt, by),
      timetable: {
        service: timetable.service.map((at) => plus(at, by)),
        steps: timetable.steps.map((step) => ({
          ...step,
          start: plus(step.start, by),
          end: plus(step.end, by),
        })),
        settings: timetable.settings.map((each) => ({
          ...each,
          at: plus(each.at, by),
          hotBy: plus(each.hotBy, by),
        })),
      },
    };
    const [here, there] = [courseOf(setup), courseOf(moved)];
    const [one, other] = [createPlayedRun(here), createPlayedRun(there)];
    for (const seed of seedsFrom(0, 30)) {
      play(here, seed, one);
      play(there, seed, other);
      expect(told(there, other)).toEqual(told(here, one));
    }
  });

  test('the windows of a plan in its own words', () => {
    const words = windowsOf(courseOf(demoRun('gallery-opening'))).map(
      ({ kind, words: said }) => `${kind}: ${said}`,
    );
    expect(words).toContain('within: shells: bake low follows bake high at once');
    expect(words).toContain('keeps: finish keeps 1 h 30');
    expect(words.filter((each) => each.startsWith('service'))).toEqual([
      'service: Gallery opening served in time',
    ]);
    expect(words.filter((each) => each.startsWith('cooling'))).not.toEqual([]);
  });
});

test('where two components share a probe, each is read for itself: no batch is done for what was read in another', () => {
  const cold = (to: string) =>
    step('chill', {
      takes: ['20 min', '60 min'],
      until: {
        kind: 'probe',
        probe: 'cream',
        goal: { kind: 'falls to', to: warm(to) },
        lasting: seconds(30),
      },
    });
  const shared = workload({
    components: { custard: [cold('21 C')], ganache: [cold('40 C')] },
  });
  const course = courseOf(runOf(shared, 'shared'));
  const run = createPlayedRun(course);
  for (const seed of seedsFrom(0, 10)) {
    play(course, seed, run);
    for (const place of [0, 1])
      expect(run.ends[place]).toBe((run.starts[place] ?? NaN) + (run.drawn[place] ?? NaN) * 1000);
  }
  expectEqual(course.setup, seedsFrom(0, 5));
});

test('of two plans with components of one name, each window says whose it is', () => {
  const cream = [
    step('cook', { takes: '10 min' }),
    step('chill', { rest: ['30 min', '2 h'], within: '5 min' }),
  ];
  const of = laidTogether({}, { lunch: { components: { cream } }, tea: { components: { cream } } });
  const words = windowsOf(courseOf(runOf(of, 'both'))).map(({ words: said }) => said);
  expect(words).toContain('cream (lunch): chill may wait 5 min after cook');
  expect(words).toContain('cream (tea): chill may wait 5 min after cook');
});

test('two plans on one kitchen, also where both wait for one probe at a time', () => {
  const folder = fileURLToPath(new URL('../../plans/', import.meta.url));
  const read = (file: string) => ({ file, bytes: new Uint8Array(readFileSync(`${folder}${file}`)) });
  const { workload: both } = loadWorkload(['choir-supper.yaml', 'gallery-opening.yaml'].map(read), {
    findKitchen: (name) => read(`kitchens/${name}.yaml`),
    timeZone: 'UTC',
  });
  if (!both) throw new Error('the demo plans cannot be laid together');
  expect(expectEqual(runOf(both, 'both'), seedsFrom(0, 3))).toBeLessThanOrEqual(3);
});
