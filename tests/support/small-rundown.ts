import { componentId, type StepId, type Workload } from '../../src/plan/index.ts';
import type { Job, PlannedStep, Rundown, Showing } from '../../src/planner/index.ts';
import { epochMs, plus, seconds, type EpochMs } from '../../src/units/index.ts';
import { step, workload } from './workloads.ts';

/*
 * A demonstration of eight minutes, written out by hand so that what reads a rundown is tested apart from what makes one.
 * Moments in the timetable are seconds after it goes on air at 18:00 UTC.
 */

export const ON_AIR = epochMs(Date.parse('2027-05-14T18:00:00Z'));

const kitchen = {
  cooks: 2,
  ovens: [{ name: 'stage oven' }, { name: 'deck' }],
  items: { 'fridge shelf': 2, 'cooling rack': 1 },
};

/** The demonstration as a workload: `shells` is begun on air, `cream A` and `cones B` are swaps. */
export const lanternWorkload: Workload = workload({
  name: 'lantern',
  title: 'Lantern walk',
  makes: 12,
  of: 'cones',
  kitchen,
  components: {
    'cream A': {
      title: 'Plum cream',
      steps: [
        step('cook', { takes: ['9 min', '13 min'], usually: '10 min', hands: 'busy' }),
        step('chill', { rest: ['2 h', '12 h'], uses: ['fridge shelf'] }),
        step('whip', { takes: ['70 s', '120 s'], usually: '90 s', hands: 'busy', needs: ['stage.why'] }),
      ],
    },
    'cones B': {
      title: 'Cones',
      steps: [
        step('assemble', { takes: '20 min', hands: 'busy' }),
        step('plate', { takes: ['20 s', '60 s'], usually: '40 s', hands: 'busy', needs: ['shells.fill'] }),
      ],
    },
    shells: {
      title: 'Cone shells',
      steps: [
        step('pipe', {
          takes: ['20 s', '60 s'],
          usually: '40 s',
          hands: 'busy',
          needs: ['stage.welcome'],
          uses: ['tray'],
        }),
        step('pipe on', { takes: ['60 s', '100 s'], usually: '80 s', hands: 'busy', uses: ['tray'] }),
        step('bake', { takes: ['160 s', '200 s'], usually: '180 s', oven: { at: '200 C', oven: 'deck' } }),
        step('bake end', { takes: '30 s', hands: 'busy', needs: ['stage.film'] }),
        step('fill', { takes: ['30 s', '60 s'], usually: '50 s', hands: 'busy', needs: ['cream A.whip'] }),
      ],
    },
    stage: [
      step('welcome', { takes: ['30 s', '90 s'], usually: '60 s', hands: 'busy' }),
      step('why', { takes: ['60 s', '150 s'], usually: '100 s', hands: 'busy', needs: ['shells.pipe'] }),
      step('film', { takes: ['40 s', '90 s'], usually: '70 s', needs: ['cream A.whip'] }),
    ],
  },
});

const at = (offset: number): EpochMs => plus(ON_AIR, offset);

/** `[start, end, oven]` of each step. */
const TIMES: Readonly<Record<string, readonly [number, number, string?]>> = {
  'cream A.cook': [-10_200, -9600],
  'cream A.chill': [-9600, 200],
  'cones B.assemble': [-1800, -600],
  'stage.welcome': [0, 60],
  'shells.pipe': [60, 100],
  'shells.pipe on': [100, 180],
  'stage.why': [100, 200],
  'shells.bake': [180, 360, 'deck'],
  'cream A.whip': [200, 290],
  'stage.film': [290, 360],
  'shells.bake end': [360, 390],
  'shells.fill': [390, 440],
  'cones B.plate': [440, 480],
};

const idOf = (name: string): StepId => {
  const found = lanternWorkload.components.flatMap(({ steps }) => steps).find(({ id }) => id === name);
  if (!found) throw new Error(`the demonstration has no step "${name}"`);
  return found.id;
};

type Spec = Omit<
  Showing,
  'step' | 'start' | 'end' | 'length' | 'shortest' | 'longest' | 'ends' | 'decides'
> & {
  readonly decides?: Showing['decides'];
};

function showing(name: string, spec: Spec): Showing {
  const id = idOf(name);
  const [start, end] = TIMES[name] ?? [0, 0];
  const own = lanternWorkload.components.flatMap(({ steps }) => steps).find((each) => each.id === id);
  if (own?.length.kind !== 'takes') throw new Error(`"${name}" is no showing`);
  const { range } = own.length;
  const byNature = spec.decides === 'nature';
  return {
    decides: 'presenter',
    ...spec,
    step: id,
    start: at(start),
    end: at(end),
    length: range,
    shortest: byNature ? range.usual : range.low,
    longest: byNature ? range.usual : range.high,
    ends: range.low === range.high ? 'clock' : 'press',
  };
}

