import { describe, expect, test } from 'vitest';
import { stepId, componentId, type StepId, type Workload } from '../../src/plan/index.ts';
import {
  replan,
  verify,
  type OvenStanding,
  type Progress,
  type Proposal,
  type ReplanResult,
  type StepStanding,
  type Timetable,
} from '../../src/planner/index.ts';
import { celsius, epochMs, plus, seconds, wallClock, type EpochMs } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';
import { planned, timetableOf } from './support/schedule.ts';

const busy = { hands: 'busy' } as const;
const at = (clock: string): EpochMs => moment(`2027-05-14 ${clock}`);
const id = (name: string): StepId => {
  const [component = '', own = ''] = name.split('.');
  return stepId(componentId(component), own);
};

/** A run that went as it was told until now, except for what is said of single steps. */
function soFar(
  told: Timetable,
  now: EpochMs,
  except: Readonly<Record<string, StepStanding>> = {},
  ovens: readonly OvenStanding[] = [],
): Progress {
  const steps = Object.fromEntries(
    told.steps.map(({ step: name, start, end, oven }): [StepId, StepStanding] => {
      if (end <= now) return [name, { kind: 'ended', start, end }];
      if (start > now) return [name, { kind: 'open' }];
      return [name, { kind: 'going', start, soonest: end, likely: end, ...(oven !== undefined && { oven }) }];
    }),
  );
  const changed = Object.entries(except).map(([name, standing]): [StepId, StepStanding] => [
    id(name),
    standing,
  ]);
  return { now, steps: { ...steps, ...Object.fromEntries(changed) }, ovens, told, served: [] };
}

function proposed(made: Workload, progress: Progress): Proposal {
  const result: ReplanResult = replan(made, { progress });
  if (result.kind !== 'proposal') throw new Error(`no proposal: ${JSON.stringify(result)}`);
  const { timetable, broken } = result;
  expect(verify(made, timetable, { progress, margins: 'drop', broken })).toEqual([]);
  return result;
}

const clock = (when: EpochMs): string => wallClock(when, 'UTC');
const startsOf = ({ timetable }: Proposal): Record<string, string> =>
  Object.fromEntries(timetable.steps.map((planned) => [planned.step, clock(planned.start)]));

const baking = (start: string, likely: string): StepStanding => ({
  kind: 'going',
  start: at(start),
  soonest: at(likely),
  likely: at(likely),
  oven: 'oven',
});

describe('a run as it was told', () => {
  test('needs no new timetable at any minute', () => {
    const buns = workload({
      components: {
        buns: [
          step('mix', { ...busy, takes: '10 min' }),
          step('prove', { rest: ['30 min', '50 min'] }),
          step('bake', { takes: '20 min', oven: { at: '180 C' }, within: '5 min' }),
        ],
      },
    });
    const told = timetableOf(planned(buns));
    const hot: OvenStanding = {
      oven: 'oven',
      celsius: celsius(180),
      knob: celsius(180),
      readyAt: at('11:40'),
    };
    for (let now = at('10:30'); now < at('12:00'); now = plus(now, 60)) {
      const oven = now >= at('11:10') ? [hot] : [];
      expect([clock(now), replan(buns, { progress: soFar(told, now, {}, oven) }).kind]).toEqual([
        clock(now),
        'as told',
      ]);
    }
  });
});

