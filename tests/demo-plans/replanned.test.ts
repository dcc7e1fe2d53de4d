import { expect, test } from 'vitest';
import { wantsReplan, type BenchEvent, type RunSetup } from '../../src/bench/index.ts';
import { componentId, stepId, type StepId } from '../../src/plan/index.ts';
import {
  planTimetable,
  replan,
  verify,
  type Progress,
  type Proposal,
  type ReplanRequest,
} from '../../src/planner/index.ts';
import { rehearseToEnd, type Fault, type RehearsalEnd } from '../../src/rehearsal/index.ts';
import { minutes, secondsBetween } from '../../src/units/index.ts';
import { NOON } from '../support/plans.ts';
import { demoWorkload } from './demo-plans.ts';

/* Rehearsals of the gallery plan in which something goes wrong, with the real planner asked on the way. */
const workload = demoWorkload('gallery-opening');
const step = (component: string, name: string): StepId => stepId(componentId(component), name);

function gallery(): RunSetup {
  const result = planTimetable(workload, { service: { kind: 'soonest' }, now: NOON });
  if (!('timetable' in result)) throw new Error(`no timetable: ${result.status}`);
  return { run: 'gallery', workload, timetable: result.timetable, begunAt: NOON };
}

interface Lived {
  readonly end: RehearsalEnd;
  readonly offers: readonly { readonly progress: Progress; readonly proposal: Proposal }[];
}

/** The evening with a fault, and everything the planner offered. */
function lived(fault: Fault): Lived {
  const offers: Lived['offers'][number][] = [];
  const end = rehearseToEnd(gallery(), 4, {
    faults: [fault],
    replan(of, request: ReplanRequest) {
      const result = replan(of, request);
      if (result.kind === 'proposal') offers.push({ progress: request.progress, proposal: result });
      return result;
    },
  });
  return { end, offers };
}

const answers = ({ events }: RehearsalEnd): BenchEvent['kind'][] =>
  events.flatMap(({ kind }) =>
    ['proposed', 'not proposed', 'timetable', 'declined'].includes(kind) ? [kind] : [],
  );

const CASES: readonly (readonly [string, Fault])[] = [
  ['a cream that is 25 min late', { kind: 'late', step: step('cream', 'thicken'), factor: 3.2 }],
  [
    'a cream that is lost',
    { kind: 'lost', component: componentId('cream'), during: step('cream', 'thicken') },
  ],
  [
    'shells that are lost in the oven',
    { kind: 'lost', component: componentId('shells'), during: step('shells', 'bake low') },
  ],
  ['an oven that is wanted late', { kind: 'forgets', step: step('shells', 'bake high'), by: minutes(15) }],
];

test.each(CASES)(
  '%s: every offer keeps every rule it does not name, and changes what it says',
  (_name, fault) => {
    const { end, offers } = lived(fault);
    expect(end.ended).toBe('served');
    expect(offers.length).toBeGreaterThan(0);
    for (const { progress, proposal } of offers) {
      const { timetable, broken, serviceMoved, changes } = proposal;
      expect(verify(workload, timetable, { progress, broken, margins: 'drop' })).toEqual([]);
      const moved = timetable.service.flatMap((to, plan) =>
        to === progress.told.service[plan] ? [] : [plan],
      );
      expect(serviceMoved.map(({ plan }) => plan)).toEqual(moved);
      expect(changes.length).toBeGreaterThan(0);
      // Nothing is asked for at a time that has passed.
      const open = timetable.steps.filter(({ step: id }) => progress.steps[id]?.kind === 'open');
      expect(open.filter(({ start }) => secondsBetween(progress.now, start) < 0)).toEqual([]);
    }
    // None was refused by the bench, and nothing is left to answer.
    expect(end.events.filter((event) => event.kind === 'not proposed' && event.outcome === 'failed')).toEqual(
      [],
    );
    expect(wantsReplan(end.state)).toBeUndefined();
  },
);

test.each([CASES[1], CASES[3]].flatMap((each) => (each ? [each] : [])))(
  '%s: what keeps service is taken, and service is met',
  (_name, fault) => {
    const { end } = lived(fault);
    expect(answers(end)).toEqual(['proposed', 'timetable']);
    expect(end.ended === 'served' && end.late).toBe(0);
  },
);

test('shells lost so late that service cannot be kept: it is said by how much, and left to the cook', () => {
  const { end, offers } = lived(
    CASES[2]?.[1] ?? { kind: 'forgets', step: step('cream', 'warm'), by: minutes(0) },
  );
  const [moved] = offers[0]?.proposal.serviceMoved ?? [];
  expect(moved && secondsBetween(moved.from, moved.to)).toBeGreaterThan(600);
  expect(answers(end)).toContain('declined');
  expect(answers(end)).not.toContain('timetable');
});
