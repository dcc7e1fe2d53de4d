import { expect, test } from 'vitest';
import { apply, begin, project, type BenchState, type RunSetup } from '../../src/bench/index.ts';
import { componentId, stepId } from '../../src/plan/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { plus } from '../../src/units/index.ts';
import { headlineOf } from '../../src/view/headline.ts';
import { moment, step, workload } from '../support/workloads.ts';

const SERVICE = moment('2027-05-14 19:30');

/** A soup that boils for 9 to 13 min, usually 10, then rests for a while and is ladled; work begins at 19:00. */
function setup(margin: string): RunSetup {
  const of = workload({
    margin,
    components: {
      soup: [
        step('boil', { takes: ['9 min', '13 min'], usually: '10 min', hands: 'near' }),
        step('ladle', { takes: ['3 min', '5 min'], usually: '4 min', hands: 'busy', within: '5 min' }),
      ],
    },
  });
  const planned = planTimetable(of, { service: { kind: 'at', moments: [SERVICE] } });
  if (!('timetable' in planned)) throw new Error('no timetable');
  const begunAt = planned.timetable.steps[0]?.start ?? SERVICE;
  return { run: 'soup', workload: of, timetable: planned.timetable, begunAt, keeps: 'promise' };
}

const named = (name: string) => stepId(componentId('soup'), name);

/** The run after these acts, so many minutes after its beginning. */
function lived(
  of: RunSetup,
  acts: readonly (readonly [minute: number, kind: 'start' | 'done', step: string])[],
) {
  return acts.reduce((state: BenchState, [minute, kind, name], index) => {
    const time = plus(of.begunAt, minute * 60);
    const event = { id: `e${index}`, time, source: 'cook', kind, step: named(name), at: time } as const;
    const outcome = apply(state, event);
    if (!outcome.ok) throw new Error(outcome.why);
    return outcome.state;
  }, begin(of));
}

/** What is said of the promise, each line with its minute. */
const said = ({ log, setup: { begunAt } }: BenchState): readonly string[] =>
  log
    .filter(({ kind }) => kind === 'note')
    .map(({ at, text }) => `${Math.round((at - begunAt) / 6000) / 10} ${text}`);

test('what takes longer than its range takes the promise away, and is said once', () => {
  const state = lived(setup('6 min'), [
    [0, 'start', 'boil'],
    [16, 'done', 'boil'],
    [16, 'start', 'ladle'],
  ]);
  expect(said(state)).toEqual([
    '0 promised: it holds whatever happens within the ranges',
    '13.7 no longer promised: soup: boil takes longer than its range',
  ]);
});

test('what is left is promised as soon as it holds, also where the whole could break', () => {
  const state = lived(setup('3 min'), [
    [0, 'start', 'boil'],
    [10, 'done', 'boil'],
  ]);
  expect(said(state)).toEqual([
    '10 promised from here: what is left holds whatever happens within the ranges',
  ]);
  expect(headlineOf(state, project(state, state.time), state.time)).toMatchObject({
    margin: '2 min in hand',
    promise: 'promised',
  });
});

test('an answer that comes too late takes it away', () => {
  const late = lived(setup('6 min'), [[5, 'start', 'boil']]);
  expect(said(late)).toEqual([
    '0 promised: it holds whatever happens within the ranges',
    '5 no longer promised: soup: boil began too late',
  ]);
  expect(headlineOf(late, project(late, late.time), late.time).promise).toBeUndefined();
});

test('a run that is not to keep a promise says nothing of one', () => {
  const { keeps: _, ...plain } = setup('6 min');
  const state = lived(plain, [[0, 'start', 'boil']]);
  expect(said(state)).toEqual([]);
  expect(state.promise).toBeUndefined();
});
