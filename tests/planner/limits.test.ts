import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Component, Step, Workload } from '../../src/plan/index.ts';
import {
  limits,
  planTimetable,
  verify,
  type Easing,
  type Limits,
  type PlanRequest,
  type Timetable,
} from '../../src/planner/index.ts';
import { minutes, seconds } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';
import { workloads } from './support/arbitraries.ts';
import { onWeekdays } from './support/impossible.ts';

const NOON = moment('2027-05-14 12:00');
const AT_NOON: PlanRequest = { service: { kind: 'at', moments: [NOON] } };
const busy = { hands: 'busy' } as const;

function limitsOf(plan: Workload, request = AT_NOON): Limits {
  const result = planTimetable(plan, request);
  if (!('timetable' in result)) throw new Error(`no timetable: ${result.status}`);
  return limits(plan, request, result.timetable);
}

/** In short: how work begins, the chain, and what a little change would buy. */
function told(plan: Workload, request = AT_NOON): string[] {
  const { message, chain, gains } = limitsOf(plan, request);
  return [
    message,
    ...chain.map((link) => `${link.step} ${link.message}`),
    ...gains.map((gain) => `+ ${gain.message}`),
  ];
}

describe('what fixes when work begins', () => {
  test('steps that follow each other up to service, less its margin; what buys nothing is left out', () => {
    const tart = workload({
      margin: '5 min',
      components: {
        tart: [
          step('roll', { ...busy, takes: '30 min' }),
          step('chill', { rest: ['20 min', '2 h'] }),
          step('line', { ...busy, takes: '10 min', after: '2 min' }),
        ],
        sauce: [step('stir', { hands: 'near', takes: '15 min' })],
      },
    });
    expect(told(tart)).toEqual([
      'work begins at 10:53: tart.roll',
      'tart.roll takes 30 min (line 11); tart.chill follows (line 12)',
      'tart.chill rests at least 20 min (line 12); tart.line comes 2 min after it (line 13)',
      'tart.line takes 10 min (line 13); service is at 12:00, 5 min in hand',
      '+ a minute less on tart.roll (line 11): work could begin 1 min later',
      '+ a minute less on tart.chill (line 12): work could begin 1 min later',
      '+ a minute less on tart.line (line 13): work could begin 1 min later',
      '+ a minute less between tart.line and the step before it (line 13): work could begin 1 min later',
      '+ a minute less of margin: work could begin 1 min later',
    ]);
  });

  test('the hands, taken by another component', () => {
    const bench = workload({
      components: {
        dough: [
          step('knead', { ...busy, takes: '15 min' }),
          step('shape', { ...busy, takes: '5 min', within: '1 h' }),
        ],
        cream: { keeps: '1 min', steps: [step('whip', { ...busy, takes: '10 min' })] },
      },
    });
    const found = limitsOf(bench);
    expect(found.chain.map(({ step: id, why, next }) => [id, why, next])).toEqual([
      ['dough.knead', 'order', 'dough.shape'],
      ['dough.shape', 'hands', 'cream.whip'],
      ['cream.whip', 'service', undefined],
    ]);
    expect(found.gains.map(({ change, later }) => [change, later])).toEqual([
      ['with a second cook', 600],
      ['a minute less on dough.knead (line 11)', 60],
      ['a minute less on dough.shape (line 12)', 60],
      ['a minute less on cream.whip (line 14)', 60],
    ]);
  });

  test('the oven that has to be hot comes first, and one that has to fall stands between', () => {
    const oven = workload({
      kitchen: { ovens: [{ heats: 10, cools: 5, soak: minutes(10), shelves: 1 }] },
      components: {
        puffs: [step('bake', { takes: '20 min', oven: { at: '220 C' } })],
        custard: { keeps: '1 min', steps: [step('set', { takes: '30 min', oven: { at: '120 C' } })] },
      },
    });
    // By hand: 20:58 and a soak of 10 min to 220 C; 35.851 min x ln(200 / 100) from there to 120 C.
    expect(told(oven)).toEqual([
      'work begins at 10:14: oven to 220 C, to be hot for puffs.bake at 10:45',
      'puffs.bake takes 20 min (line 11); the oven needs 24 min 52 s from 220 C to 120 C for custard.set (line 13)',
      'custard.set takes 30 min (line 13); service is at 12:00',
      '+ with a second oven like the one there is: work could begin 55 min later',
      '+ a minute less on puffs.bake (line 11): work could begin 1 min later',
      '+ a minute less on custard.set (line 13): work could begin 1 min later',
    ]);
  });

  test('a window that ties a step to the one before it', () => {
    const sugar = workload({
      components: {
        nuts: [step('toast', { takes: '20 min' })],
        sugar: [
          step('boil', { ...busy, takes: '12 min' }),
          step('pour', { takes: '2 min', within: '1 min', needs: ['nuts'] }),
        ],
        cream: { keeps: '1 min', steps: [step('whip', { ...busy, takes: '10 min' })] },
      },
    });
    expect(told(sugar, { ...AT_NOON, prefer: ['day'] })).toEqual([
      'work begins at 11:31: nuts.toast',
      'nuts.toast takes 20 min (line 11); sugar.pour needs it (line 14)',
      'sugar.pour takes 2 min (line 14); it must follow sugar.boil within 1 min',
      'sugar.boil takes 12 min (line 13); then cream.whip takes the hands (line 16)',
      'cream.whip takes 10 min (line 16); service is at 12:00',
      '+ with a second cook: work could begin 7 min later',
      '+ a minute less on nuts.toast (line 11): work could begin 1 min later',
      '+ a minute less on cream.whip (line 16): work could begin 1 min later',
      '+ a minute more that sugar.pour may wait (line 14): work could begin 1 min later',
    ]);
    // Where freshness comes first the sugar does not wait that minute.
    expect(told(sugar).slice(0, 3)).toEqual([
      'work begins at 11:30: nuts.toast',
      'nuts.toast takes 20 min (line 11); sugar.pour needs it (line 14)',
      'sugar.pour takes 2 min (line 14); if it came later, sugar.boil would wait longer for it',
    ]);
  });

  test('the end of working hours', () => {
    const dough = onWeekdays(
      workload({
        components: {
          dough: [step('mix', { ...busy, takes: '20 min' }), step('prove', { rest: ['1 h'] })],
        },
      }),
    );
    const service = { kind: 'at', moments: [moment('2027-05-14 18:00')] } as const;
    expect(told(dough, { service })).toEqual([
      'work begins at 13:40: dough.mix',
      'dough.mix takes 20 min (line 11); if it came later, it would be outside the working hours',
      '+ a minute less on dough.mix (line 11): work could begin 1 min later',
      '+ if work on Friday may go on until 14:01 instead of 14:00: work could begin 1 min later',
    ]);
  });

  test('the night', () => {
    const early = workload({
      components: { loaf: [step('knead', { ...busy, takes: '20 min' }), step('bake', { takes: '1 h' })] },
    });
    const service = { kind: 'at', moments: [moment('2027-05-15 02:00')] } as const;
    expect(told(early, { service })).toEqual([
      'work begins at Fri 21:40: loaf.knead',
      'loaf.knead takes 20 min (line 11); if it came later, it would go on into the night',
      '+ a minute less on loaf.knead (line 11): work could begin 1 min later',
    ]);
  });

  test('one tool for two', () => {
    const beaters = workload({
      components: {
        cake: [step('beat', { takes: '12 min', uses: ['mixer'] })],
        cream: { keeps: '1 min', steps: [step('whip', { takes: '8 min', uses: ['mixer'] })] },
      },
    });
    expect(told(beaters)).toEqual([
      'work begins at 11:40: cake.beat',
      'cake.beat takes 12 min (line 11); then cream.whip takes the mixer (line 13)',
      'cream.whip takes 8 min (line 13); service is at 12:00',
      '+ with a second mixer: work could begin 8 min later',
      '+ a minute less on cake.beat (line 11): work could begin 1 min later',
      '+ a minute less on cream.whip (line 13): work could begin 1 min later',
    ]);
  });
});

