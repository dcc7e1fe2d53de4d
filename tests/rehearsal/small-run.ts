import type { RunSetup } from '../../src/bench/index.ts';
import {
  componentId,
  stepId,
  type Component,
  type Step,
  type StepId,
  type Workload,
} from '../../src/plan/index.ts';
import {
  epochMs,
  minutes,
  plus,
  seconds,
  temperatureOf,
  celsius,
  type EpochMs,
} from '../../src/units/index.ts';

/** 2027-03-06T12:00Z, a Saturday. */
export const NOON: EpochMs = epochMs(Date.UTC(2027, 2, 6, 12));
const at = (minute: number): EpochMs => plus(NOON, minute * 60);
const place = { file: 'small.yaml', line: 1, column: 1, endLine: 1, endColumn: 1 };

const CREAM = componentId('cream');
const BUNS = componentId('buns');
export const id = (name: string): StepId => {
  const [component = '', step = ''] = name.split('.');
  return stepId(componentId(component), step);
};

type Given = Partial<Step> & Pick<Step, 'length'>;

const step = (component: typeof CREAM, name: string, given: Given): Step => ({
  id: stepId(component, name),
  component,
  name,
  action: name,
  hands: 'free',
  after: seconds(0),
  needs: [],
  uses: [],
  holds: [],
  place,
  ...given,
});

const range = (low: number, usual: number, high: number): Step['length'] => ({
  kind: 'takes',
  range: { low: minutes(low), usual: minutes(usual), high: minutes(high) },
});

const cream: Component = {
  id: CREAM,
  name: 'cream',
  title: 'Cream',
  plan: 0,
  place,
  steps: [
    step(CREAM, 'cook', {
      length: range(9, 10, 13),
      hands: 'busy',
      uses: [{ item: 'hob', count: 1 }],
      until: { kind: 'cue', text: 'a clean track' },
    }),
    step(CREAM, 'chill', {
      length: { kind: 'rest', atLeast: minutes(30) },
      within: minutes(5),
      until: {
        kind: 'probe',
        probe: 'cream',
        goal: { kind: 'falls to', to: temperatureOf(5, 'C') },
        lasting: seconds(10),
      },
    }),
  ],
};

const buns: Component = {
  id: BUNS,
  name: 'buns',
  title: 'Buns',
  plan: 0,
  place,
  steps: [
    step(BUNS, 'knead', { length: range(5, 6, 8), hands: 'busy' }),
    step(BUNS, 'bake', {
      length: range(12, 12, 12),
      within: minutes(20),
      oven: { heat: { kind: 'at', temperature: temperatureOf(200, 'C') }, door: 'shut', shelves: 1 },
    }),
    step(BUNS, 'fill', {
      length: {
        kind: 'each',
        per: seconds(15),
        pieces: 20,
        range: { low: minutes(4), usual: minutes(5), high: minutes(6) },
      },
      hands: 'busy',
      needs: [id('cream.chill')],
    }),
  ],
};

const workload: Workload = {
  kitchen: {
    name: 'small',
    title: 'Small',
    timeZone: 'UTC',
    cooks: 1,
    near: 2,
    ambient: celsius(20),
    ovens: [{ name: 'oven', shelves: 2, heats: 15, cools: 3, tolerance: celsius(8), soak: minutes(10) }],
    items: [{ name: 'hob', kind: 'hob', count: 2, carriesPieces: false }],
  },
  plans: [
    {
      name: 'small',
      file: 'small.yaml',
      title: 'Small',
      makes: { count: 20, of: 'buns' },
      margin: minutes(10),
      components: [CREAM, BUNS],
    },
  ],
  components: [cream, buns],
};

/** A cream that is cooked and chilled, buns that are baked and filled with it; service at 13:15. */
export const smallRun: RunSetup = {
  run: 'small-1',
  workload,
  begunAt: NOON,
  timetable: {
    service: [at(75)],
    steps: [
      { step: id('cream.cook'), start: at(2), end: at(12) },
      { step: id('cream.chill'), start: at(12), end: at(60) },
      { step: id('buns.knead'), start: at(30), end: at(36) },
      { step: id('buns.bake'), start: at(40), end: at(52), oven: 'oven' },
      { step: id('buns.fill'), start: at(60), end: at(65) },
    ],
    settings: [
      {
        oven: 'oven',
        heat: { kind: 'at', temperature: temperatureOf(200, 'C') },
        at: at(18),
        hotBy: at(40),
        step: id('buns.bake'),
      },
      { oven: 'oven', heat: { kind: 'off' }, at: at(52), hotBy: at(52), step: id('buns.bake') },
    ],
  },
};
