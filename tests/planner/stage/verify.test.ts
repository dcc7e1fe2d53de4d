import { describe, expect, test } from 'vitest';
import type { Rundown, Showing, Swap } from '../../../src/planner/index.ts';
import { verifyRundown } from '../../../src/planner/stage/verify-rundown.ts';
import { plus, seconds, type EpochMs } from '../../../src/units/index.ts';
import { step } from '../../support/workloads.ts';
import { solvedRundown, staged } from './support.ts';

/** A batter that a helper pours and the presenter shows, a baked copy of it, and a sauce that is fetched. */
const workload = staged({
  kitchen: { ovens: [{}, {}] },
  components: {
    sauce: { keeps: '20 min', steps: [step('stir', { takes: '4 min', hands: 'busy' })] },
    cake: [
      step('whisk', { takes: '2 min', hands: 'busy' }),
      step('pour', { each: '12 s', hands: 'busy', within: '6 min' }),
      step('bake', { takes: '20 min', within: '4 min', oven: { at: '200 C', door: 'usable' } }),
      step('glaze', { each: '6 s', hands: 'busy', needs: ['sauce'] }),
    ],
  },
  demonstration: {
    lasts: '9 min',
    helper: true,
    ovens: ['oven 2'],
    backups: ['sauce'],
    shows: [
      { show: 'cake.whisk' },
      { talk: '2-4 min' },
      { show: 'cake.bake', first: '30 s' },
      { break: '2 min' },
      { show: 'cake.glaze' },
      { talk: '30 s' },
    ],
  },
});
const right = solvedRundown(workload);

const withShowing = (number: number, change: Partial<Showing>): Rundown => ({
  ...right,
  showings: right.showings.map((showing, index) => (index === number ? { ...showing, ...change } : showing)),
});
const withSwap = (id: string, change: Partial<Swap>): Rundown => ({
  ...right,
  swaps: right.swaps.map((swap) => (swap.id === id ? { ...swap, ...change } : swap)),
});
/** The timetable with a step moved by so many seconds. */
const moved = (id: string, by: number): Rundown => ({
  ...right,
  timetable: {
    ...right.timetable,
    steps: right.timetable.steps
      .map((each) =>
        each.step === id ? { ...each, start: plus(each.start, by), end: plus(each.end, by) } : each,
      )
      .toSorted((a, b) => a.start - b.start),
  },
});
const at = (number: number): Showing => {
  const showing = right.showings[number];
  if (!showing) throw new Error(`no showing ${number}`);
  return showing;
};
const later = (moment: EpochMs, by: number): EpochMs => plus(moment, by);

describe('a rundown held against its plan', () => {
  test('one that is right', () => {
    expect(verifyRundown(workload, right)).toEqual([]);
    expect(right.swaps.map(({ id, component }) => [id, component])).toEqual([
      ['A', 'cake'],
      ['B', 'sauce'],
    ]);
  });

  test.each<[string, Rundown, string]>([
    [
      'a showing that begins late',
      withShowing(2, { start: later(at(2).start, 10) }),
      'does not begin where the one before it ends',
    ],
    ['a showing that is left out', { ...right, showings: right.showings.slice(0, -1) }, '5 showings of 6'],
    ['a showing of another step', withShowing(4, { step: at(2).step }), 'does not show cake.glaze'],
    [
      'a demonstration that is too long',
      { ...right, lasts: seconds(480) },
      'it is not as long as it is to be',
    ],
    ['a talk beyond its range', withShowing(1, { start: later(at(1).start, -400) }), 'lasts 580 s'],
    [
      'a thing that was never on the table',
      withShowing(2, { from: { kind: 'nothing' } }),
      'is not begun on the table',
    ],
    [
      'a thing carried on from another',
      withShowing(4, { from: { kind: 'live', since: at(0).step, steps: [] } }),
      'is not what was shown before',
    ],
    [
      'work off view outside its time',
      withShowing(2, { from: { kind: 'live', since: at(0).step, steps: [] } }),
      'is carried on outside its time',
    ],
    [
      'a copy for another showing',
      withSwap('A', { for: at(2).step }),
      'is shown from A, which is not for it',
    ],
    [
      'a copy that is used too late',
      withSwap('B', { useBy: later(at(4).start, -1) }),
      'B is not right at its minute',
    ],
    [
      'a copy in another state',
      withSwap('B', { state: { kind: 'after', step: at(0).step } }),
      'B is made until',
    ],
    ['a backup that was forgotten', withSwap('B', { copies: 1, backups: 0 }), 'B has 1 copies'],
    [
      'a copy that is begun earlier than it says',
      withSwap('A', { starts: later(at(0).start, 0) }),
      'A is not begun when it says',
    ],
    ['a helper where there is none', { ...right, helper: false }, 'there is no helper'],
    [
      'one pair of hands in two places',
      { ...right, jobs: right.jobs.map((job) => ({ ...job, who: 'presenter' as const })) },
      'at once',
    ],
    [
      'a showing in the hands of the helper',
      {
        ...right,
        jobs: right.jobs.map((job) => (job.step === at(4).step ? { ...job, who: 'helper' as const } : job)),
      },
      'the presenter does not show',
    ],
    [
      'work that nobody does',
      { ...right, jobs: right.jobs.filter(({ step: id }) => id !== 'cake.pour') },
      'cake.pour is not in anybody',
    ],
    ['a step begun before what it follows', moved('cake.pour', -300), 'waits -'],
    ['a sauce that is not ready', moved('sauce B.stir', 600), 'has no sauce.stir that is right'],
    [
      'an oven that nobody sees',
      { ...right, ovens: { onStage: ['oven'], behind: ['oven 2'] } },
      'is shown in an oven that nobody sees',
    ],
  ])('%s', (_what, wrong, message) => {
    expect(verifyRundown(workload, wrong).join('\n')).toContain(message);
  });
});
