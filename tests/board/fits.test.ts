import fc from 'fast-check';
import stringWidth from 'string-width';
import { expect, test } from 'vitest';
import { widthOf, wordsOf } from '../../src/board/lines.ts';
import { axisWidth, paintScreen } from '../../src/board/screen.ts';
import { FRESH, type Prompt, type Ui } from '../../src/board/ui.ts';
import type { Alarm, BenchState, Call, OtherWay, OvenRun, Proposal, StepRun } from '../../src/bench/index.ts';
import { stepId, type Component } from '../../src/plan/index.ts';
import { celsius, epochMs, minutes, seconds } from '../../src/units/index.ts';
import { cells, clean, cut, fill, viewOf, wrap } from '../../src/view/index.ts';
import { at, component, hot, KITCHEN, named, scene, type Scene } from '../support/states.ts';

/*
 * Whatever a run has come to, a screen can show it: no view throws, no row is wider than the screen, and there are as many
 * rows as were asked for. The runs need not make sense, so that states nobody thought of are among them.
 */
const NOW = at('18:20');
const words = fc.oneof(
  fc.constantFrom(
    'cream',
    'shells: bake low',
    'Crème pâtissière à la rose',
    '',
    '二重生地',
    'x'.repeat(90),
    '👩‍🍳 \u001B[31m',
  ),
  fc.string({ unit: 'grapheme', maxLength: 40 }),
);
const moment = fc.integer({ min: -90_000, max: 90_000 }).map((away) => epochMs(NOW + away * 1000));
const bigMoment = fc.oneof(moment, fc.integer({ min: 0, max: 4e12 }).map(epochMs));

const stepRun = (step: StepRun['step']): fc.Arbitrary<StepRun> =>
  fc.oneof(
    fc.constant<StepRun>({ step, state: 'waiting' }),
    moment.map((startedAt): StepRun => ({
      step,
      state: 'running',
      startedAt,
      extra: seconds(90),
      within: {},
      heard: {},
      met: [],
    })),
    fc
      .tuple(moment, moment)
      .map(([startedAt, endedAt]): StepRun => ({ step, state: 'ended', startedAt, endedAt, by: 'clock' })),
    moment.map((endedAt): StepRun => ({ step, state: 'skipped', endedAt })),
  );

const someComponent = (index: number): fc.Arbitrary<Component> =>
  fc.record({ name: words, rests: fc.boolean(), oven: fc.boolean() }).map(({ name, rests, oven }) => {
    const made = component(`c${index}`, name, {
      one: { action: name, hands: 'busy', takes: [1, 2, 900] },
      two: {
        action: 'wait',
        hands: 'free',
        within: minutes(3),
        ...(rests ? { rest: [10, 2000] as const } : {}),
        ...(oven ? { oven: hot(150 + index * 20) } : {}),
      },
    });
    return { ...made, name };
  });

const someCall: fc.Arbitrary<Call> = fc.record({
  key: fc.string(),
  asks: fc.constantFrom<Call['asks']>(
    { kind: 'start', step: named('c0.one') },
    { kind: 'done', step: named('c1.two') },
    { kind: 'oven set', oven: 'oven', heat: { kind: 'off' }, step: named('c0.two') },
    { kind: 'served' },
    { kind: 'done', step: named('no.such') },
  ),
  text: words,
  due: bigMoment,
  priority: fc.constantFrom('low', 'medium', 'high'),
  raised: fc.nat(5),
  heard: fc.boolean(),
});

const someAlarm: fc.Arbitrary<Alarm> = fc.record({
  key: fc.string(),
  kind: fc.constantFrom<Alarm['kind']>('oven clash', 'runs over', 'keeps'),
  cause: words,
  consequence: words,
  action: words,
  by: bigMoment,
  priority: fc.constantFrom('low', 'medium', 'high'),
  raisedAt: moment,
  rangAt: moment,
  state: fc.constantFrom('unacknowledged', 'heard', 'returned'),
});

const someOven: fc.Arbitrary<OvenRun> = fc.record({
  oven: fc.constant('oven'),
  heat: fc.constantFrom<OvenRun['heat']>({ kind: 'off' }, hot(150).heat, hot(170).heat),
  setAt: bigMoment,
  from: fc.integer({ min: -20, max: 300 }).map(celsius),
  phase: fc.constantFrom('off', 'heating', 'at temperature', 'cooling'),
  readyAt: bigMoment,
  door: fc.constantFrom('shut', 'open', 'ajar'),
  earlyOpenings: fc.constant([]),
  openings: fc.constant([]),
  turned: fc.constant([]),
});

