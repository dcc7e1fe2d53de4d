import type {
  Alarm,
  BenchState,
  Call,
  ComponentRun,
  LogLine,
  OvenRun,
  Projection,
  Proposal,
  StepRun,
} from '../../src/bench/index.ts';
import {
  componentId,
  stepId,
  type Component,
  type Kitchen,
  type OvenDemand,
  type Place,
  type Step,
  type StepId,
  type Workload,
} from '../../src/plan/index.ts';
import type { Timetable } from '../../src/planner/index.ts';
import {
  celsius,
  epochMs,
  minutes,
  momentOf,
  parseClockTime,
  seconds,
  temperatureOf,
  type EpochMs,
} from '../../src/units/index.ts';

/*
 * States of a run written by hand: an evening's savoury choux in a kitchen with one oven, Friday 14 May 2027, service at
 * 19:30. They are inputs for what shows a run, so they say only what a screen looks at.
 */

export const TIME_ZONE = 'Europe/Lisbon';
const DAY = '2027-05-14';

/** That evening's moment: `18:42` or `18:42:07`. */
export function at(clock: string): EpochMs {
  const [hour = '', minute = '', second = '0'] = clock.split(':');
  const time = parseClockTime(`${DAY} ${hour}:${minute}`);
  if (!time.ok) throw new Error(time.problem);
  return epochMs(momentOf(time.value, epochMs(0), TIME_ZONE) + Number(second) * 1000);
}

const PLACE: Place = { file: 'gallery-opening.yaml', line: 1, column: 1, endLine: 1, endColumn: 1 };

export const KITCHEN: Kitchen = {
  name: 'one-oven',
  title: 'One oven',
  timeZone: TIME_ZONE,
  cooks: 1,
  near: 2,
  ambient: celsius(20),
  ovens: [{ name: 'oven', shelves: 2, heats: 14, cools: 4, tolerance: celsius(5), soak: minutes(5) }],
  items: [],
};

type StepWords = Pick<Step, 'action' | 'hands'> &
  Partial<Pick<Step, 'within' | 'caution' | 'until' | 'oven' | 'needs' | 'around'>> & {
    readonly takes?: readonly [number, number, number];
    readonly rest?: readonly [number, number?];
  };

/** A component from its steps: minutes for lengths. */
export function component(
  name: string,
  title: string,
  steps: Readonly<Record<string, StepWords>>,
  keeps?: number,
): Component {
  const id = componentId(name);
  return {
    id,
    name,
    title,
    plan: 0,
    place: PLACE,
    ...(keeps === undefined ? {} : { keeps: minutes(keeps) }),
    steps: Object.entries(steps).map(([step, words]): Step => {
      const { takes, rest, ...others } = words;
      const [low, usual, high] = takes ?? [1, 1, 1];
      return {
        after: seconds(0),
        needs: [],
        uses: [],
        holds: [],
        ...others,
        id: stepId(id, step),
        component: id,
        name: step,
        place: PLACE,
        length: rest
          ? {
              kind: 'rest',
              atLeast: minutes(rest[0]),
              ...(rest[1] === undefined ? {} : { atMost: minutes(rest[1]) }),
            }
          : { kind: 'takes', range: { low: minutes(low), usual: minutes(usual), high: minutes(high) } },
      };
    }),
  };
}

export const hot = (figure: number, door: OvenDemand['door'] = 'shut'): OvenDemand => ({
  heat: { kind: 'at', temperature: temperatureOf(figure, 'C') },
  door,
  shelves: 1,
});
const AJAR: OvenDemand = { heat: { kind: 'off' }, door: 'ajar', shelves: 1 };

