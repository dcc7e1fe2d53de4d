import { describe, expect, test } from 'vitest';
import { planDemonstration, verify } from '../../../src/planner/index.ts';
import { plus } from '../../../src/units/index.ts';
import { step } from '../../support/workloads.ts';
import { EIGHT, refusal, solvedRundown, staged, told, type DemonstrationSpec } from './support.ts';

/** Shells whose paste may wait five minutes, and a cream that must be on ice within three. */
const shells = (demonstration: Partial<DemonstrationSpec>) =>
  staged({
    kitchen: { ovens: [{}, {}] },
    components: {
      cream: [
        step('thicken', { takes: '5 min', hands: 'busy' }),
        step('ice', { rest: ['10 min', '30 min'], within: '3 min' }),
        step('chill', { rest: ['3 h', '20 h'] }),
      ],
      shells: {
        keeps: '6 h',
        steps: [
          step('beat', { takes: '5 min', hands: 'busy' }),
          step('pipe', { each: '12 s', hands: 'busy', within: '5 min' }),
          step('bake', { takes: '20 min', within: '4 min', oven: { at: '200 C', door: 'usable' } }),
        ],
      },
      finish: [step('fill', { each: '6 s', hands: 'busy', needs: ['cream', 'shells'] })],
    },
    demonstration: {
      lasts: '12 min',
      shows: [
        { show: 'shells.beat' },
        { talk: '3-5 min' },
        { show: 'shells.bake', first: '30 s' },
        { talk: '2-4 min' },
        { show: 'shells.bake', last: '30 s' },
      ],
      ...demonstration,
    },
  });

describe('what is shown, and from what', () => {
  test('a helper pipes what was beaten on the table; what takes longer than the air time is a swap', () => {
    const rundown = solvedRundown(shells({ helper: true }));
    expect(told(rundown)).toEqual([
      '0:00 shells.beat whole',
      '5:00 talk',
      '8:30 shells.bake first carried on',
      '9:00 talk',
      '11:30 shells.bake last from A',
    ]);
    expect(rundown.swaps).toHaveLength(1);
    expect(rundown.swaps[0]).toMatchObject({
      id: 'A',
      component: 'shells',
      state: { kind: 'inside', step: 'shells.bake', left: 30 },
      use: 'shown',
      copies: 1,
      ready: plus(EIGHT, 690),
      usableFrom: plus(EIGHT, 690),
      useBy: plus(EIGHT, 690),
    });
    expect(rundown.proven).toBe(true);
  });

  test('without a helper nobody pipes it in time, and that is said', () => {
    expect(refusal(shells({}))).toBe(
      'line 103, shells.bake 8 min 30 s into the air: no copy can be right for it: shells.pipe takes both hands for 2 min (line 16): one cook; it cannot be moved, because shells.bake first must follow shells.pipe within 4 min (line 17); meanwhile it is on air; what was shown of it 0 s into the air cannot be carried on in the 3 min 30 s between: shells.pipe takes both hands for 2 min (line 16): one cook; meanwhile it is on air',
    );
  });

  test('in a break the presenter pipes it', () => {
    const rundown = solvedRundown(
      shells({
        shows: [
          { show: 'shells.beat' },
          { break: '2-5 min' },
          { show: 'shells.bake', first: '30 s' },
          { talk: '2-4 min' },
          { show: 'shells.bake', last: '30 s' },
        ],
      }),
    );
    expect(told(rundown)[2]).toMatch(/shells.bake first carried on/);
    const piping = rundown.jobs.find(({ step: id }) => id === 'shells.pipe');
    expect(piping).toMatchObject({ who: 'presenter', onView: false });
  });

  test('the finished plate is made of every component, and what a showing needs is fetched', () => {
    const rundown = solvedRundown(
      shells({
        lasts: '3 min',
        shows: [{ talk: '60-90 s' }, { show: 'finish.fill' }, { beauty: '20-40 s' }],
      }),
    );
    expect(told(rundown)).toEqual([
      '0:00 talk',
      '1:25 finish.fill whole with A with B',
      '2:25 beauty from C',
    ]);
    expect(rundown.swaps.map(({ id, component, use, made }) => [id, component, use, made])).toEqual([
      ['A', 'cream', 'needed', ['cream A']],
      ['B', 'shells', 'needed', ['shells B']],
      ['C', 'finish', 'beauty', ['finish C', 'cream for C', 'shells for C']],
    ]);
  });

  test('a backup is made in the same making: twice the pieces, one pot', () => {
    const rundown = solvedRundown(
      shells({
        lasts: '3 min',
        backups: ['shells', 'cream'],
        shows: [{ talk: '60-90 s' }, { show: 'finish.fill' }, { talk: '20-40 s' }],
      }),
    );
    expect(rundown.swaps.map(({ copies, backups, factor }) => [copies, backups, factor])).toEqual([
      [2, 1, 2],
      [2, 1, 2],
    ]);
    const steps = new Map(
      rundown.workload.components.flatMap((each) => each.steps).map((each) => [String(each.id), each]),
    );
    expect(steps.get('shells B.pipe')?.length).toMatchObject({
      kind: 'each',
      pieces: 20,
      range: { usual: 240 },
    });
    expect(steps.get('shells B.bake')?.oven?.shelves).toBe(2);
    expect(steps.get('cream A.thicken')?.length).toMatchObject({ range: { usual: 300 } });
  });

  test('where they cannot be made together, the backup has a making of its own', () => {
    const rundown = solvedRundown(
      staged({
        kitchen: { ovens: [{ shelves: 1 }] },
        components: {
          nuts: [step('chop', { takes: '2 min', hands: 'busy' })],
          tart: {
            steps: [
              step('shape', { each: '6 s', hands: 'busy', needs: ['nuts'] }),
              step('bake', { takes: '10 min', within: '30 min', oven: { at: '180 C', door: 'usable' } }),
              step('fill', { takes: '60 s', hands: 'busy', within: '45 min' }),
            ],
          },
        },
        demonstration: {
          lasts: '3 min',
          backups: ['tart'],
          shows: [{ talk: '2 min' }, { show: 'tart.fill' }],
        },
      }),
    );
    expect(told(rundown)).toEqual(['0:00 talk', '2:00 tart.fill whole from A']);
    const [swap] = rundown.swaps;
    expect(swap).toMatchObject({ copies: 2, backups: 1, factor: 2 });
    expect(swap?.made).toEqual(['tart A', 'nuts for A', 'tart A backup', 'nuts for A 2']);
    const bakes = rundown.timetable.steps.filter(({ step: id }) => id.endsWith('.bake'));
    expect(bakes.map(({ step: id }) => id).toSorted()).toEqual(['tart A backup.bake', 'tart A.bake']);
    expect(swap?.usableFrom).toBe(Math.max(...bakes.map(({ end }) => end)));
    expect(swap?.useBy).toBe(Math.min(...bakes.map(({ end }) => end)) + 45 * 60_000);
  });

  test('what is never fetched has no backup, and that is told', () => {
    const made = shells({
      lasts: '6 min',
      backups: ['shells'],
      shows: [{ show: 'shells.beat' }, { talk: '60 s' }],
    });
    expect(solvedRundown(made).unbacked).toEqual(['shells']);
  });

  test('an oven that the audience sees is the one that is shown', () => {
    const rundown = solvedRundown(shells({ helper: true, ovens: ['oven 2'] }));
    const ovens = new Map(rundown.timetable.steps.map(({ step: id, oven }) => [String(id), oven]));
    expect(ovens.get('shells.bake first')).toBe('oven 2');
    expect(ovens.get('shells A.bake last')).toBe('oven 2');
    expect(rundown.ovens).toEqual({ onStage: ['oven 2'], behind: ['oven'] });
  });
});

