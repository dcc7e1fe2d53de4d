import type { Workload } from '../../../src/plan/index.ts';
import type { PlanRequest } from '../../../src/planner/index.ts';
import { minutes } from '../../../src/units/index.ts';
import { laidTogether, moment, step, workload } from '../../support/workloads.ts';

/** A plan without a timetable, and what is asked of it. */
export interface Impossible {
  readonly workload: Workload;
  readonly request: PlanRequest;
}

const NOON = moment('2027-05-14 12:00');
const busy = { hands: 'busy' } as const;
const near = { hands: 'near' } as const;
const one = { ovens: [{ heats: 10, cools: 5, soak: minutes(10), shelves: 1 }] };

const atNoon = (given: Workload, more: Partial<PlanRequest> = {}): Impossible => ({
  workload: given,
  request: { service: { kind: 'at', moments: given.plans.map(() => NOON) }, ...more },
});

/** With work only from eight to two, from Monday to Friday. */
export function onWeekdays(given: Workload): Workload {
  const day = { from: { hour: 8, minute: 0 }, to: { hour: 14, minute: 0 } };
  return { ...given, kitchen: { ...given.kitchen, hours: [day, day, day, day, day, 'off', 'off'] } };
}

/** Plans that cannot work, each for another reason. Service is at noon. */
export const impossible = {
  'one oven, two temperatures': atNoon(
    workload({
      kitchen: one,
      components: {
        lids: { keeps: '5 min', steps: [step('bake', { takes: '14 min', oven: { at: '160 C' } })] },
        shells: { keeps: '5 min', steps: [step('bake', { takes: '20 min', oven: { at: '220 C' } })] },
        nuts: [step('chop', { ...busy, takes: '10 min' })],
      },
    }),
  ),
  'the oven cannot fall so fast': atNoon(
    workload({
      kitchen: one,
      components: {
        crust: [step('bake', { takes: '20 min', oven: { at: '220 C' } })],
        custard: {
          keeps: '10 min',
          steps: [
            step('fill', { ...busy, takes: '5 min', needs: ['crust'] }),
            step('bake', { takes: '30 min', within: '5 min', oven: { at: '120 C' } }),
          ],
        },
        crumble: { keeps: '15 min', steps: [step('bake', { takes: '10 min', oven: { at: '220 C' } })] },
      },
    }),
  ),
  'a door that must stay shut': atNoon(
    workload({
      kitchen: { ovens: [{ heats: 10, cools: 5, soak: minutes(10), shelves: 2 }] },
      components: {
        puffs: {
          keeps: '2 min',
          steps: [step('bake', { takes: '25 min', oven: { at: '190 C', door: 'shut' } })],
        },
        nuts: {
          keeps: '8 min',
          steps: [step('toast', { takes: '8 min', oven: { at: '190 C', door: 'usable' } })],
        },
      },
    }),
  ),
  'one pair of hands': atNoon(
    workload({
      components: {
        cream: { keeps: '1 min', steps: [step('whip', { ...busy, takes: '10 min' })] },
        meringue: { keeps: '1 min', steps: [step('torch', { ...busy, takes: '10 min' })] },
        berries: [step('hull', { ...busy, takes: '10 min' })],
      },
    }),
  ),
  'three near steps at once': atNoon(
    workload({
      kitchen: { near: 2 },
      components: {
        syrup: { keeps: '2 min', steps: [step('boil', { ...near, takes: '12 min', uses: ['hob'] })] },
        milk: { keeps: '2 min', steps: [step('warm', { ...near, takes: '12 min' })] },
        jam: { keeps: '2 min', steps: [step('set', { ...near, takes: '12 min' })] },
      },
    }),
  ),
  'the mixer, in two plans': atNoon(
    laidTogether(
      {},
      {
        tea: {
          components: {
            batter: { keeps: '0 min', steps: [step('beat', { takes: '10 min', uses: ['mixer'] })] },
          },
        },
        supper: {
          components: {
            mash: { keeps: '0 min', steps: [step('beat', { takes: '10 min', uses: ['mixer'] })] },
          },
        },
      },
    ),
  ),
  'trays that are held': atNoon(
    workload({
      kitchen: { items: { tray: 3 } },
      components: {
        buns: {
          keeps: '10 min',
          steps: [
            step('shape', {
              ...busy,
              takes: '10 min',
              holds: [{ item: 'tray', count: 2, until: 'buns.rise' }],
            }),
            step('rise', { rest: ['40 min', '50 min'], within: '0 min' }),
          ],
        },
        rolls: {
          keeps: '10 min',
          steps: [
            step('shape', {
              ...busy,
              takes: '10 min',
              holds: [{ item: 'tray', count: 2, until: 'rolls.rise' }],
            }),
            step('rise', { rest: ['40 min', '50 min'], within: '0 min' }),
          ],
        },
      },
    }),
  ),
  'cream that does not keep': atNoon(
    workload({
      components: {
        cream: { keeps: '15 min', steps: [step('beat', { ...busy, takes: '5 min' })] },
        cake: [
          step('spread', { ...busy, takes: '10 min', needs: ['cream'] }),
          step('stack', { ...busy, takes: '10 min', within: '5 min', needs: ['cream'] }),
        ],
      },
    }),
  ),
  'a wait that is too short': atNoon(
    workload({
      components: {
        sugar: [
          step('boil', { ...busy, takes: '12 min' }),
          step('pour', { ...busy, takes: '2 min', within: '1 min', needs: ['nuts'] }),
        ],
        nuts: { keeps: '10 min', steps: [step('chop', { ...busy, takes: '6 min' })] },
      },
    }),
  ),
  'a rest that ends too soon': atNoon(
    workload({
      components: {
        dough: [
          step('mix', { ...busy, takes: '10 min' }),
          step('prove', { rest: ['40 min', '1 h'], within: '0 min' }),
          step('shape', { ...busy, takes: '15 min', within: '0 min', needs: ['filling'] }),
        ],
        filling: {
          steps: [
            step('cook', { ...busy, takes: '50 min', needs: ['dough.mix'] }),
            step('cool', { takes: '20 min' }),
          ],
        },
      },
    }),
  ),
  'too late': atNoon(
    workload({
      kitchen: one,
      components: {
        tart: [
          step('roll', { ...busy, takes: '30 min' }),
          step('bake', { takes: '20 min', oven: { at: '180 C' } }),
        ],
        sauce: [step('stir', { ...busy, takes: '25 min' })],
      },
    }),
    { now: moment('2027-05-14 11:10') },
  ),
  'too late for the margin': atNoon(
    workload({
      margin: '20 min',
      components: { tart: [step('roll', { ...busy, takes: '30 min' })] },
    }),
    { now: moment('2027-05-14 11:18') },
  ),
  'too late, two plans': atNoon(
    laidTogether(
      {},
      {
        tea: { components: { scones: [step('rub', { ...busy, takes: '20 min' })] } },
        supper: { components: { broth: [step('simmer', { takes: '2 h' })] } },
      },
    ),
    {
      now: moment('2027-05-14 11:00'),
      service: { kind: 'at', moments: [NOON, moment('2027-05-14 12:40')] },
    },
  ),
  'two plans at one hour': atNoon(
    laidTogether(
      {},
      {
        tea: {
          components: { scones: { keeps: '5 min', steps: [step('split', { ...busy, takes: '12 min' })] } },
        },
        supper: {
          components: { eggs: { keeps: '5 min', steps: [step('poach', { ...busy, takes: '12 min' })] } },
        },
      },
    ),
  ),
  'three loads, of which any two would do': atNoon(
    workload({
      kitchen: { ovens: [{ heats: 20, cools: 10, soak: minutes(2), shelves: 1 }] },
      components: {
        figs: { keeps: '20 min', steps: [step('roast', { takes: '10 min', oven: { at: '180 C' } })] },
        buns: { keeps: '20 min', steps: [step('bake', { takes: '12 min', oven: { at: '180 C' } })] },
        nuts: { keeps: '20 min', steps: [step('toast', { takes: '11 min', oven: { at: '180 C' } })] },
      },
    }),
  ),
  'more shelves and trays than there are': atNoon(
    workload({
      kitchen: { ovens: [{ shelves: 2 }], items: { tray: 2 } },
      components: {
        buns: [
          step('pipe', { ...busy, takes: '5 min', uses: { tray: 3 } }),
          step('bake', { takes: '20 min', oven: { at: '200 C', shelves: 3 }, uses: { tray: 3 } }),
        ],
      },
    }),
  ),
  'an oven that is not there': atNoon(
    workload({
      components: { buns: [step('bake', { takes: '20 min', oven: { at: '200 C', oven: 'attic' } })] },
    }),
  ),
  'nobody to cook': atNoon(
    workload({
      kitchen: { cooks: 0 },
      components: { buns: [step('knead', { ...busy, takes: '20 min' })] },
    }),
  ),
  'pieces that are filled too slowly': atNoon(
    workload({
      makes: 40,
      components: {
        shells: { keeps: '6 min', steps: [step('bake', { takes: '20 min', oven: { at: '180 C' } })] },
        finish: [step('fill', { ...busy, each: '12 s', needs: ['shells'] })],
      },
    }),
  ),
  'lids that thaw while the shells are piped': atNoon(
    workload({
      makes: 40,
      components: {
        lids: {
          keeps: '4 min',
          steps: [
            step('stamp', { ...busy, each: '6 s' }),
            step('freeze', { rest: ['45 min', '50 min'], within: '5 min' }),
          ],
        },
        shells: [
          step('beat', { ...busy, takes: '7 min', uses: ['mixer'], needs: ['lids.stamp'] }),
          step('pipe', { ...busy, each: '90 s', within: '5 min' }),
          step('lid', { ...busy, each: '4 s', within: '10 min', needs: ['lids'] }),
        ],
      },
    }),
  ),
  'before working hours': atNoon(
    onWeekdays(
      workload({
        components: {
          dough: {
            keeps: '3 h',
            steps: [
              step('mix', { ...busy, takes: '20 min' }),
              step('prove', { rest: ['3 h', '4 h'], within: '10 min' }),
              step('shape', { ...busy, takes: '30 min', within: '10 min' }),
              step('bake', { takes: '40 min', within: '20 min', oven: { at: '200 C' } }),
            ],
          },
        },
      }),
    ),
  ),
} as const satisfies Readonly<Record<string, Impossible>>;
