import { describe, expect, test } from 'vitest';
import { celsius, minutes, seconds } from '../../src/units/index.ts';
import { laidTogether, moment, step, workload } from '../support/workloads.ts';
import { NOON, planned, schedule, timetableOf } from './support/schedule.ts';

const busy = { hands: 'busy' } as const;

describe('steps and waits', () => {
  test('steps follow each other and the last ends at service', () => {
    const buns = workload({
      components: { buns: [step('mix', { takes: '10 min' }), step('shape', { takes: '5 min' })] },
    });
    expect(schedule(buns)).toEqual(['11:45-11:55 buns.mix', '11:55-12:00 buns.shape']);
  });

  test('the usual length counts, rounded up to whole seconds', () => {
    const buns = workload({
      makes: 3,
      components: {
        buns: [
          step('pipe', { each: '2.5 s' }),
          step('rest', { takes: ['4 min', '9 min'], usually: '5 min' }),
        ],
      },
    });
    expect(schedule(buns)).toEqual(['11:54:52-11:55 buns.pipe', '11:55-12:00 buns.rest']);
  });

  test('everything is ready a margin before service, unless margins are dropped', () => {
    const buns = workload({ margin: '10 min', components: { buns: [step('mix', { takes: '10 min' })] } });
    expect(schedule(buns)).toEqual(['11:40-11:50 buns.mix']);
    expect(schedule(buns, { margins: 'drop' })).toEqual(['11:50-12:00 buns.mix']);
  });

  test('a wait is at least "after" and at most "within"', () => {
    const buns = workload({
      components: {
        buns: [
          step('mix', { ...busy, takes: '10 min' }),
          step('shape', { ...busy, takes: '5 min', after: '3 min', within: '4 min' }),
        ],
        glaze: [step('boil', { ...busy, takes: '5 min' })],
      },
    });
    expect(schedule(buns)).toEqual([
      '11:37-11:47 buns.mix',
      '11:50-11:55 buns.shape',
      '11:55-12:00 glaze.boil',
    ]);
  });

  test('a rest lasts longer than its least where that uses the hands better', () => {
    const dough = workload({
      components: {
        dough: [
          step('mix', { ...busy, takes: '10 min' }),
          step('prove', { rest: ['30 min', '50 min'], within: '0 min' }),
          step('shape', { ...busy, takes: '10 min', within: '0 min' }),
        ],
        other: [step('stir', { ...busy, takes: '40 min' }), step('fill', { ...busy, takes: '8 min' })],
      },
    });
    expect(schedule(dough)).toEqual([
      '10:52-11:02 dough.mix',
      '11:02-11:42 dough.prove',
      '11:02-11:42 other.stir',
      '11:42-11:52 dough.shape',
      '11:52-12:00 other.fill',
    ]);
  });

  test('what is needed is made before, and no longer before than it keeps', () => {
    const pie = workload({
      components: {
        cream: { keeps: '15 min', steps: [step('cook', { takes: '10 min' })] },
        pie: [step('fill', { takes: '10 min', needs: ['cream'] }), step('set', { takes: '1 h' })],
      },
    });
    expect(schedule(pie)).toEqual(['10:40-10:50 cream.cook', '10:50-11:00 pie.fill', '11:00-12:00 pie.set']);
  });
});