/** The change made by hand. */
function changed(plan: Workload, easing: Easing): Workload {
  const { kitchen } = plan;
  switch (easing.kind) {
    case 'more cooks':
      return { ...plan, kitchen: { ...kitchen, cooks: kitchen.cooks + 1 } };
    case 'more near steps':
      return { ...plan, kitchen: { ...kitchen, near: kitchen.near + 1 } };
    case 'more of an item': {
      const items = kitchen.items.map((item) =>
        item.name === easing.item ? { ...item, count: item.count + 1 } : item,
      );
      return { ...plan, kitchen: { ...kitchen, items } };
    }
    case 'more shelves':
      return {
        ...plan,
        kitchen: { ...kitchen, ovens: kitchen.ovens.map((oven) => ({ ...oven, shelves: oven.shelves + 1 })) },
      };
    case 'another oven':
      return {
        ...plan,
        kitchen: {
          ...kitchen,
          ovens: kitchen.ovens.flatMap((oven) => [oven, { ...oven, name: easing.oven }]),
        },
      };
    case 'less margin':
      return { ...plan, plans: plan.plans.map((one) => ({ ...one, margin: seconds(one.margin - 60) })) };
    default:
      return { ...plan, components: plan.components.map((component) => longerKeeping(component, easing)) };
  }
}

