import { expect, test } from 'vitest';
import { step, workload } from '../support/workloads.ts';
import { schedule } from './support/schedule.ts';

const busy = { hands: 'busy' } as const;
const custard = custardChilledWithin();
/** Takes the hands, so that the custard is cooked long before it is whisked. */
const tart = [step('line', { ...busy, takes: '2 h' })];

test('what is to rest does so as soon as what is before it is over', () => {
  expect(schedule(workload({ components: { custard, tart } }))).toEqual([
    '09:45-09:55 custard.cook',
    '09:55-11:55 custard.chill',
    '09:55-11:55 tart.line',
    '11:55-12:00 custard.whisk',
  ]);
});

test('where its shelf is taken it waits until it is free', () => {
  const fish = [
    step('cure', { rest: ['20 min'], uses: ['fridge shelf'] }),
    step('slice', { takes: '85 min' }),
  ];
  expect(schedule(workload({ components: { custard, tart, fish } }))).toEqual([
    '09:45-09:55 custard.cook',
    '09:55-11:55 tart.line',
    '10:15-10:35 fish.cure',
    '10:35-11:55 custard.chill',
    '10:35-12:00 fish.slice',
    '11:55-12:00 custard.whisk',
  ]);
});

test('no longer than it may rest', () => {
  const dough = [
    step('knead', { ...busy, takes: '10 min' }),
    step('prove', { rest: ['1 h', '90 min'] }),
    step('shape', { ...busy, takes: '5 min' }),
  ];
  expect(schedule(workload({ components: { dough, tart } }))).toEqual([
    '09:45-09:55 dough.knead',
    '09:55-11:55 tart.line',
    '10:25-11:55 dough.prove',
    '11:55-12:00 dough.shape',
  ]);
});

test('what may wait only so long is left to the ladder', () => {
  const limited = custardChilledWithin('90 min');
  const chill = (prefer: 'fresh' | 'day'): string | undefined =>
    schedule(workload({ components: { custard: limited, tart } }), { prefer: [prefer] }).find((line) =>
      line.endsWith('chill'),
    );
  expect(chill('fresh')).toBe('09:55-11:55 custard.chill');
  expect(chill('day')).toBe('10:55-11:55 custard.chill');
});

function custardChilledWithin(within?: string): ReturnType<typeof step>[] {
  return [
    step('cook', { ...busy, takes: '10 min' }),
    step('chill', { rest: ['1 h', '4 h'], uses: ['fridge shelf'], ...(within !== undefined && { within }) }),
    step('whisk', { ...busy, takes: '5 min' }),
  ];
}