describe('hands and equipment', () => {
  const two = (spec: Parameters<typeof step>[1], kitchen = {}): ReturnType<typeof workload> =>
    workload({
      kitchen,
      components: { a: [step('do', spec)], b: [step('do', { ...spec, takes: '9 min' })] },
    });

  test('one cook does one thing at a time, two cooks do two', () => {
    expect(schedule(two({ ...busy, takes: '10 min' }))).toEqual(['11:41-11:51 a.do', '11:51-12:00 b.do']);
    expect(schedule(two({ ...busy, takes: '10 min' }, { cooks: 2 }))).toEqual([
      '11:50-12:00 a.do',
      '11:51-12:00 b.do',
    ]);
  });

  test('near steps overlap with each other up to the limit, and with a busy one', () => {
    expect(schedule(two({ hands: 'near', takes: '10 min' }, { near: 1 }))).toEqual([
      '11:41-11:51 a.do',
      '11:51-12:00 b.do',
    ]);
    const beside = workload({
      kitchen: { near: 1 },
      components: {
        a: [step('stir', { hands: 'near', takes: '10 min' })],
        b: [step('knead', { ...busy, takes: '10 min' })],
      },
    });
    expect(schedule(beside)).toEqual(['11:50-12:00 a.stir', '11:50-12:00 b.knead']);
  });

  test('steps without length take nothing', () => {
    const instant = workload({
      components: {
        a: [step('knead', { ...busy, takes: '10 min' })],
        b: [step('ring', { ...busy, takes: '0 min' }), step('wait', { takes: '5 min' })],
      },
    });
    expect(schedule(instant)).toEqual(['11:50-12:00 a.knead', '11:55-11:55 b.ring', '11:55-12:00 b.wait']);
  });

  test('no more is used of an item than there is', () => {
    expect(schedule(two({ takes: '10 min', uses: { bowl: 2 } }, { items: { bowl: 3 } }))).toEqual([
      '11:41-11:51 a.do',
      '11:51-12:00 b.do',
    ]);
    expect(schedule(two({ takes: '10 min', uses: { bowl: 2 } }, { items: { bowl: 4 } }))).toEqual([
      '11:50-12:00 a.do',
      '11:51-12:00 b.do',
    ]);
  });

  test('a held item stays taken to the end of the later step, and own steps use the held one', () => {
    const trays = workload({
      kitchen: { items: { tray: 1 } },
      components: {
        buns: [
          step('pipe', { takes: '5 min', uses: ['tray'], holds: [{ item: 'tray', until: 'finish.fill' }] }),
          step('cool', { takes: '5 min', uses: ['tray'] }),
        ],
        finish: [step('fill', { takes: '5 min', needs: ['buns'], uses: ['tray'] })],
        nuts: [step('roast', { takes: '4 min', uses: ['tray'] })],
      },
    });
    expect(schedule(trays)).toEqual([
      '11:41-11:46 buns.pipe',
      '11:46-11:51 buns.cool',
      '11:51-11:56 finish.fill',
      '11:56-12:00 nuts.roast',
    ]);
  });
});

/*
 * By hand, in a room of 20 C: with 10 C/min to 200 C the time constant of heating is 18 min / ln(380 / 200) = 28.044 min, with
 * 5 C/min from 220 to 180 C that of cooling is 8 min / ln(200 / 160) = 35.851 min. So from the room it takes 12:54 to 160 C,
 * 15:20 to 180 C and 20:58 to 220 C; from 160 to 220 C 8:05, from 180 to 220 C 5:38; each in whole seconds, rounded up with the
 * soak of 10 min.
 */
