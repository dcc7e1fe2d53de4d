import { expect, test } from 'vitest';
import { componentId, stepId } from '../../src/plan/index.ts';
import { paintEnded } from '../../src/board/paint-ended.ts';
import { wordsOf } from '../../src/board/lines.ts';
import { boardView, endedView, endedWords, servedWords } from '../../src/view/index.ts';
import { TestRun } from '../support/bench.ts';
import { at, setupBy } from '../support/plans.ts';

/* What is told of a run that is over. */
const SETUP = setupBy(
  `
components:
  cream:
    steps:
      - cook: { takes: 8-10 min, hands: busy }
      - chill: { rest: 30 min - 3 h }
  finish:
    steps:
      - fill: { takes: 10 min, hands: busy, needs: [cream] }
`,
  '13:30',
  { 'cream.cook': '12:00-12:10', 'cream.chill': '12:10-13:10', 'finish.fill': '13:10-13:20' },
);
const cream = componentId('cream');

/** The cream boils too long, is lost, made again, and served late at a service that was moved. */
function late(rehearsal = false): TestRun {
  const run = new TestRun(rehearsal ? { ...SETUP, rehearsal: { seed: 4 } } : SETUP);
  const fill = stepId(componentId('finish'), 'fill');
  return run
    .space('12:00')
    .do('12:12', { kind: 'lost', component: cream })
    .do('12:13', { kind: 'start', step: stepId(cream, 'cook'), at: at('12:13') })
    .do('12:28', { kind: 'done', step: stepId(cream, 'cook'), at: at('12:28') })
    .do('12:29', { kind: 'start', step: stepId(cream, 'chill'), at: at('12:29') })
    .do('12:40', { kind: 'service moved', plan: 0, to: at('13:40') })
    .do('13:30', { kind: 'start', step: fill, at: at('13:30') })
    .clock('13:41')
    .do('13:43', { kind: 'served' });
}

test('what was served and how late, what took another time than the plan says, what was lost', () => {
  const { state } = late();
  const ended = endedView(state);
  expect(ended).toMatchObject({
    services: [
      { text: 'Test, 10 pieces: served at 13:43, 3 min late for 13:40 (told first: 13:30)', tone: 'care' },
    ],
    lengths: ['cream: cook took 15:00, the plan says 8-10 min'],
    losses: ['cream was made 2 times'],
  });
  expect(endedWords(ended).slice(0, 3)).toEqual([
    'longer or shorter than the plan says:',
    '  cream: cook took 15:00, the plan says 8-10 min',
    'cream was made 2 times',
  ]);
});

test('it stands on the board in place of empty rows', () => {
  const { state } = late();
  const view = boardView(state, at('13:44'), { axisWidth: 30 });
  if (!view.ended) throw new Error('it is not over');
  const rows = paintEnded(view.now, view.ended, 80, 21).map(wordsOf);
  expect(rows).toContain('   Test, 10 pieces: served at 13:43, 3 min late for 13:40 (told first: 13:30)');
  expect(rows).toContain('     cream: cook took 15:00, the plan says 8-10 min');
  expect(boardView(new TestRun(SETUP).state, at('12:00'), { axisWidth: 30 }).ended).toBeUndefined();
});

test('a rehearsal teaches nothing about how long things take', () => {
  expect(endedView(late(true).state).lengths).toEqual([]);
});

test('of several plans each is told', () => {
  const { state } = late();
  const { workload } = state.setup;
  const two = {
    ...state,
    timetable: { ...state.timetable, service: [at('13:40'), at('13:20')] },
    servings: [at('13:20'), at('13:43')],
    setup: {
      ...state.setup,
      timetable: { ...state.setup.timetable, service: [at('13:40'), at('13:20')] },
      workload: {
        ...workload,
        plans: workload.plans.flatMap((plan) => [plan, { ...plan, title: 'Tea' }]),
      },
    },
  };
  expect(servedWords(two)).toBe(
    '13:43:00 served: Test, 10 pieces, at 13:43, 3 min late for 13:40; Tea, 10 pieces, at 13:20, on time for 13:20',
  );
});