describe('lateness', () => {
  const pie = workload({
    margin: '20 min',
    components: {
      pie: [
        step('roll', { ...busy, takes: '10 min' }),
        step('fill', { ...busy, takes: '10 min' }),
        step('set', { takes: '30 min' }),
      ],
      sauce: [step('stir', { ...busy, takes: '10 min' })],
    },
  });
  const told = timetableOf(planned(pie));

  test('the margin gives first: service is kept, and what need not move stays', () => {
    const start = told.steps.find((planned) => planned.step === 'pie.roll')?.start ?? 0;
    const late = plus(epochMs(start), 900);
    const standing: StepStanding = { kind: 'going', start: epochMs(start), soonest: late, likely: late };
    const found = proposed(
      pie,
      soFar(told, plus(epochMs(start), 720), { 'pie.roll': standing, 'pie.fill': { kind: 'open' } }),
    );
    expect(found.serviceMoved).toEqual([]);
    expect(found.broken).toEqual([]);
    expect(found.changes.map(({ step: name }) => name)).toEqual(['pie.fill', 'pie.set']);
    expect(found.changes[0]?.message).toMatch(/^pie: fill: 11:05 instead of 11:00, 5 min later$/);
  });

  test('a timetable that has used up the margin is not offered a second time', () => {
    const start = epochMs(told.steps.find((planned) => planned.step === 'pie.roll')?.start ?? 0);
    const late = plus(start, 900);
    const standing: StepStanding = { kind: 'going', start, soonest: late, likely: late };
    const progress = soFar(told, plus(start, 720), { 'pie.roll': standing, 'pie.fill': { kind: 'open' } });
    const { timetable } = proposed(pie, progress);
    expect(replan(pie, { progress: { ...progress, told: timetable } }).kind).toBe('as told');
  });

  test('service moves where it must, by as little as can be, in whole minutes, and that is said', () => {
    const start = at('11:20');
    const progress = soFar(told, at('11:25'), {
      'pie.roll': { kind: 'going', start, soonest: at('11:30'), likely: at('11:30') },
      'pie.fill': { kind: 'open' },
      'pie.set': { kind: 'open' },
      'sauce.stir': { kind: 'open' },
    });
    const found = proposed(pie, progress);
    expect(found.serviceMoved).toEqual([{ plan: 0, from: at('12:00'), to: at('12:10') }]);
    expect(startsOf(found)).toMatchObject({ 'pie.fill': '11:30', 'pie.set': '11:40' });
  });

  test('nothing is asked for before now', () => {
    const progress = soFar(told, at('11:27'), {
      'pie.roll': { kind: 'open' },
      'pie.fill': { kind: 'open' },
      'pie.set': { kind: 'open' },
      'sauce.stir': { kind: 'open' },
    });
    const found = proposed(pie, progress);
    expect(Math.min(...found.timetable.steps.map((planned) => planned.start))).toBe(at('11:27'));
    expect(found.serviceMoved).toEqual([{ plan: 0, from: at('12:00'), to: at('12:17') }]);
  });
});

describe('windows', () => {
  const batter = workload({
    components: {
      cake: [
        step('whisk', { ...busy, takes: '10 min' }),
        step('fold', { ...busy, takes: '5 min', within: '2 min' }),
        step('rest', { rest: ['20 min', '30 min'], within: '0 min' }),
      ],
    },
  });
  const told = timetableOf(planned(batter));

  test('one that has passed already is stretched as little as can be, and named', () => {
    const progress = soFar(told, at('11:41'), {
      'cake.whisk': { kind: 'ended', start: at('11:25'), end: at('11:35') },
      'cake.fold': { kind: 'open' },
      'cake.rest': { kind: 'open' },
    });
    const found = proposed(batter, progress);
    expect(found.broken.map(({ message }) => message)).toEqual([
      'cake: fold waits 4 min longer than it may after whisk',
    ]);
    expect(startsOf(found)).toMatchObject({ 'cake.fold': '11:41', 'cake.rest': '11:46' });
    expect(found.serviceMoved).toEqual([{ plan: 0, from: at('12:00'), to: at('12:06') }]);
  });

  test('a rest that is going ends as soon as it has been long enough, and no later than it may', () => {
    const found = proposed(
      batter,
      soFar(told, at('11:45'), {
        'cake.whisk': { kind: 'ended', start: at('11:25'), end: at('11:35') },
        'cake.fold': { kind: 'ended', start: at('11:35'), end: at('11:41') },
        'cake.rest': { kind: 'going', start: at('11:41'), soonest: at('12:01'), likely: at('12:01') },
      }),
    );
    expect(found.timetable.steps.find((planned) => planned.step === 'cake.rest')?.end).toBe(at('12:01'));
    expect(found.serviceMoved).toEqual([{ plan: 0, from: at('12:00'), to: at('12:01') }]);
  });
});

