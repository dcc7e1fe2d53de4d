import { describe, expect, test } from 'vitest';
import {
  answer,
  apply,
  begin,
  type BenchEvent,
  type BenchState,
  type RunSetup,
} from '../../src/bench/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { later, plus, secondsBetween } from '../../src/units/index.ts';
import { NOON } from '../support/plans.ts';
import { demoPlans, demoWorkload } from './demo-plans.ts';

/** A hand that does nothing but press the space key, ten seconds after the topmost call is due. Gives the state at service. */
function spaceAlone(setup: RunSetup): { readonly state: BenchState; readonly presses: number } {
  let state = begin(setup);
  let presses = 0;
  for (let count = 0; count < 2000 && state.servedAt === undefined; count += 1) {
    const [call] = state.calls;
    const isDue = call !== undefined && call.due <= state.time;
    const next = isDue ? plus(later(call.due, state.time), 10) : state.deadline;
    if (next === undefined) throw new Error(`nothing lies ahead at ${state.time}`);
    const time = later(next, state.time);
    const event: BenchEvent = isDue
      ? { id: `e${count}`, time, source: 'cook', ...answer(call, time) }
      : { id: `e${count}`, time, source: 'clock', kind: 'clock' };
    const outcome = apply(state, event);
    if (!outcome.ok) throw new Error(outcome.why);
    if (isDue) presses += 1;
    state = outcome.state;
  }
  return { state, presses };
}

describe.each(demoPlans)('%s', (name) => {
  test('the space key alone leads from start to served, without a probe and on time', () => {
    const workload = demoWorkload(name);
    const result = planTimetable(workload, { service: { kind: 'soonest' }, now: NOON });
    if (result.status !== 'optimal') throw new Error(result.status);
    const { timetable } = result;
    const { state, presses } = spaceAlone({ run: 'space', workload, timetable, begunAt: NOON });
    const [service] = timetable.service;
    expect(state.servedAt && service && Math.abs(secondsBetween(service, state.servedAt))).toBeLessThan(60);
    // A hand that never reads a probe is told so where cooling rules are watched, and told nothing else.
    const alarms = state.log.filter((line) => line.kind === 'alarm').map((line) => line.text);
    const unread = workload.components.filter(({ cooling }) => cooling !== undefined);
    expect(alarms).toHaveLength(workload.kitchen.rules === undefined ? 0 : unread.length);
    expect(alarms.filter((text) => !text.includes('nothing has been read of it yet'))).toEqual([]);
    expect(presses).toBeGreaterThan(workload.components.flatMap((component) => component.steps).length);
  });
});
