import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { BenchEvent, Happening } from '../../src/bench/index.ts';
import { decodeEvent, decodeSetup, encodeEvent, encodeSetup } from '../../src/journal/index.ts';
import { componentId, type OvenHeat, type StepId } from '../../src/plan/index.ts';
import { epochMs, seconds, temperatureOf } from '../../src/units/index.ts';
import { tinySetup } from '../support/tiny-setup.ts';

const text = fc.string({ minLength: 1, maxLength: 40, unit: 'grapheme' });
const moment = fc.integer({ min: 0, max: 4_102_444_800_000 }).map(epochMs);
const step = text.map((name) => `c.${name}` as StepId);
const length = fc.double({ min: 0, max: 400 * 86_400, noNaN: true }).map(seconds);
const temperature = fc
  .tuple(fc.double({ min: -80, max: 600, noNaN: true }), fc.constantFrom('C' as const, 'F' as const))
  .map(([figure, scale]) => temperatureOf(figure === 0 ? 0 : figure, scale));
const heat: fc.Arbitrary<OvenHeat> = fc.oneof(
  fc.constant({ kind: 'off' } as const),
  temperature.map((to) => ({ kind: 'at', temperature: to }) as const),
);
const timetable = fc.record({
  service: fc.array(moment, { maxLength: 3 }),
  steps: fc.array(fc.record({ step, start: moment, end: moment }), { maxLength: 3 }),
  settings: fc.array(fc.record({ oven: text, heat, at: moment, hotBy: moment, step }), { maxLength: 3 }),
});

const offer = {
  timetable,
  changes: fc.array(
    fc.record(
      { step, oven: text, message: text, from: moment, to: moment },
      { requiredKeys: ['message', 'from', 'to'] },
    ),
    { maxLength: 3 },
  ),
  serviceMoved: fc.array(fc.record({ plan: fc.nat(5), from: moment, to: moment }), { maxLength: 2 }),
  broken: fc.array(fc.record({ steps: fc.array(step, { maxLength: 2 }), message: text }), { maxLength: 2 }),
};
const alarmKind = fc.constantFrom('waits' as const, 'probe' as const, 'clash ahead' as const);

/** One arbitrary for each kind: the compiler asks for a new one when the bench learns a new happening. */
const HAPPENINGS: { readonly [K in Happening['kind']]: fc.Arbitrary<Extract<Happening, { kind: K }>> } = {
  clock: fc.record({ kind: fc.constant('clock') }),
  start: fc.record({ kind: fc.constant('start'), step, at: moment }),
  done: fc.record({ kind: fc.constant('done'), step, at: moment }),
  reading: fc.record({ kind: fc.constant('reading'), probe: text, temperature }),
  'oven set': fc.record({ kind: fc.constant('oven set'), oven: text, heat }),
  door: fc.record({ kind: fc.constant('door'), oven: text, door: fc.constantFrom('shut', 'open', 'ajar') }),
  timer: fc.record({ kind: fc.constant('timer'), name: text, length }),
  'timer done': fc.record({ kind: fc.constant('timer done'), name: text }),
  more: fc.record({ kind: fc.constant('more'), step, length }),
  length: fc.record({ kind: fc.constant('length'), step, length }),
  skip: fc.record({ kind: fc.constant('skip'), step }),
  spoilt: fc.record({ kind: fc.constant('spoilt'), swap: text }),
  lost: fc.record({ kind: fc.constant('lost'), component: text.map(componentId) }),
  heard: fc.record({ kind: fc.constant('heard'), key: text }),
  served: fc.record({ kind: fc.constant('served') }),
  undo: fc.record({ kind: fc.constant('undo') }),
  timetable: fc.record({ kind: fc.constant('timetable'), timetable }),
  'service moved': fc.record(
    {
      kind: fc.constant('service moved'),
      plan: fc.nat(5),
      to: moment,
      also: fc.array(fc.record({ plan: fc.nat(5), to: moment }), { maxLength: 3 }),
      timetable,
    },
    { requiredKeys: ['kind', 'plan', 'to'] },
  ),
  'timetable asked': fc.record({ kind: fc.constant('timetable asked') }),
  proposed: fc.record(
    {
      kind: fc.constant('proposed'),
      because: text,
      ...offer,
      others: fc.array(fc.record({ what: text, ...offer }), { maxLength: 2 }),
    },
    { requiredKeys: ['kind', 'because', 'timetable', 'changes', 'serviceMoved', 'broken'] },
  ),
  'not proposed': fc.record({
    kind: fc.constant('not proposed'),
    because: text,
    outcome: fc.constantFrom('as told', 'none', 'unknown', 'failed'),
    why: text,
  }),
  declined: fc.record({ kind: fc.constant('declined') }),
  turned: fc.record({ kind: fc.constant('turned'), step }),
  shelved: fc.record({ kind: fc.constant('shelved'), key: text, length, reason: text }),
  unshelved: fc.record({ kind: fc.constant('unshelved'), key: text }),
  'out of service': fc.record({ kind: fc.constant('out of service'), alarm: alarmKind, reason: text }),
  'in service': fc.record({ kind: fc.constant('in service'), alarm: alarmKind }),
  quiet: fc.record({ kind: fc.constant('quiet'), length }),
  'sound test': fc.record({
    kind: fc.constant('sound test'),
    priority: fc.constantFrom('low', 'medium', 'high'),
  }),
  feed: fc.record({
    kind: fc.constant('feed'),
    feed: text,
    state: fc.constantFrom('on', 'off'),
    detail: text,
    used: fc.nat(),
    thinned: fc.nat(),
    refused: fc.nat(),
  }),
  forecast: fc.record({
    kind: fc.constant('forecast'),
    of: moment,
    clashes: fc.array(
      fc.record({
        key: text,
        kind: fc.constantFrom('oven', 'not hot', 'hands'),
        steps: fc.array(step, { maxLength: 2 }),
        why: text,
        chance: fc.oneof(fc.constant('certain' as const), fc.double({ min: 0, max: 1, noNaN: true })),
        soonest: moment,
        usual: moment,
      }),
      { maxLength: 3 },
    ),
  }),
  gap: fc.record({
    kind: fc.constant('gap'),
    from: moment,
    reason: fc.constantFrom('keeper stopped', 'machine slept', 'clock stepped'),
  }),
};