describe('ovens', () => {
  const kitchen = { ovens: [{ heats: 10, cools: 5, soak: minutes(10), shelves: 2 }] };
  const bake = (at: string, more = {}): ReturnType<typeof step> =>
    step('bake', { takes: '20 min', oven: { at, ...more } });

  test('the oven is set so early that it is hot and soaked, and off at the end', () => {
    const tart = workload({ kitchen, components: { tart: [bake('180 C')] } });
    expect(schedule(tart)).toEqual(['11:14:40 oven 180 C', '11:40-12:00 tart.bake', '12:00 oven off']);
  });

  test('two temperatures: in the order that lets work begin later, with time to change between', () => {
    const two = workload({ kitchen, components: { a: [bake('160 C')], b: [bake('220 C')] } });
    expect(schedule(two)).toEqual([
      '10:39:01 oven 160 C',
      '11:01:55-11:21:55 a.bake',
      '11:21:55 oven 220 C',
      '11:40-12:00 b.bake',
      '12:00 oven off',
    ]);
  });

  test('within the tolerance two loads share the oven, as long as the shelves last', () => {
    const share = (shelves: number): string[] =>
      schedule(
        workload({
          kitchen,
          components: { a: [bake('180 C', { shelves })], b: [bake('184 C', { shelves })] },
        }),
      ).filter((line) => line.includes('bake'));
    expect(share(1)).toEqual(['11:40-12:00 a.bake', '11:40-12:00 b.bake']);
    expect(share(2)).toEqual(['11:20-11:40 a.bake', '11:40-12:00 b.bake']);
  });

  test('nothing goes in or out while a door must stay shut', () => {
    const doors = (door: 'shut' | 'usable'): string[] =>
      schedule(
        workload({
          kitchen,
          components: {
            a: [bake('180 C', { door })],
            b: [
              step('warm', { takes: '5 min', oven: { at: '180 C', door } }),
              step('plate', { takes: '5 min' }),
            ],
          },
        }),
      ).filter((line) => !line.includes('oven'));
    expect(doors('usable')).toEqual(['11:40-12:00 a.bake', '11:50-11:55 b.warm', '11:55-12:00 b.plate']);
    expect(doors('shut')).toEqual(['11:35-11:40 b.warm', '11:40-12:00 a.bake', '11:55-12:00 b.plate']);
  });

  test('a load that stays in while the setting falls waits for nothing; one that follows after a rise does', () => {
    const fall = workload({
      kitchen,
      components: {
        puffs: [
          bake('220 C'),
          step('finish', { takes: '10 min', within: '0 min', oven: { at: '180 C' } }),
          step('dry', { takes: '10 min', within: '0 min', oven: { door: 'ajar' } }),
        ],
      },
    });
    expect(schedule(fall)).toEqual([
      '10:49:02 oven 220 C',
      '11:20-11:40 puffs.bake',
      '11:40 oven 180 C',
      '11:40-11:50 puffs.finish',
      '11:50 oven off',
      '11:50-12:00 puffs.dry',
    ]);
    const rise = workload({
      kitchen,
      components: { bread: [bake('180 C'), step('crust', { takes: '10 min', oven: { at: '220 C' } })] },
    });
    expect(schedule(rise)).toEqual([
      '10:49:02 oven 180 C',
      '11:14:22-11:34:22 bread.bake',
      '11:34:22 oven 220 C',
      '11:50-12:00 bread.crust',
      '12:00 oven off',
    ]);
  });

  test('an ajar or switched-off oven is shared with nobody, and counts as cold afterwards', () => {
    const dry = workload({
      kitchen,
      components: {
        a: [step('dry', { takes: '30 min', oven: { off: true, door: 'ajar' } })],
        b: [bake('180 C'), step('cool', { takes: '1 h' })],
      },
    });
    expect(schedule(dry)).toEqual([
      '10:14:40 oven 180 C',
      '10:40-11:00 b.bake',
      '11:00-12:00 b.cool',
      '11:30 oven off',
      '11:30-12:00 a.dry',
    ]);
  });

  test('a load that tolerates both settings stays in while the oven is turned down for another', () => {
    const warm = workload({
      kitchen: { ovens: [{ heats: 10, cools: 5, soak: minutes(10), shelves: 2, tolerance: celsius(10) }] },
      components: {
        a: [
          step('high', { takes: '8 min', oven: { at: '100 C', door: 'usable' } }),
          step('low', { takes: '4 min', within: '0 min', oven: { at: '80 C', door: 'usable' } }),
        ],
        b: [step('keep', { takes: '12 min', oven: { at: '90 C', door: 'usable' } })],
      },
    });
    expect(schedule(warm)).toEqual([
      // 28.044 min x ln(380 / 300) and the soak: 16:38.
      '11:31:22 oven 100 C',
      '11:48-11:56 a.high',
      '11:48-12:00 b.keep',
      '11:56 oven 80 C',
      '11:56-12:00 a.low',
      '12:00 oven off',
    ]);
  });

  test('an oven that idles for long is switched off in between', () => {
    const days = workload({
      kitchen,
      components: {
        a: [
          bake('180 C'),
          step('rest', { rest: ['5 h'] }),
          step('again', { takes: '20 min', oven: { at: '180 C' } }),
        ],
      },
    });
    expect(schedule(days)).toEqual(
      [
        '05:54:40 oven 180 C',
        '06:20-06:40 a.bake',
        '06:40-11:40 a.rest',
        '06:40 oven off',
        '11:14:40 oven 180 C',
        '11:40-12:00 a.again',
        '12:00 oven off',
      ].toSorted(),
    );
  });

  test('with two ovens nothing waits; a named oven is kept to; a run stays in one oven', () => {
    const ovens = [{}, { name: 'deck', heats: 12, soak: seconds(0) }];
    const two = workload({
      kitchen: { ovens },
      components: {
        a: [bake('160 C')],
        b: [bake('220 C', { oven: 'deck' })],
        c: [
          step('cake', { takes: '20 min', oven: { at: '160 C' } }),
          step('low', { takes: '20 min', within: '0 min', oven: { at: '140 C' } }),
          step('cool', { takes: '20 min' }),
        ],
      },
    });
    const { steps } = timetableOf(planned(two));
    const ovenOf = new Map(steps.map((entry) => [String(entry.step), entry.oven]));
    expect(ovenOf.get('b.bake')).toBe('deck');
    expect(ovenOf.get('c.cake')).toBe(ovenOf.get('c.low'));
    expect(steps.filter((entry) => entry.end === NOON).map((entry) => entry.step)).toEqual([
      'a.bake',
      'b.bake',
      'c.cool',
    ]);
  });
});

