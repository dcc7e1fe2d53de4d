import { describe, expect, test } from 'vitest';
import {
  apply,
  begin,
  certainClashes,
  chanceWords,
  happeningOf,
  progressOf,
  wantsReplan,
  type BenchEvent,
  type BenchState,
  type Happening,
} from '../../src/bench/index.ts';
import { stepId, componentId, type StepId, type Workload } from '../../src/plan/index.ts';
import { replan, verify, type Timetable } from '../../src/planner/index.ts';
import { lookAhead } from '../../src/rehearsal/index.ts';
import { celsius, parseTemperature, seconds, type EpochMs } from '../../src/units/index.ts';
import { moment, step, workload } from '../support/workloads.ts';

const at = (clock: string): EpochMs => moment(`2027-05-14 ${clock}`);
const id = (component: string, name: string): StepId => stepId(componentId(component), name);
const hot = (text: string) => {
  const read = parseTemperature(text);
  if (!read.ok) throw new Error(read.problem);
  return { kind: 'at' as const, temperature: read.value };
};

/** Two plans for one oven: shells behind a shut door, and a gratin that may not wait long once it is mixed. */
function kitchen(shells: readonly [string, string], within = '8 min', usually?: string): Workload {
  return workload({
    kitchen: { ovens: [{ soak: seconds(60), tolerance: celsius(5), heats: 20, cools: 5 }] },
    components: {
      shells: [
        step('bake', {
          takes: shells,
          ...(usually === undefined ? {} : { usually }),
          hands: 'near',
          oven: { at: '200 C', door: 'shut' },
          until: { kind: 'cue', text: 'brown' },
        }),
      ],
      gratin: [
        step('mix', { takes: ['8 min', '12 min'], hands: 'busy', until: { kind: 'cue', text: 'smooth' } }),
        step('bake', { takes: '20 min', oven: { at: '200 C' }, within }),
      ],
    },
  });
}

const TOLD: Timetable = {
  service: [at('14:30')],
  steps: [
    { step: id('shells', 'bake'), start: at('13:00'), end: at('13:20'), oven: 'oven' },
    { step: id('gratin', 'mix'), start: at('13:10'), end: at('13:20') },
    { step: id('gratin', 'bake'), start: at('13:21'), end: at('13:41'), oven: 'oven' },
  ],
  settings: [
    { oven: 'oven', heat: hot('200 C'), at: at('12:30'), hotBy: at('12:50'), step: id('shells', 'bake') },
  ],
};

/** The run: the shells have gone in at 13:00, and the gratin is being mixed since 13:10, or will be. */
function runAt(made: Workload, now: string, stage: 'mixing' | 'before mixing' = 'mixing'): BenchState {
  let state = begin({ run: 'r', workload: made, timetable: TOLD, begunAt: at('12:00') });
  const happen = (clock: string, happening: Happening): void => {
    const outcome = apply(state, {
      id: `e${state.history.length}`,
      time: at(clock),
      source: 'cook',
      ...happening,
    });
    if (!outcome.ok) throw new Error(outcome.why);
    state = outcome.state;
  };
  happen('12:30', { kind: 'oven set', oven: 'oven', heat: hot('200 C') });
  happen('13:00', { kind: 'start', step: id('shells', 'bake'), at: at('13:00') });
  if (stage === 'mixing') happen('13:10', { kind: 'start', step: id('gratin', 'mix'), at: at('13:10') });
  happen(now, { kind: 'clock' });
  return state;
}

const about = (state: BenchState, samples = 48) =>
  lookAhead(state, state.time, { seed: 5, samples }).filter(({ kind }) => kind !== 'hands');

describe('a look ahead', () => {
  test('sees nothing where the shells are out in any case before the gratin is mixed', () => {
    expect(about(runAt(kitchen(['15 min', '17 min']), '13:12'))).toEqual([]);
  });

  test('sees a clash that depends on luck, with the share of cases and when', () => {
    const [clash, ...more] = about(runAt(kitchen(['15 min', '40 min']), '13:12'), 64);
    expect(more).toEqual([]);
    expect(clash).toMatchObject({ kind: 'oven', steps: [id('shells', 'bake'), id('gratin', 'bake')] });
    expect(clash?.chance).toBeGreaterThan(0.3);
    expect(clash?.chance).toBeLessThan(1);
    expect(clash?.soonest).toBeGreaterThanOrEqual(at('13:18'));
    expect(clash?.usual).toBeGreaterThanOrEqual(clash?.soonest ?? 0);
  });

  test('says certain where no lengths avoid it, and then every case has it', () => {
    const state = runAt(kitchen(['45 min', '50 min'], '5 min'), '13:12');
    const [clash] = certainClashes(state, state.time);
    expect(clash).toMatchObject({ chance: 'certain', steps: [id('shells', 'bake'), id('gratin', 'bake')] });
    expect(about(state)).toMatchObject([{ chance: 'certain' }]);
  });

  test('is the same for the same state, moment and seed, and changes nothing', () => {
    const state = runAt(kitchen(['15 min', '40 min']), '13:12');
    const before = JSON.stringify(state);
    expect(about(state)).toEqual(about(state));
    expect(JSON.stringify(state)).toBe(before);
  });

  test('chances in words', () => {
    expect(['certain' as const, 0.97, 0.7, 0.01].map((chance) => chanceWords({ chance }))).toEqual([
      'whatever happens within the ranges',
      'nearly always',
      'in 7 of 10 cases',
      'in 1 of 10 cases',
    ]);
  });
});