const longerKeeping = (component: Component, easing: Easing): Component => ({
  ...component,
  ...(easing.kind === 'keep longer' &&
    easing.component === component.id && { keeps: seconds((component.keeps ?? 0) + 60) }),
  steps: component.steps.map((each) => stepWith(each, easing)),
});

function stepWith(each: Step, easing: Easing): Step {
  if (!('step' in easing) || easing.step !== each.id) return each;
  const { length } = each;
  if (easing.kind === 'wait longer') return { ...each, within: seconds((each.within ?? 0) + 60) };
  if (easing.kind === 'follow sooner') return { ...each, after: seconds(each.after - 60) };
  if (length.kind !== 'rest') {
    const { low, usual, high } = length.range;
    return {
      ...each,
      length: {
        ...length,
        range: { low: seconds(low - 60), usual: seconds(usual - 60), high: seconds(high - 60) },
      },
    };
  }
  return easing.kind === 'rest longer'
    ? { ...each, length: { ...length, atMost: seconds((length.atMost ?? 0) + 60) } }
    : { ...each, length: { ...length, atLeast: seconds(length.atLeast - 60) } };
}

const beginOf = ({ steps, settings }: Timetable): number =>
  Math.min(
    ...steps.map(({ start }) => start),
    ...settings.filter(({ heat }) => heat.kind === 'at').map(({ at }) => at),
  );

describe('laws of the limits', () => {
  test('a chain leads from the first step to service, each link pushed by the next; what is gained is gained', () => {
    const seen = { plans: 0, whole: 0, gains: 0, kinds: new Set<string>(), whys: new Set<string>() };
    fc.assert(
      fc.property(workloads({ components: 4, stepsEach: 3, ovens: 1, longest: 12 }), (plan) => {
        const result = planTimetable(plan, AT_NOON);
        fc.pre(result.status === 'optimal');
        if (!('timetable' in result)) return;
        const { timetable } = result;
        const found = limits(plan, AT_NOON, timetable);
        expect(JSON.stringify(limits(plan, AT_NOON, timetable))).toBe(JSON.stringify(found));
        expect(found.begins).toBe(beginOf(timetable));
        seen.plans += 1;
        found.chain.forEach(({ next, why }, index) => {
          expect(found.chain[index + 1]?.step).toBe(next);
          seen.whys.add(why);
        });
        if (found.chain.at(-1)?.why === 'service') seen.whole += 1;
        for (const { easing, later } of found.gains) {
          const after = changed(plan, easing);
          const again = planTimetable(after, AT_NOON);
          if (!('timetable' in again)) throw new Error(`no timetable with ${easing.kind}`);
          expect(verify(after, again.timetable)).toEqual([]);
          expect([easing, (beginOf(again.timetable) - found.begins) / 1000]).toEqual([easing, later]);
          seen.gains += 1;
          seen.kinds.add(easing.kind);
        }
      }),
      { numRuns: 60, seed: 20270514 },
    );
    expect(seen.plans).toBeGreaterThan(25);
    expect(seen.whole / seen.plans).toBeGreaterThan(0.9);
    expect(seen.gains).toBeGreaterThan(60);
    expect(seen.kinds.size).toBeGreaterThan(4);
    expect(seen.whys.size).toBeGreaterThan(6);
  });
});