describe('service', () => {
  const tart = workload({ components: { tart: [step('bake', { takes: '20 min', oven: { at: '180 C' } })] } });

  test('the soonest: nothing before now, the oven heated first, service on a whole minute', () => {
    const soonest = { service: { kind: 'soonest' }, now: moment('2027-05-14 09:00:10') } as const;
    expect(schedule(tart, soonest)).toEqual([
      '09:00:40 oven 180 C',
      '09:26-09:46 tart.bake',
      '09:46 oven off',
    ]);
    expect(timetableOf(planned(tart, soonest)).service).toEqual([moment('2027-05-14 09:46')]);
  });

  test('two plans on one kitchen each have their service', () => {
    const two = laidTogether(
      {},
      {
        early: { components: { a: [step('do', { ...busy, takes: '10 min' })] } },
        late: { components: { a: [step('do', { ...busy, takes: '10 min' })] } },
      },
    );
    const service = { kind: 'at', moments: [moment('2027-05-14 11:00'), NOON] } as const;
    expect(schedule(two, { service })).toEqual(['10:50-11:00 early/a.do', '11:50-12:00 late/a.do']);
    expect(() => planned(two, { service: { kind: 'at', moments: [NOON] } })).toThrow(RangeError);
  });

  test('the soonest service without a now is our own mistake', () => {
    expect(() => planned(tart, { service: { kind: 'soonest' } })).toThrow(RangeError);
  });

  test('an effort that is too small is said, and the same effort gives the same answer', () => {
    const crowd = workload({
      components: Object.fromEntries(
        'abcdefgh'
          .split('')
          .map((name, index) => [
            name,
            [step('do', { ...busy, takes: `${3 + index} min` }), step('set', { takes: `${7 * index} min` })],
          ]),
      ),
    });
    expect(planned(crowd, { effort: 100 })).toEqual({
      status: 'unknown',
      work: expect.any(Number) as number,
    });
    const some = planned(crowd, { effort: 50_000 });
    expect(planned(crowd, { effort: 50_000 })).toEqual(some);
    expect(planned(crowd).status).toBe('optimal');
  });
});