export const CREAM = component(
  'cream',
  'Horseradish cream',
  {
    warm: { action: 'warm the milk', hands: 'near', takes: [5, 6, 9] },
    thicken: {
      action: 'thicken, stirring, until a spoon leaves a clean track',
      hands: 'busy',
      takes: [9, 10, 13],
      within: minutes(2),
      caution: 'it spits',
      until: { kind: 'cue', text: 'a spoon leaves a clean track' },
    },
    chill: {
      action: 'into the fridge, shallow',
      hands: 'free',
      rest: [30, 600],
      around: celsius(3),
      until: {
        kind: 'probe',
        probe: 'cream',
        goal: { kind: 'falls to', to: temperatureOf(5, 'C') },
        lasting: seconds(10),
      },
    },
  },
  1200,
);

export const SHELLS = component(
  'shells',
  'Choux shells',
  {
    pipe: { action: 'pipe 40 rounds', hands: 'busy', takes: [5, 5, 6] },
    'bake high': {
      action: 'trays into the oven, middle shelf',
      hands: 'free',
      takes: [12, 12, 12],
      within: minutes(10),
      oven: hot(220),
      caution: 'steam burns',
    },
    'bake low': {
      action: 'turn down to 180 C, door shut',
      hands: 'free',
      takes: [12, 14, 17],
      within: minutes(0),
      oven: hot(180),
    },
    pierce: { action: 'pierce every shell', hands: 'busy', takes: [2, 2, 3], within: minutes(1) },
    dry: {
      action: 'back in, oven off, door ajar',
      hands: 'free',
      takes: [20, 20, 20],
      within: minutes(5),
      oven: AJAR,
    },
  },
  360,
);

export const FINISH = component(
  'finish',
  'Filled buns',
  {
    whip: { action: 'whip the cream', hands: 'busy', takes: [4, 5, 6] },
    fill: { action: 'fill 40 buns', hands: 'busy', takes: [8, 8, 8], needs: [stepId(SHELLS.id, 'dry')] },
  },
  90,
);

export const WORKLOAD: Workload = {
  kitchen: KITCHEN,
  plans: [
    {
      name: 'gallery-opening',
      file: 'gallery-opening.yaml',
      title: 'Gallery opening',
      makes: { count: 40, of: 'buns' },
      margin: seconds(0),
      components: [CREAM.id, SHELLS.id, FINISH.id],
    },
  ],
  components: [CREAM, SHELLS, FINISH],
};

/** A step by its short name: `shells.bake high`. */
export const named = (name: string): StepId => name as StepId;

/** When each step is meant to be, in the order of the timetable. */
const TIMES: readonly (readonly [string, string, string, string?])[] = [
  ['cream.warm', '17:50', '17:56'],
  ['cream.thicken', '17:56', '18:06'],
  ['cream.chill', '18:06', '19:05'],
  ['shells.pipe', '18:10', '18:15'],
  ['shells.bake high', '18:16', '18:28', 'oven'],
  ['shells.bake low', '18:28', '18:42', 'oven'],
  ['shells.pierce', '18:42', '18:44'],
  ['shells.dry', '18:45', '19:05', 'oven'],
  ['finish.whip', '19:05', '19:10'],
  ['finish.fill', '19:10', '19:18'],
];

export const TIMETABLE: Timetable = {
  service: [at('19:30')],
  steps: TIMES.map(([step, start, end, oven]) => ({
    step: named(step),
    start: at(start),
    end: at(end),
    ...(oven === undefined ? {} : { oven }),
  })),
  settings: [
    {
      oven: 'oven',
      heat: hot(220).heat,
      at: at('17:55'),
      hotBy: at('18:16'),
      step: named('shells.bake high'),
    },
    {
      oven: 'oven',
      heat: hot(180).heat,
      at: at('18:28'),
      hotBy: at('18:28'),
      step: named('shells.bake low'),
    },
    { oven: 'oven', heat: { kind: 'off' }, at: at('18:45'), hotBy: at('18:45'), step: named('shells.dry') },
  ],
};

/** A step that ran: `ended('18:10', '18:15')`; still runs: `running('18:16')`. */
type StepWas = (step: StepId) => StepRun;
export const ended =
  (from: string, to: string): StepWas =>
  (step) => ({ step, state: 'ended', startedAt: at(from), endedAt: at(to), by: 'cook' });
