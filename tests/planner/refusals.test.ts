import { describe, expect, test } from 'vitest';
import { minutes } from '../../src/units/index.ts';
import { laidTogether, moment, step, workload } from '../support/workloads.ts';
import { planned, refusals } from './support/schedule.ts';

const busy = { hands: 'busy' } as const;
const kitchen = { ovens: [{ heats: 10, cools: 5, soak: minutes(10), shelves: 1 }] };

describe('what a single step asks for and the kitchen has not got', () => {
  test('every such step is named with its line', () => {
    const buns = workload({
      kitchen: { cooks: 0, near: 0, ovens: [{ shelves: 2 }], items: { tray: 2 } },
      components: {
        buns: [
          step('knead', { ...busy, takes: '5 min' }),
          step('watch', { hands: 'near', takes: '5 min' }),
          step('pipe', { takes: '5 min', uses: { tray: 3 } }),
          step('bake', { takes: '5 min', oven: { at: '200 C', shelves: 3 } }),
          step('dry', { takes: '5 min', oven: { at: '80 C', oven: 'attic' } }),
        ],
      },
    });
    expect(refusals(buns)).toEqual([
      'buns.knead (line 11) takes both hands, and the kitchen has no cook',
      'buns.watch (line 12) wants a cook near, and the kitchen allows no near steps',
      'buns.pipe (line 13) wants 3 x tray, and the kitchen has 2',
      'buns.bake (line 14) wants 3 shelves, and no oven has more than 2',
      'buns.dry (line 15) wants the oven "attic", and the kitchen has no such oven',
    ]);
  });

  test('an oven in a kitchen without one', () => {
    const buns = workload({
      kitchen: { ovens: [] },
      components: { buns: [step('bake', { takes: '5 min', oven: { at: '200 C' } })] },
    });
    expect(refusals(buns)).toEqual(['buns.bake (line 11) wants an oven, and the kitchen has none']);
  });
});

describe('times that cannot all hold', () => {
  test('a component that does not keep until it is used', () => {
    const pie = workload({
      components: {
        cream: { keeps: '30 min', steps: [step('cook', { takes: '10 min' })] },
        pie: [
          step('fill', { takes: '10 min', needs: ['cream'] }),
          step('bake', { takes: '25 min', needs: ['cream'] }),
          step('cool', { takes: '1 h' }),
        ],
      },
    });
    expect(refusals(pie)).toEqual([
      'cream keeps 30 min until pie.bake is over (line 10), but pie.fill needs cream.cook (line 13), pie.fill takes 10 min (line 13) and pie.bake takes 25 min (line 14)',
    ]);
  });

  test('two circles are told one after the other', () => {
    const two = workload({
      components: {
        a: [
          step('mix', { takes: '10 min' }),
          step('wait', { takes: '5 min', within: '2 min', needs: ['b'] }),
        ],
        b: [step('boil', { takes: '30 min', needs: ['a.mix'] })],
        c: { keeps: '5 min', steps: [step('make', { takes: '1 min' })] },
        d: [step('use', { takes: '9 min', needs: ['c'] })],
      },
    });
    expect(refusals(two)).toEqual([
      'a.wait must follow a.mix within 2 min (line 12), but b.boil needs a.mix (line 14), b.boil takes 30 min (line 14) and a.wait needs b.boil (line 12)',
      'c keeps 5 min until d.use is over (line 15), but d.use needs c.make (line 18) and d.use takes 9 min (line 18)',
    ]);
  });
});

describe('demands on the kitchen that clash', () => {
  test('two temperatures at once: both demands, how many ovens, and what ties them together', () => {
    const two = workload({
      kitchen,
      components: {
        lids: { keeps: '5 min', steps: [step('bake', { takes: '20 min', oven: { at: '160 C' } })] },
        shells: { keeps: '5 min', steps: [step('bake', { takes: '20 min', oven: { at: '220 C' } })] },
        nuts: [step('chop', { ...busy, takes: '10 min' })],
      },
    });
    expect(refusals(two)).toEqual([
      'lids.bake wants the oven at 160 C for 20 min (line 11) and shells.bake wants the oven at 220 C for 20 min (line 13): one oven; they cannot be moved apart, because lids keeps 5 min until service at 12:00 (line 10) and shells keeps 5 min until service at 12:00 (line 12)',
    ]);
    const result = planned(two);
    expect(result.status === 'infeasible' && result.reasons[0]?.steps).toEqual(['lids.bake', 'shells.bake']);
    expect(result.status === 'infeasible' && result.reasons[0]?.places.map((place) => place.line)).toEqual([
      11, 13, 10, 12,
    ]);
  });

  test('two pairs of hands wanted', () => {
    const rush = workload({
      components: {
        a: { keeps: '1 min', steps: [step('whip', { ...busy, takes: '10 min' })] },
        b: { keeps: '1 min', steps: [step('torch', { ...busy, takes: '10 min' })] },
        c: [step('plate', { ...busy, takes: '10 min' })],
      },
    });
    expect(refusals(rush)).toEqual([
      'a.whip takes both hands for 10 min (line 11) and b.torch takes both hands for 10 min (line 13): one cook; they cannot be moved apart, because a keeps 1 min until service at 12:00 (line 10) and b keeps 1 min until service at 12:00 (line 12)',
    ]);
  });

  test('one tool wanted twice; with several plans the file is named', () => {
    const bowl = {
      components: { a: { keeps: '0 min', steps: [step('beat', { takes: '10 min', uses: ['mixer'] })] } },
    };
    expect(refusals(laidTogether({}, { tea: bowl, supper: bowl }))).toEqual([
      'tea/a.beat uses the mixer for 10 min (tea.yaml line 11) and supper/a.beat uses the mixer for 10 min (supper.yaml line 11): one mixer; they cannot be moved apart, because tea/a does not keep and must be done just at service at 12:00 (tea.yaml line 10) and supper/a does not keep and must be done just at service at 12:00 (supper.yaml line 10)',
    ]);
  });
});

describe('too late', () => {
  const tart = workload({
    kitchen,
    components: {
      tart: [
        step('roll', { ...busy, takes: '30 min' }),
        step('bake', { takes: '20 min', oven: { at: '180 C' } }),
      ],
    },
  });

  test('it says by when work had to begin, and the soonest service that can be met', () => {
    expect(refusals(tart, { now: moment('2027-05-14 11:30') })).toEqual([
      'it is too late for service at 12:00: tart.roll would have had to begin by 11:10, and it is 11:30; the soonest service that can be met is 12:20',
    ]);
    expect(planned(tart, { now: moment('2027-05-14 11:10') }).status).toBe('optimal');
  });

  test('on another day the weekday stands with the time', () => {
    expect(
      refusals(tart, {
        now: moment('2027-05-14 23:30'),
        service: { kind: 'at', moments: [moment('2027-05-15 00:10')] },
      }),
    ).toEqual([
      'it is too late for service at Sat 00:10: tart.roll would have had to begin by 23:20, and it is 23:30; the soonest service that can be met is Sat 00:20',
    ]);
  });

  test('the oven may be what is late', () => {
    const quick = workload({
      kitchen,
      components: { tart: [step('bake', { takes: '5 min', oven: { at: '180 C' } })] },
    });
    expect(refusals(quick, { now: moment('2027-05-14 11:40') })).toEqual([
      'it is too late for service at 12:00: setting oven for tart.bake would have had to begin by 11:29, and it is 11:40; the soonest service that can be met is 12:11',
    ]);
  });
});