const someOther: fc.Arbitrary<OtherWay> = fc.record({
  what: words,
  timetable: fc.constant({ service: [], steps: [], settings: [] }),
  changes: fc.array(fc.record({ message: words, from: bigMoment, to: bigMoment }), { maxLength: 6 }),
  serviceMoved: fc.array(fc.record({ plan: fc.nat(2), from: bigMoment, to: bigMoment }), { maxLength: 2 }),
  broken: fc.array(fc.record({ steps: fc.constant([]), message: words }), { maxLength: 2 }),
});

/** What a run has beside its steps: probes, feeds, quiet, alarms that were set aside, what the forecast sees. */
const someMore: fc.Arbitrary<Partial<BenchState>> = fc.record({
  probes: fc.array(
    fc.record({
      probe: words,
      temperature: fc.record({
        celsius: fc.integer({ min: -80, max: 600 }).map(celsius),
        figure: fc.double({ min: -100, max: 1200, noNaN: true }),
        scale: fc.constantFrom('C', 'F'),
      }),
      at: moment,
      track: fc.record({
        samples: fc.array(
          fc.record({ at: moment, celsius: fc.integer({ min: -30, max: 260 }).map(celsius) }),
        ),
        heardAt: moment,
        live: fc.boolean(),
      }),
    }),
    { maxLength: 12 },
  ),
  feeds: fc.array(
    fc.record({
      feed: words,
      state: fc.constantFrom('on', 'off'),
      detail: words,
      used: fc.nat(),
      thinned: fc.nat(),
      refused: fc.nat(),
    }),
    { maxLength: 3 },
  ),
  quietUntil: moment,
  shelved: fc.array(
    fc.record({
      key: words,
      kind: fc.constantFrom('runs over', 'keeps'),
      cause: words,
      priority: fc.constantFrom('low', 'medium'),
      until: moment,
      reason: words,
    }),
    { maxLength: 3 },
  ),
  outOfService: fc.array(
    fc.record({ kind: fc.constantFrom('keeps', 'not started'), since: moment, reason: words }),
    {
      maxLength: 2,
    },
  ),
  forecast: fc.record({
    of: moment,
    clashes: fc.array(
      fc.record({
        key: words,
        kind: fc.constantFrom('oven', 'not hot', 'hands'),
        steps: fc.constant([]),
        why: words,
        chance: fc.oneof(fc.constant('certain' as const), fc.double({ min: 0, max: 1, noNaN: true })),
        soonest: moment,
        usual: moment,
      }),
      { maxLength: 3 },
    ),
  }),
});

const someProposal: fc.Arbitrary<Proposal> = fc.record({
  id: fc.string(),
  madeAt: moment,
  reason: words,
  answers: fc.constant([]),
  attempts: fc.constant([]),
  timetable: fc.constant({ service: [], steps: [], settings: [] }),
  changes: fc.array(fc.record({ message: words, from: bigMoment, to: bigMoment }), { maxLength: 12 }),
  serviceMoved: fc.array(fc.record({ plan: fc.nat(2), from: bigMoment, to: bigMoment }), { maxLength: 2 }),
  broken: fc.array(fc.record({ steps: fc.constant([]), message: words }), { maxLength: 3 }),
  others: fc.array(someOther, { maxLength: 2 }),
});

