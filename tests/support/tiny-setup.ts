import type { RunSetup } from '../../src/bench/index.ts';
import { componentId, stepId, type Place, type Step } from '../../src/plan/index.ts';
import { celsius, epochMs, minutes, seconds, temperatureOf } from '../../src/units/index.ts';

const place: Place = { file: 'porch-lunch.yaml', line: 3, column: 5, endLine: 3, endColumn: 12 };
const curd = componentId('curd');
const shells = componentId('shells');

function step(component: typeof curd, name: string, more: Partial<Step>): Step {
  return {
    id: stepId(component, name),
    component,
    name,
    action: name,
    length: { kind: 'takes', range: { low: minutes(4), usual: minutes(5), high: minutes(6) } },
    hands: 'free',
    after: seconds(0),
    needs: [],
    uses: [],
    holds: [],
    place,
    ...more,
  };
}

/** A small run by hand: a curd and shells that meet, with every kind of length, trigger, claim and demand in it. */
export function tinySetup(run = 'porch-lunch', begunAt = 1_800_000_000_000): RunSetup {
  const at = (minute: number) => epochMs(begunAt + minute * 60_000);
  const steps = [
    step(curd, 'cook', {
      hands: 'busy',
      uses: [{ item: 'hob', count: 1 }],
      until: {
        kind: 'all',
        of: [
          { kind: 'cue', text: 'it coats a spoon' },
          {
            kind: 'any',
            of: [
              {
                kind: 'probe',
                probe: 'curd',
                goal: { kind: 'reaches', to: temperatureOf(82, 'C') },
                lasting: seconds(10),
              },
              {
                kind: 'probe',
                probe: 'curd',
                goal: { kind: 'between', low: temperatureOf(178, 'F'), high: temperatureOf(184, 'F') },
                lasting: seconds(20),
              },
            ],
          },
        ],
      },
    }),
    step(curd, 'chill', { length: { kind: 'rest', atLeast: minutes(10), atMost: minutes(60) } }),
    step(shells, 'pipe', {
      length: {
        kind: 'each',
        per: seconds(6),
        pieces: 20,
        range: { low: minutes(2), usual: minutes(2), high: minutes(2) },
      },
      hands: 'busy',
      holds: [{ item: 'tray', count: 1, until: stepId(shells, 'bake') }],
    }),
    step(shells, 'bake', {
      within: minutes(10),
      length: { kind: 'takes', range: { low: minutes(12), usual: minutes(12), high: minutes(12) } },
      oven: { heat: { kind: 'at', temperature: temperatureOf(180, 'C') }, door: 'shut', shelves: 1 },
      needs: [stepId(curd, 'cook')],
      caution: 'hot tray',
    }),
  ] as const;
  return {
    run,
    workload: {
      kitchen: {
        name: 'porch',
        title: 'The porch',
        timeZone: 'Europe/Zurich',
        cooks: 1,
        near: 2,
        ambient: celsius(20),
        ovens: [{ name: 'oven', shelves: 2, heats: 12, cools: 4, tolerance: celsius(10), soak: minutes(5) }],
        items: [
          { name: 'hob', kind: 'hob', count: 2, carriesPieces: false },
          { name: 'tray', kind: 'tool', count: 2, carriesPieces: true },
        ],
      },
      plans: [
        {
          name: 'porch-lunch',
          file: 'porch-lunch.yaml',
          title: 'Porch lunch',
          makes: { count: 20, of: 'tartlets' },
          serve: { hour: 12, minute: 30 },
          margin: minutes(5),
          components: [curd, shells],
        },
      ],
      components: [
        {
          id: curd,
          name: 'curd',
          title: 'Sorrel curd',
          plan: 0,
          cooling: 'cooked',
          steps: steps.slice(0, 2),
          place,
        },
        {
          id: shells,
          name: 'shells',
          title: 'Shells',
          plan: 0,
          keeps: minutes(90),
          steps: steps.slice(2),
          place,
        },
      ],
    },
    timetable: {
      service: [at(60)],
      steps: [
        { step: steps[0].id, start: at(2), end: at(7) },
        { step: steps[1].id, start: at(7), end: at(40) },
        { step: steps[2].id, start: at(25), end: at(27) },
        { step: steps[3].id, start: at(28), end: at(40), oven: 'oven' },
      ],
      settings: [
        {
          oven: 'oven',
          heat: { kind: 'at', temperature: temperatureOf(180, 'C') },
          at: at(8),
          hotBy: at(28),
          step: steps[3].id,
        },
      ],
    },
    begunAt: epochMs(begunAt),
  };
}