const event: fc.Arbitrary<BenchEvent> = fc
  .tuple(
    fc.record({ id: text, time: moment, source: fc.constantFrom('cook', 'clock', 'probe', 'rehearsal') }),
    fc.oneof(...Object.values(HAPPENINGS)),
  )
  .map(([head, happening]) => ({ ...head, ...happening }) as BenchEvent);

const OFFER = {
  kind: 'proposed',
  because: 'asked e1',
  timetable: { service: [], steps: [], settings: [] },
  changes: [],
  serviceMoved: [],
  broken: [],
};

describe('the written form', () => {
  test('any event comes back as it was, to the byte', () => {
    fc.assert(
      fc.property(event, (before) => {
        const read = decodeEvent(encodeEvent(before));
        expect(read.ok && JSON.stringify(sorted(read.value))).toBe(JSON.stringify(sorted(before)));
      }),
      { seed: 20_270_401 },
    );
  });

  test('a damaged row is read or refused in words, and never thrown', () => {
    const answers = fc.sample(fc.tuple(event, fc.nat(), fc.string({ maxLength: 3 })), {
      seed: 20_270_402,
      numRuns: 300,
    });
    const refused = answers.flatMap(([before, at, scratch]) => {
      const row = encodeEvent(before);
      const cut = at % (row.json.length + 1);
      const read = decodeEvent({ ...row, json: row.json.slice(0, cut) + scratch + row.json.slice(cut + 2) });
      return read.ok ? [] : [read.problem.what];
    });
    expect(refused.length).toBeGreaterThan(100);
    expect(refused.filter((what) => what === '')).toEqual([]);
  });

  test.each([
    [
      'a temperature whose two figures differ',
      { kind: 'reading', probe: 'p', temperature: { celsius: 4, figure: 90, scale: 'C' } },
    ],
    ['a length that is no number', { kind: 'timer', name: 'tea', length: Number.NaN }],
    ['a negative length', { kind: 'timer', name: 'tea', length: -1 }],
    ['a moment between milliseconds', { kind: 'start', step: 'a.b', at: 1.5 }],
    ['a word nobody knows', { kind: 'sing' }],
    ['a word too many', { kind: 'undo', twice: true }],
    ['a moved service without its plan', { ...OFFER, serviceMoved: [{ from: 1, to: 2 }] }],
    ['an outcome nobody knows', { kind: 'not proposed', because: 'x', outcome: 'perhaps', why: '' }],
    ['a name without end', { kind: 'timer done', name: 'n'.repeat(400) }],
  ])('%s cannot be written down', (_name, happening) => {
    const odd = { id: 'a', time: epochMs(5), source: 'cook', ...happening } as BenchEvent;
    expect(decodeEvent(encodeEvent(odd))).toMatchObject({ ok: false });
  });

  test('an event is written in the earliest form that has a word for it, and no row claims an earlier one', () => {
    const offered = { id: 'a', time: epochMs(5), source: 'clock', ...OFFER } as BenchEvent;
    const undo = { id: 'b', time: epochMs(6), source: 'cook', kind: 'undo' } as BenchEvent;
    expect([encodeEvent(offered).form, encodeEvent(undo).form]).toEqual([2, 1]);
    expect(decodeEvent(encodeEvent(offered))).toEqual({ ok: true, value: offered });
    expect(decodeEvent({ ...encodeEvent(offered), form: 1 })).toMatchObject({
      problem: { what: expect.stringContaining('form 1 has no word for "proposed"') },
    });
    expect(decodeEvent({ ...encodeEvent(undo), form: 5 })).toMatchObject({ ok: false });
  });

  test('a setup with every kind of step comes back as it was', () => {
    expect(decodeSetup(encodeSetup(tinySetup()))).toEqual({ ok: true, value: tinySetup() });
  });

  test.each([
    ['nothing', 'null'],
    ['half a setup', encodeSetup(tinySetup()).slice(0, 500)],
    ['a trigger nobody knows', encodeSetup(tinySetup()).replace('"kind":"cue"', '"kind":"hunch"')],
    ['a moment that is text', encodeSetup(tinySetup()).replace(/"begunAt":\d+/, '"begunAt":"today"')],
  ])('%s is no setup', (_name, json) => {
    expect(decodeSetup(json)).toMatchObject({ ok: false });
  });
});

/** The order of an event's words does not matter; every figure does. */
const sorted = (value: BenchEvent): [string, unknown][] =>
  Object.entries(value).toSorted(([a], [b]) => (a < b ? -1 : 1));
