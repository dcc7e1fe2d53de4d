import type { RunSetup, StageSetup } from '../../src/bench/index.ts';
import type { ComponentId, StepId } from '../../src/plan/index.ts';
import type { Showing } from '../../src/planner/index.ts';
import { seconds, secondsBetween } from '../../src/units/index.ts';
import { TestRun } from './bench.ts';
import { at, setupBy } from './plans.ts';

/*
 * A demonstration of seven and a half minutes, on air at 13:00, written by hand as the planner would derive it: a welcome, a
 * frozen disc that was made ahead is stamped (swap A), puffs are piped, baked behind while a film runs, and filled; then the plate.
 */

const PLAN = `
components:
  air:
    keeps: 0 min
    steps:
      - places: { takes: 60 s, hands: busy }
      - on air: { takes: 450 s, hands: free, within: 0 min }
  stage:
    steps:
      - welcome: { takes: 60-120 s, usually: 90 s, hands: busy, needs: [air.places] }
      - film:    { takes: 120 s, hands: busy, needs: [puffs.pipe] }
      - plate:   { takes: 20-40 s, usually: 30 s, hands: busy, needs: [puffs.fill] }
  discs A:
    steps:
      - roll:   { takes: 10 min, hands: busy }
      - freeze: { rest: 30 min - 5 h, uses: [freezer shelf], until: { cue: lifts without bending } }
      - stamp:  { takes: 30-90 s, usually: 60 s, hands: busy, needs: [stage.welcome] }
  puffs:
    steps:
      - pipe: { takes: 40-80 s, usually: 60 s, hands: busy, needs: [discs A.stamp] }
      - bake: { takes: 2 min, hands: free }
      - fill: { takes: 60-120 s, usually: 90 s, hands: busy, needs: [stage.film] }
  cream:
    steps:
      - lighten: { takes: 60 s, hands: busy }
`;

const STEPS: Readonly<Record<string, string>> = {
  'discs A.roll': '12:00-12:10',
  'discs A.freeze': '12:10-13:01:30',
  'air.places': '12:59-13:00',
  'air.on air': '13:00-13:07:30',
  'stage.welcome': '13:00-13:01:30',
  'discs A.stamp': '13:01:30-13:02:30',
  'puffs.pipe': '13:02:30-13:03:30',
  'puffs.bake': '13:03:30-13:05:30',
  'stage.film': '13:03:30-13:05:30',
  'puffs.fill': '13:05:30-13:07',
  'stage.plate': '13:07-13:07:30',
  'cream.lighten': '13:02-13:03',
};

const step = (name: string): StepId => name as StepId;

type Told = Pick<Showing, 'shows' | 'action'> &
  Partial<Showing> & { readonly may?: readonly [number, number] };

function showing(name: string, { may, ...told }: Told): Showing {
  const [start = '', end = ''] = STEPS[name]?.split('-') ?? [];
  const usual = seconds(secondsBetween(at(start), at(end)));
  const [shortest = usual, longest = usual] = may ?? [];
  return {
    step: step(name),
    start: at(start),
    end: at(end),
    length: { low: seconds(shortest), usual, high: seconds(longest) },
    decides: 'presenter',
    shortest: seconds(shortest),
    longest: seconds(longest),
    ends: may ? 'press' : 'clock',
    from: { kind: 'nothing' },
    brings: [],
    after: [],
    ...told,
  };
}

const shown = (component: string, name: string, part: 'whole' | 'first' | 'last'): Showing['shows'] => ({
  kind: 'step',
  component: component as ComponentId,
  step: step(`${component}.${name}`),
  part,
});

const RUNDOWN: StageSetup = {
  title: 'Lantern evening',
  begins: at('13:00'),
  ends: at('13:07:30'),
  lasts: seconds(450),
  within: seconds(10),
  helper: true,
  ovens: { onStage: [], behind: ['oven'] },
  showings: [
    showing('stage.welcome', {
      shows: { kind: 'talk', about: 'welcome' },
      action: 'welcome',
      say: 'why rye',
      may: [60, 120],
    }),
    showing('discs A.stamp', {
      shows: shown('discs', 'stamp', 'first'),
      action: 'stamp the discs',
      say: 'they lift like slate',
      may: [30, 90],
      from: { kind: 'swap', swaps: ['A'] },
      after: [step('discs A.freeze')],
    }),
    showing('puffs.pipe', {
      shows: shown('puffs', 'pipe', 'first'),
      action: 'pipe a row of puffs',
      may: [40, 80],
    }),
    showing('stage.film', { shows: { kind: 'break', about: 'film' }, action: 'film' }),
    showing('puffs.fill', {
      shows: shown('puffs', 'fill', 'whole'),
      action: 'fill and close',
      may: [60, 120],
      from: { kind: 'live', since: step('puffs.pipe'), steps: [step('puffs.bake')] },
      after: [step('puffs.bake')],
    }),
    showing('stage.plate', {
      shows: { kind: 'beauty', about: 'the plate' },
      action: 'the plate',
      may: [20, 40],
    }),
  ],
  swaps: [
    {
      id: 'A',
      component: 'discs' as ComponentId,
      title: 'Rye discs',
      state: { kind: 'after', step: step('discs.freeze') },
      use: 'shown',
      for: step('discs A.stamp'),
      at: at('13:01:30'),
      copies: 2,
      backups: 1,
      factor: 2,
      made: ['discs A' as ComponentId],
      starts: at('12:00'),
      ready: at('13:01:30'),
      usableFrom: at('12:40'),
      useBy: at('17:10'),
      waits: [{ where: 'freezer shelf', from: at('12:10'), until: at('13:01:30') }],
    },
  ],
  jobs: [
    { who: 'helper', step: step('cream.lighten'), start: at('13:02'), end: at('13:03'), onView: false },
    { who: 'presenter', step: step('stage.welcome'), start: at('13:00'), end: at('13:01:30'), onView: true },
  ],
  proven: true,
};

/** The run of it: begins at noon. */
export function stageSetup(): RunSetup {
  const setup = setupBy(PLAN, '13:07:30', STEPS);
  const kitchen = { ...setup.workload.kitchen, cooks: 2 };
  return { ...setup, workload: { ...setup.workload, kitchen }, rundown: RUNDOWN };
}

/** A run that has been played up to going on air at a moment. */
export function onAir(time = '13:00:00', setup = stageSetup()): TestRun {
  const run = new TestRun(setup);
  start(run, '12:00', 'discs A.roll');
  start(run, '12:10', 'discs A.freeze');
  start(run, '12:59', 'air.places');
  return start(run, time, 'stage.welcome');
}

export const start = (run: TestRun, time: string, step: string): TestRun =>
  run.do(time, { kind: 'start', step: step as never, at: at(time) });

export const done = (run: TestRun, time: string, step: string): TestRun =>
  run.do(time, { kind: 'done', step: step as never, at: at(time) });