function job(who: Job['who'], name: string): Job {
  const [start, end] = TIMES[name] ?? [0, 0];
  return { who, step: idOf(name), start: at(start), end: at(end), onView: who === 'presenter' };
}

const part = (component: string, name: string, shown: 'whole' | 'first' | 'last'): Showing['shows'] => ({
  kind: 'step',
  component: componentId(component),
  step: `${component}.${name}` as StepId,
  part: shown,
});

export const lantern: Rundown = {
  title: 'Lantern walk',
  begins: ON_AIR,
  ends: at(480),
  lasts: seconds(480),
  within: seconds(30),
  helper: true,
  ovens: { onStage: ['stage oven'], behind: ['deck'] },
  showings: [
    showing('stage.welcome', {
      shows: { kind: 'talk', about: 'welcome' },
      action: 'welcome',
      say: 'Good evening. In eight minutes these cones are yours.',
      from: { kind: 'nothing' },
      brings: [],
      after: [],
    }),
    showing('shells.pipe', {
      shows: part('shells', 'pipe', 'first'),
      action: 'pipe spirals, 12 to a tray',
      from: { kind: 'nothing' },
      brings: [],
      after: [],
    }),
    showing('stage.why', {
      shows: { kind: 'talk', about: 'why the oven is hot already' },
      action: 'why the oven is hot already',
      from: { kind: 'nothing' },
      brings: [],
      after: [],
    }),
    showing('cream A.whip', {
      shows: part('cream', 'whip', 'whole'),
      action: 'whip the plum cream',
      say: 'Stop as soon as it bends over.',
      decides: 'nature',
      from: { kind: 'swap', swaps: ['A'] },
      brings: [],
      after: [idOf('cream A.chill')],
    }),
    showing('stage.film', {
      shows: { kind: 'break', about: 'a film of the orchard' },
      action: 'a film of the orchard',
      from: { kind: 'nothing' },
      brings: [],
      after: [],
    }),
    showing('shells.bake end', {
      shows: part('shells', 'bake', 'last'),
      action: 'the tray out of the oven',
      from: {
        kind: 'live',
        since: idOf('shells.pipe'),
        steps: [idOf('shells.pipe on'), idOf('shells.bake')],
      },
      brings: [],
      after: [idOf('shells.bake')],
    }),
    showing('shells.fill', {
      shows: part('shells', 'fill', 'first'),
      action: 'fill the first three',
      from: { kind: 'live', since: idOf('shells.bake end'), steps: [] },
      brings: [{ kind: 'live', step: idOf('cream A.whip') }],
      after: [],
    }),
    showing('cones B.plate', {
      shows: { kind: 'beauty', about: 'the stand of cones' },
      action: 'the stand of cones',
      from: { kind: 'swap', swaps: ['B'] },
      brings: [],
      after: [idOf('cones B.assemble')],
    }),
  ],
  swaps: [
    {
      id: 'A',
      component: componentId('cream'),
      title: 'Plum cream',
      state: { kind: 'after', step: 'cream.chill' as StepId },
      use: 'shown',
      for: idOf('cream A.whip'),
      at: at(200),
      copies: 2,
      backups: 1,
      factor: 2,
      made: [componentId('cream A')],
      starts: at(-10_200),
      ready: at(200),
      usableFrom: at(-2400),
      useBy: at(210),
      waits: [{ where: 'fridge shelf', from: at(-9600), until: at(200) }],
    },
    {
      id: 'B',
      component: componentId('cones'),
      title: 'Filled cones',
      state: { kind: 'after', step: 'cones.assemble' as StepId },
      use: 'beauty',
      for: idOf('cones B.plate'),
      at: at(440),
      copies: 1,
      backups: 0,
      factor: 1,
      made: [componentId('cones B')],
      starts: at(-1800),
      ready: at(-600),
      usableFrom: at(-600),
      waits: [{ where: 'bench', from: at(-600), until: at(440) }],
    },
  ],
  jobs: [
    job('presenter', 'stage.welcome'),
    job('presenter', 'shells.pipe'),
    job('helper', 'shells.pipe on'),
    job('presenter', 'stage.why'),
    job('presenter', 'cream A.whip'),
    job('presenter', 'shells.bake end'),
    job('presenter', 'shells.fill'),
    job('presenter', 'cones B.plate'),
  ],
  workload: lanternWorkload,
  timetable: {
    service: [at(480)],
    steps: Object.entries(TIMES).map(([name, [start, end, oven]]): PlannedStep => ({
      step: idOf(name),
      start: at(start),
      end: at(end),
      ...(oven !== undefined && { oven }),
    })),
    settings: [],
  },
  proven: true,
};
