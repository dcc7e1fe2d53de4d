import type { OvenHeat, Workload } from '../../src/plan/index.ts';
import type { OvenSetting, PlannedStep, Timetable } from '../../src/planner/index.ts';
import { parseTemperature, type EpochMs } from '../../src/units/index.ts';
import { seconds, temperatureOf } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';

/*
 * Timetables written by hand, so that a sheet is tested apart from the planner. Moments are in UTC.
 */

/** `[start, end]`, or with the oven as a third. */
export type Times = readonly [string, string, string?];

/** `[at, what, ready by, for]`: what is `220 C` or `off`. */
export type Setting = readonly [at: string, oven: string, what: string, hotBy: string, step: string];

export function timetable(
  given: Workload,
  service: string | readonly string[],
  steps: Readonly<Record<string, Times>>,
  settings: readonly Setting[] = [],
): Timetable {
  const ids = given.components.flatMap((component) => component.steps.map(({ id }) => id));
  const idOf = (name: string): PlannedStep['step'] => {
    const found = ids.find((id) => id === name);
    if (found === undefined) throw new Error(`the workload has no step "${name}"`);
    return found;
  };
  const services = typeof service === 'string' ? given.plans.map(() => service) : service;
  return {
    service: services.map(moment),
    steps: Object.entries(steps)
      .map(([name, [start, end, oven]]): PlannedStep => ({
        step: idOf(name),
        start: moment(start),
        end: moment(end),
        ...(oven !== undefined && { oven }),
      }))
      .toSorted((a, b) => a.start - b.start),
    settings: settings.map(([at, oven, what, hotBy, name]): OvenSetting => ({
      oven,
      heat: heatOf(what),
      at: moment(at),
      hotBy: moment(hotBy),
      step: idOf(name),
    })),
  };
}

function heatOf(what: string): OvenHeat {
  if (what === 'off') return { kind: 'off' };
  const read = parseTemperature(what);
  if (!read.ok) throw new Error(read.problem);
  return { kind: 'at', temperature: read.value };
}

/** Two days: a curd of the evening before, and shells that bake high, bake low and dry in the oven as it cools. */
export const picnic = workload({
  name: 'harbour',
  title: 'Harbour picnic',
  makes: 24,
  of: 'rolls',
  kitchen: { timeZone: 'Europe/Helsinki', items: { tray: 2, hob: 2 }, ovens: [{ name: 'deck' }] },
  components: {
    curd: {
      keeps: '20 h',
      steps: [
        step('cook', {
          action: 'stir over the heat',
          takes: ['9 min', '13 min'],
          usually: '10 min',
          hands: 'busy',
          uses: ['hob', 'pan'],
          caution: 'sugar burns',
          until: {
            kind: 'all',
            of: [
              { kind: 'cue', text: 'it coats the spoon' },
              {
                kind: 'probe',
                probe: 'curd',
                goal: { kind: 'reaches', to: temperatureOf(82, 'C') },
                lasting: seconds(10),
              },
            ],
          },
        }),
        step('chill', { rest: ['10 h', '20 h'], within: '5 min', uses: ['fridge shelf'] }),
      ],
    },
    shells: [
      step('pipe', { each: '8 s', hands: 'busy', holds: [{ item: 'tray', count: 2, until: 'shells.dry' }] }),
      step('bake', { takes: '25 min', within: '10 min', oven: { at: '190 C', shelves: 2 } }),
      step('dry', { takes: '20 min', within: '0 min', oven: { off: true, door: 'ajar', shelves: 2 } }),
      step('fill', { each: '15 s', hands: 'busy', needs: ['curd'], within: '3 h' }),
    ],
  },
});

export const picnicTimes = timetable(
  picnic,
  '2027-05-15 06:00',
  {
    'curd.cook': ['2027-05-14 19:34', '2027-05-14 19:44'],
    'curd.chill': ['2027-05-14 19:44', '2027-05-15 05:44'],
    'shells.pipe': ['2027-05-15 04:55:48', '2027-05-15 04:59'],
    'shells.bake': ['2027-05-15 04:59', '2027-05-15 05:24', 'deck'],
    'shells.dry': ['2027-05-15 05:24', '2027-05-15 05:44', 'deck'],
    'shells.fill': ['2027-05-15 05:44', '2027-05-15 05:50'],
  },
  [
    ['2027-05-15 04:32', 'deck', '190 C', '2027-05-15 04:59', 'shells.bake'],
    ['2027-05-15 05:24', 'deck', 'off', '2027-05-15 05:24', 'shells.dry'],
  ],
);

export const at = (text: string): EpochMs => moment(text);