describe('several ovens that the audience sees', () => {
  const two = (ovens: readonly string[]) =>
    staged({
      kitchen: { ovens: [{ name: 'left' }, { name: 'right' }, { name: 'behind' }] },
      components: Object.fromEntries(
        ['nuts', 'meringue'].map((name, index) => [
          name,
          [
            step('lay', { takes: '1 min', hands: 'busy' }),
            step('bake', { takes: '20 min', within: '0 min', oven: { at: index === 0 ? '200 C' : '100 C' } }),
          ],
        ]),
      ),
      demonstration: {
        lasts: '4 min',
        ovens,
        shows: [
          { show: 'nuts.lay' },
          { show: 'nuts.bake', first: '30 s' },
          { show: 'meringue.lay' },
          { show: 'meringue.bake', first: '30 s' },
          { talk: '60 s' },
        ],
      },
    });

  test('each goes to one of them, as they can', () => {
    const { timetable, workload } = solvedRundown(two(['left', 'right']));
    const ovens = timetable.steps.flatMap(({ oven }) => oven ?? []);
    expect(ovens.toSorted()).toEqual(['left', 'right']);
    const named = workload.components.flatMap(({ steps }) => steps.flatMap(({ oven }) => oven ?? []));
    expect(named.map(({ oven, among }) => [oven, among])).toEqual(ovens.map((oven) => [oven, undefined]));
  });

  test('where one is not enough, that is the reason', () => {
    expect(refusal(two(['left']))).toMatch(/100 C/);
  });
});

describe('when', () => {
  test('each showing stands at its minute, and the timetable is one that the planner verifies', () => {
    const rundown = solvedRundown(shells({ helper: true }));
    expect(rundown.begins).toBe(EIGHT);
    expect(rundown.ends).toBe(plus(EIGHT, 720));
    rundown.showings.reduce((at, showing) => {
      expect(showing.start).toBe(at);
      return showing.end;
    }, rundown.begins);
    expect(verify(rundown.workload, rundown.timetable)).toEqual([]);
  });

  test('as soon as can be', () => {
    const demo = shells({ helper: true });
    const rundown = solvedRundown(demo, { when: { kind: 'soonest' }, now: EIGHT });
    expect(rundown.begins).toBeGreaterThan(plus(EIGHT, 12 * 60));
    expect(Math.min(...rundown.timetable.settings.map(({ at }) => at))).toBeGreaterThanOrEqual(EIGHT);
  });

  test('too late to begin is said, with the soonest', () => {
    const request = { when: { kind: 'on air' as const, at: EIGHT }, now: plus(EIGHT, -600) };
    expect(refusal(shells({ helper: true }), request)).toMatch(
      /^it cannot go on air at 20:00: work ahead would have to begin at 19:\d\d, and it is 19:50; the soonest is 20:\d\d$/,
    );
  });

  test('a plan without a demonstration, and no now for the soonest, are mistakes of the caller', () => {
    const demo = shells({});
    const plain = { ...demo, plans: demo.plans.map(({ demonstration: _demonstration, ...plan }) => plan) };
    expect(() => planDemonstration(plain, { when: { kind: 'on air', at: EIGHT } })).toThrow(RangeError);
    expect(() => planDemonstration(demo, { when: { kind: 'soonest' } })).toThrow(RangeError);
  });
});
