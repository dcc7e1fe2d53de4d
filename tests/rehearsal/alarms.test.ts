import { describe, expect, test } from 'vitest';
import { alarmCase, summary, TROUBLES } from '../../scripts/alarm-cases.ts';
import { demoPlans } from '../demo-plans/demo-plans.ts';

/*
 * The small brother of `npm run bench:alarms`: a few seeds of what that measures with a thousand.
 */
const seeds = (count: number): number[] => Array.from({ length: count }, (_, seed) => seed);

test('on days as they are, with presses forgotten, alarms are few, hardly one grave, each with something to do, and none rings twice in a minute', () => {
  const reports = demoPlans.flatMap((plan) => seeds(3).map((seed) => alarmCase(plan, undefined, seed)));
  const all = summary(reports).ordinary.at(-1);
  expect(all).toMatchObject({
    plan: 'all',
    rehearsals: 3 * demoPlans.length,
    'without action': 0,
    'repeated in 1 min': 0,
    'not served': 0,
  });
  expect(all?.['high %']).toBeLessThan(5);
  expect(all?.['alarms in 10 min']).toBeLessThan(0.2);
  expect(all?.['most in 10 min']).toBeLessThanOrEqual(3);
});

describe('what is made to go wrong is told in time to do something about it', () => {
  test.each(TROUBLES)('%s', (trouble) => {
    const cases = ['gallery-opening', 'terrace-tea'].map((plan) => alarmCase(plan, trouble, 2));
    const counted = cases.filter(({ told }) => told !== 'came to nothing');
    expect(counted.length).toBeGreaterThan(0);
    expect(counted.map(({ plan, told }) => [plan, told])).toEqual(counted.map(({ plan }) => [plan, 'early']));
  });
});