describe('in the run', () => {
  const happen = (state: BenchState, clock: string, happening: Happening): BenchState => {
    const outcome = apply(state, { id: clock, time: at(clock), source: 'clock', ...happening });
    if (!outcome.ok) throw new Error(outcome.why);
    return outcome.state;
  };
  const looked = (state: BenchState, clock: string): BenchState =>
    happen(state, clock, {
      kind: 'forecast',
      of: state.time,
      clashes: lookAhead(state, state.time, { seed: 5, samples: 48 }),
    });
  const standing = (state: BenchState): string[] =>
    state.alarms.flatMap(({ kind, state: stands }) => (stands === 'returned' ? [] : [kind]));
  /** Shells that mostly need longer than they were told to, and a gratin that is mixed next and may wait 8 min. */
  const likely = (): BenchState =>
    runAt(kitchen(['15 min', '45 min'], '8 min', '19 min'), '13:02', 'before mixing');

  test('a likely clash is told before it is there, a minute after it was seen, with who, when and how likely', () => {
    const seen = looked(likely(), '13:03');
    expect(standing(seen)).not.toContain('clash ahead');
    const told = happen(seen, '13:04:05', { kind: 'clock' });
    expect(standing(told)).toContain('clash ahead');
    const alarm = told.alarms.find(({ kind }) => kind === 'clash ahead');
    expect(alarm).toMatchObject({ priority: 'low', component: 'gratin' });
    expect(alarm?.cause).toMatch(/gratin.*shells|shells.*gratin/);
    expect(alarm?.cause).toMatch(/in \d of 10 cases, 13:\d\d at the soonest$/);
    expect(alarm?.by).toBeGreaterThan(at('13:10'));
  });

  test('it asks for a way out; taken, that ends it, and the next look sees it no more', () => {
    const told = happen(looked(likely(), '13:03'), '13:04:05', { kind: 'clock' });
    const situation = wantsReplan(told);
    expect(situation?.key).toMatch(/^ahead oven gratin/);
    if (!situation) return;
    const progress = progressOf(told, told.time);
    const result = replan(told.setup.workload, { progress, others: true });
    if (result.kind !== 'proposal') throw new Error(result.kind);
    expect(result).toMatchObject({ broken: [] });
    for (const way of [result, ...(result.others ?? [])])
      expect(
        verify(told.setup.workload, way.timetable, { progress, broken: way.broken, margins: 'drop' }),
      ).toEqual([]);
    const offered = happen(told, '13:04:10', happeningOf(situation, result));
    expect(offered.replanning.proposal?.reason).toContain('of 10 cases');
    const taken = happen(offered, '13:05', { kind: 'timetable', timetable: result.timetable });
    expect(taken.forecast).toBeUndefined();
    const after = happen(looked(taken, '13:05:20'), '13:07', { kind: 'clock' });
    expect(standing(after)).not.toContain('clash ahead');
    expect(after.forecast?.clashes.filter(({ chance }) => chance === 'certain' || chance > 0.1)).toEqual([]);
  });

  test('an overtaken look is refused; one that was taken in stays told until the next, and not for ever', () => {
    const told = happen(looked(likely(), '13:03'), '13:04:05', { kind: 'clock' });
    const door = happen(told, '13:05', { kind: 'more', step: id('shells', 'bake'), length: seconds(60) });
    const old: BenchEvent = {
      id: 'old',
      time: at('13:05:05'),
      source: 'clock',
      kind: 'forecast',
      of: at('13:04'),
      clashes: [],
    };
    expect(apply(door, old)).toMatchObject({ ok: false });
    expect(standing(happen(door, '13:06:30', { kind: 'clock' }))).toContain('clash ahead');
    expect(standing(happen(door, '13:11:30', { kind: 'clock' }))).not.toContain('clash ahead');
  });

  test('what the bench forecasts by itself is not told twice', () => {
    // By the usual length it clashes anyway.
    const state = runAt(kitchen(['30 min', '45 min']), '13:12');
    const told = happen(looked(state, '13:13'), '13:15', { kind: 'clock' });
    expect(told.forecast?.clashes).not.toEqual([]);
    expect(standing(told)).toContain('oven clash');
    expect(standing(told)).not.toContain('clash ahead');
  });

  test('what a likely clash hangs on is reckoned at its longest where a new timetable is worked out', () => {
    const state = likely();
    const step = id('shells', 'bake');
    expect(progressOf(state).steps[step]).toMatchObject({ soonest: at('13:15') });
    expect(progressOf(looked(state, '13:03')).steps[step]).toMatchObject({
      soonest: at('13:45'),
      likely: at('13:45'),
    });
  });

  test.each([
    ['of another plan', [stepId(componentId('soup'), 'boil')]],
    ['of nothing', []],
  ])('a look ahead %s is refused', (_, steps) => {
    const state = likely();
    const clashes = [
      {
        key: 'oven x',
        kind: 'oven' as const,
        steps,
        why: 'x',
        chance: 1,
        soonest: state.time,
        usual: state.time,
      },
    ];
    expect(
      apply(state, { id: 'x', time: state.time, source: 'clock', kind: 'forecast', of: state.time, clashes }),
    ).toMatchObject({ ok: false });
  });
});