export const running =
  (from: string): StepWas =>
  (step) => ({
    step,
    state: 'running',
    startedAt: at(from),
    extra: seconds(0),
    within: {},
    heard: {},
    met: [],
  });

/** A component's run: what became of its first steps; the others wait. */
export function ran(of: Component, ...was: readonly StepWas[]): ComponentRun {
  const steps = of.steps.map(({ id }, index): StepRun => was[index]?.(id) ?? { step: id, state: 'waiting' });
  const last = steps.at(-1);
  return {
    component: of.id,
    at: '',
    attempt: 1,
    since: at('17:45'),
    steps,
    ...(last?.state === 'ended' ? { finishedAt: last.endedAt } : {}),
  };
}

export const call = (
  asks: Call['asks'],
  text: string,
  due: string,
  more: Partial<Pick<Call, 'latest' | 'caution' | 'heard' | 'priority' | 'component'>> = {},
): Call => ({ key: text, asks, text, due: at(due), priority: 'medium', raised: 1, heard: false, ...more });

export const OVEN_OFF: OvenRun = {
  oven: 'oven',
  heat: { kind: 'off' },
  setAt: at('17:45'),
  from: celsius(20),
  phase: 'off',
  readyAt: at('17:45'),
  door: 'shut',
  earlyOpenings: [],
  openings: [],
  turned: [],
};

/** A state and how it is expected to go on. Steps that are not named go on as the timetable has them. */
export interface Scene {
  readonly now: EpochMs;
  readonly state: BenchState;
  readonly projection: Projection;
  /** How it would go on by the new timetable that is offered. */
  readonly offered?: Projection;
}

export interface SceneWords {
  readonly now: string;
  readonly components?: readonly ComponentRun[];
  readonly calls?: readonly Call[];
  readonly alarms?: readonly Alarm[];
  readonly ovens?: readonly OvenRun[];
  readonly log?: readonly LogLine[];
  readonly margin?: number;
  readonly expected?: Readonly<Record<string, readonly [string, string]>>;
  readonly clashes?: Projection['clashes'];
  readonly more?: Partial<BenchState>;
  readonly proposal?: Proposal;
  /** The margin by the new timetable. */
  readonly offeredMargin?: number;
}

export function scene(words: SceneWords): Scene {
  const now = at(words.now);
  const components = words.components ?? [ran(CREAM), ran(SHELLS), ran(FINISH)];
  const open = new Set(
    components.flatMap((run) =>
      run.steps
        .filter((step) => step.state === 'running' || step.state === 'waiting')
        .map((step) => step.step),
    ),
  );
  const projection: Projection = {
    steps: TIMETABLE.steps
      .filter(({ step }) => open.has(step))
      .map((step) => {
        const moved = words.expected?.[step.step];
        return moved ? { ...step, start: at(moved[0]), end: at(moved[1]) } : step;
      }),
    soonest: [at('19:18')],
    margin: seconds(words.margin ?? 720),
    clashes: words.clashes ?? [],
  };
  return {
    now,
    projection,
    ...(words.offeredMargin === undefined
      ? {}
      : { offered: { ...projection, margin: seconds(words.offeredMargin) } }),
    state: {
      setup: { run: 'gallery-opening-1', workload: WORKLOAD, timetable: TIMETABLE, begunAt: at('17:45') },
      timetable: TIMETABLE,
      components,
      ovens: words.ovens ?? [OVEN_OFF],
      calls: words.calls ?? [],
      alarms: words.alarms ?? [],
      arising: {},
      lately: [],
      shelved: [],
      outOfService: [],
      timers: [],
      probes: [],
      cooling: [],
      feeds: [],
      log: words.log ?? [],
      history: [],
      undone: [],
      replanning: {
        situations: [],
        answered: [],
        ...(words.proposal ? { proposal: words.proposal } : {}),
      },
      servings: [],
      rung: {},
      time: now,
      ...words.more,
    },
  };
}