const someScene: fc.Arbitrary<Scene> = fc.integer({ min: 0, max: 12 }).chain((count) =>
  fc
    .record({
      components: fc.tuple(...Array.from({ length: count }, (_, index) => someComponent(index))),
      runs: fc.tuple(
        ...Array.from({ length: count }, (_, index) =>
          fc.tuple(stepRun(named(`c${index}.one`)), stepRun(named(`c${index}.two`))),
        ),
      ),
      calls: fc.array(someCall, { maxLength: 4 }),
      alarms: fc.array(someAlarm, { maxLength: 5 }),
      oven: someOven,
      expected: fc.array(fc.tuple(fc.nat(12), moment, moment), { maxLength: 6 }),
      service: fc.array(bigMoment, { maxLength: 2 }),
      margin: fc.integer({ min: -1e7, max: 1e7 }),
      more: fc.option(someMore, { nil: {} }),
      proposal: fc.option(someProposal, { nil: undefined }),
    })
    .map((parts): Scene => {
      const made = scene({
        now: '18:20',
        calls: parts.calls,
        alarms: parts.alarms,
        ovens: [parts.oven],
        margin: parts.margin,
        more: parts.more,
        ...(parts.proposal ? { proposal: parts.proposal, offeredMargin: -parts.margin } : {}),
        components: parts.components.map((each, index) => ({
          component: each.id,
          at: '',
          attempt: 1 + (index % 3),
          since: NOW,
          steps: parts.runs[index] ?? [],
        })),
      });
      const workload = { ...made.state.setup.workload, kitchen: KITCHEN, components: parts.components };
      const steps = parts.expected.flatMap(([index, start, end]) => {
        const of = parts.components[index];
        return of ? [{ step: stepId(of.id, 'two'), start, end, oven: 'oven' }] : [];
      });
      return {
        ...made,
        state: {
          ...made.state,
          setup: { ...made.state.setup, workload },
          timetable: { ...made.state.timetable, steps, service: parts.service },
        },
        projection: {
          ...made.projection,
          steps,
          clashes: steps
            .slice(0, 2)
            .map(({ step, start }) => ({ kind: 'oven', at: start, steps: [step], why: '' })),
        },
      };
    }),
);

const someUi: fc.Arbitrary<Ui> = fc
  .record({
    page: fc.constantFrom<Ui['page']>('board', 'far', 'alarms', 'temperatures', 'log', 'help'),
    selected: fc.nat(12),
    prompt: fc.constantFrom<Prompt | undefined>(
      undefined,
      { kind: 'quit' },
      { kind: 'offer', id: '', ways: 3 },
      { kind: 'aside', key: '', alarm: 'runs over', priority: 'low', name: 'runs over' },
      { kind: 'quiet', left: '' },
    ),
    note: words,
  })
  .map(({ page, selected, prompt, note }) => ({
    ...FRESH,
    page,
    selected,
    note: { text: clean(note), bad: true, until: 1 },
    ...(prompt ? { prompt: { ...prompt, askedAt: 0 } } : {}),
  }));

test('every screen of every run fits', () => {
  fc.assert(
    fc.property(
      someScene,
      someUi,
      fc.integer({ min: 1, max: 220 }),
      fc.integer({ min: 1, max: 70 }),
      (run, ui, width, height) => {
        const view = viewOf(run.state, run.projection, run.now, {
          axisWidth: axisWidth(width),
          ...(run.offered ? { offered: run.offered } : {}),
          ...(width % 5 === 0
            ? { absence: { from: at('18:00'), to: at('18:19'), reason: 'machine slept' } }
            : {}),
        });
        const link = width % 7 === 0 ? { trouble: 'x'.repeat(100) } : {};
        const rows = paintScreen(view, { ui, link, beat: width % 2 === 0, now: run.now }, { width, height }, [
          { clock: '18:00', text: 'y'.repeat(300) },
        ]);
        expect(rows).toHaveLength(height);
        for (const row of rows) {
          expect(widthOf(row)).toBeLessThanOrEqual(width);
          expect(wordsOf(row)).not.toMatch(/\p{Cc}/u);
        }
      },
    ),
    { numRuns: 400 },
  );
});

test('the quick way of counting cells agrees with the table of all scripts', () => {
  for (let code = 0x20; code < 0x2800; code += 1) {
    const sign = String.fromCharCode(code);
    if (clean(sign) !== sign) continue;
    expect([code.toString(16), cells(sign)]).toEqual([code.toString(16), stringWidth(sign)]);
  }
});

test('cut, fill and wrap keep to their width', () => {
  fc.assert(
    fc.property(
      words.map(clean),
      fc.integer({ min: 0, max: 60 }),
      fc.integer({ min: 1, max: 4 }),
      (text, width, most) => {
        expect(cells(cut(text, width))).toBeLessThanOrEqual(width);
        expect(cells(fill(text, width))).toBe(width);
        const lines = wrap(text, Math.max(1, width), most);
        expect(lines.length).toBeLessThanOrEqual(most);
        for (const line of lines) expect(cells(line)).toBeLessThanOrEqual(Math.max(1, width));
      },
    ),
  );
});
