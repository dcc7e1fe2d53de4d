import { expect, test } from 'vitest';
import { apply, begin } from '../../src/bench/index.ts';
import { componentId, stepId } from '../../src/plan/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { plus } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';

const SERVICE = moment('2027-05-14 19:30');

test('a dough that wants no more than the warmth of the room goes into an oven that is off', () => {
  const of = workload({
    kitchen: { ambient: 30 },
    components: { dough: [step('proof', { takes: '40 min', oven: { at: '28 C' } })] },
  });
  const planned = planTimetable(of, { service: { kind: 'at', moments: [SERVICE] } });
  if (!('timetable' in planned)) throw new Error('no timetable');
  const begunAt = plus(SERVICE, -3600);
  const state = begin({ run: 'dough', workload: of, timetable: planned.timetable, begunAt });
  const time = plus(SERVICE, -40 * 60);
  const { calls } = apply(state, { id: 'later', time, source: 'clock', kind: 'clock' }).state;
  expect(calls.map(({ key }) => key)).toEqual(['start dough.proof#1']);
  const proof = stepId(componentId('dough'), 'proof');
  const going = apply(state, {
    id: 'start',
    time,
    source: 'cook',
    kind: 'start',
    step: proof,
    at: time,
  }).state;
  expect(going.ovens[0]?.heat).toMatchObject({ kind: 'at', temperature: { figure: 28 } });
});