describe('ovens', () => {
  const two = workload({
    kitchen: { ovens: [{ heats: 10, cools: 5, soak: seconds(0), shelves: 2 }] },
    components: {
      a: [step('bake', { takes: '20 min', oven: { at: '220 C' } }), step('cool', { takes: '40 min' })],
      b: [step('bake', { takes: '20 min', oven: { at: '160 C' } })],
    },
  });
  const told = timetableOf(planned(two));
  const hot: OvenStanding = { oven: 'oven', celsius: celsius(220), knob: celsius(220), readyAt: at('11:00') };

  test('an oven that is hot is not heated again, and one that is too hot is waited for', () => {
    const found = proposed(two, soFar(told, at('11:10'), { 'a.bake': baking('11:00', '11:35') }, [hot]));
    expect(startsOf(found)).toMatchObject({ 'a.cool': '11:35', 'b.bake': '11:47' });
    expect(
      found.timetable.settings.filter(({ at: set }) => set >= at('11:10')).map(({ at: set }) => clock(set)),
    ).toEqual(['11:35', '12:07']);
    expect(found.serviceMoved).toEqual([{ plan: 0, from: at('12:00'), to: at('12:15') }]);
  });

  test('what is in an oven of another heat than it wants is not asked about', () => {
    const found = proposed(
      two,
      soFar(told, at('11:10'), { 'a.bake': baking('11:05', '11:25') }, [
        { ...hot, celsius: celsius(170), knob: celsius(160) },
      ]),
    );
    expect(startsOf(found)).toMatchObject({ 'a.cool': '11:25' });
  });
});

test('a component that is lost is made again, at once', () => {
  const filled = workload({
    components: {
      cream: {
        keeps: '1 h',
        steps: [step('cook', { ...busy, takes: '10 min' }), step('cool', { takes: '20 min' })],
      },
      puffs: [step('pipe', { ...busy, takes: '15 min' }), step('bake', { takes: '25 min' })],
      finish: [step('fill', { ...busy, takes: '20 min', needs: ['cream', 'puffs'] })],
    },
  });
  const told = timetableOf(planned(filled));
  const progress = soFar(told, at('11:20'), {
    'cream.cook': { kind: 'open' },
    'cream.cool': { kind: 'open' },
  });
  const found = proposed(filled, progress);
  expect(startsOf(found)).toMatchObject({
    'cream.cook': '11:20',
    'cream.cool': '11:30',
    'finish.fill': '11:50',
  });
  expect(found.serviceMoved).toEqual([{ plan: 0, from: at('12:00'), to: at('12:10') }]);
});

test('where nothing helps, what cannot be met is said', () => {
  const bread = workload({
    components: { bread: [step('bake', { takes: '20 min', oven: { at: '200 C', shelves: 2 } })] },
  });
  const told = timetableOf(planned(bread));
  const kitchen = { ...bread.kitchen, ovens: bread.kitchen.ovens.map((oven) => ({ ...oven, shelves: 1 })) };
  const result = replan({ ...bread, kitchen }, { progress: soFar(told, at('11:00')) });
  expect(result.kind === 'none' && result.reasons.map(({ message }) => message)).toEqual([
    'bread.bake (line 11) wants 2 shelves, and no oven has more than 1',
  ]);
});

test('the same state gives the same proposal', () => {
  const late = workload({
    components: {
      a: [step('do', { ...busy, takes: '30 min' })],
      b: [step('do', { ...busy, takes: '20 min' })],
    },
  });
  const progress = soFar(timetableOf(planned(late)), at('11:30'), {
    'a.do': { kind: 'open' },
    'b.do': { kind: 'open' },
  });
  expect(replan(late, { progress })).toEqual(replan(late, { progress }));
});
