import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  answer,
  apply,
  begin,
  happeningOf,
  nextDeadline,
  progressOf,
  replay,
  wantsReplan,
  type BenchEvent,
  type BenchState,
  type Happening,
  type RunSetup,
} from '../../src/bench/index.ts';
import { epochMs, seconds, temperatureOf } from '../../src/units/index.ts';
import { setupOf } from '../support/plans.ts';
import { postponing } from '../support/replans.ts';

const SMALL = `
components:
  cream:
    keeps: 2 h
    steps:
      - warm:    { takes: 5-9 min, usually: 6 min, hands: near, uses: [hob] }
      - thicken: { takes: 9-13 min, hands: busy, within: 2 min, until: { all: [{ probe: cream, reaches: 82 C }, { cue: a clean track }] } }
      - chill:   { rest: 30 min - 4 h, uses: [fridge shelf], until: { probe: cream, falls to: 5 C } }
  lids:
    steps:
      - mix:    { takes: 6 min, hands: busy, uses: [mixer] }
      - freeze: { rest: at least 20 min, uses: [freezer shelf] }
  shells:
    steps:
      - pipe:      { each: 12 s, uses: [tray] }
      - lid:       { each: 4 s, needs: [lids], within: 15 min }
      - bake high: { takes: 12 min, within: 5 min, oven: { at: 220 C, door: shut } }
      - bake low:  { takes: 12-17 min, within: 0 min, oven: { at: 180 C, door: shut }, until: { cue: firm } }
      - dry:       { takes: 30 min, within: 5 min, oven: { off: true, door: ajar } }
  finish:
    keeps: 90 min
    steps:
      - fold: { takes: 3 min, hands: busy, needs: [cream] }
      - fill: { each: 12 s, within: 20 min, needs: [shells] }
`;

const setup: RunSetup = setupOf(SMALL);

/** What an act of a random cook is made from: how long after the one before, which kind, and a number to choose with. */
const oneAct = fc.record({
  after: fc.oneof(fc.integer({ min: 0, max: 90 }), fc.integer({ min: 60, max: 2400 })),
  kind: fc.constantFrom(
    'answer',
    'answer',
    'answer',
    'answer',
    'done',
    'more',
    'length',
    'skip',
    'lost',
    'door',
    'timer',
    'reading',
    'heard',
    'start',
    'undo',
    'asked',
    'proposed',
    'proposed',
    'not proposed',
    'take',
    'declined',
  ),
  pick: fc.nat(1000),
});
const acts = fc.array(oneAct, { maxLength: 40 });
/** Long enough for something to go wrong, be offered and be answered. */
const longRuns = fc.array(oneAct, { minLength: 15, maxLength: 40, size: 'max' });
const runs = fc.oneof({ weight: 4, arbitrary: acts }, { weight: 1, arbitrary: longRuns });
type Act = { readonly after: number; readonly kind: string; readonly pick: number };

const pickFrom = <T>(list: readonly T[], pick: number): T | undefined =>
  list[pick % Math.max(1, list.length)];

function deedOf(state: BenchState, act: Act, time: number): Happening | undefined {
  const now = epochMs(time);
  const steps = state.components.flatMap((run) => run.steps);
  const running = pickFrom(
    steps.filter((run) => run.state === 'running'),
    act.pick,
  );
  const whichever = pickFrom(steps, act.pick);
  switch (act.kind) {
    case 'answer': {
      const call = pickFrom(state.calls, act.pick % 2);
      return call && answer(call, epochMs(time - (act.pick % 5) * 60_000));
    }
    case 'done':
      return running && { kind: 'done', step: running.step, at: now };
    case 'start':
      return (
        whichever && { kind: 'start', step: whichever.step, at: epochMs(time - (act.pick % 3) * 60_000) }
      );
    case 'more':
      return running && { kind: 'more', step: running.step, length: seconds((act.pick % 600) + 1) };
    case 'length':
      return whichever && { kind: 'length', step: whichever.step, length: seconds((act.pick % 900) + 1) };
    case 'skip':
      return whichever && { kind: 'skip', step: whichever.step };
    case 'lost': {
      const run = pickFrom(state.components, act.pick);
      return run && { kind: 'lost', component: run.component };
    }
    case 'door':
      return { kind: 'door', oven: 'oven', door: act.pick % 2 === 0 ? 'open' : 'shut' };
    case 'timer':
      return { kind: 'timer', name: `t${act.pick}`, length: seconds((act.pick % 900) + 1) };
    case 'reading':
      return { kind: 'reading', probe: 'cream', temperature: temperatureOf(act.pick % 100, 'C') };
    case 'heard': {
      const key = pickFrom([...state.calls, ...state.alarms], act.pick)?.key;
      return key === undefined ? undefined : { kind: 'heard', key };
    }
    case 'asked':
      return { kind: 'timetable asked' };
    case 'proposed': {
      const situation = wantsReplan(state) ?? pickFrom(state.replanning.situations, act.pick);
      const replan = postponing((act.pick % 40) * 60, act.pick % 2 === 0);
      return (
        situation && happeningOf(situation, replan(setup.workload, { progress: progressOf(state, now) }))
      );
    }
    case 'not proposed': {
      const situation = wantsReplan(state);
      return situation && happeningOf(situation, { kind: 'as told' });
    }
    case 'take': {
      const { proposal } = state.replanning;
      return proposal && { kind: 'timetable', timetable: proposal.timetable };
    }
    case 'declined':
      return { kind: 'declined' };
    default:
      return { kind: 'undo' };
  }
}

/** Plays random acts; gives the events that were accepted and the state they led to. */
function play(list: readonly Act[]): { readonly state: BenchState; readonly events: readonly BenchEvent[] } {
  let state = begin(setup);
  let time: number = setup.begunAt;
  const events: BenchEvent[] = [];
  for (const [index, act] of list.entries()) {
    time += act.after * 1000;
    state = tick(state, time, events);
    const happening = deedOf(state, act, time);
    if (!happening) continue;
    const source = act.kind.endsWith('proposed') ? 'clock' : 'cook';
    const event: BenchEvent = { id: `e${index}`, time: epochMs(time), source, ...happening };
    const outcome = apply(state, event);
    if (!outcome.ok) continue;
    events.push(event);
    state = outcome.state;
  }
  return { state, events };
}

/** The clock event that the keeper sends when a deadline has come. */
function tick(state: BenchState, time: number, events: BenchEvent[]): BenchState {
  const deadline = nextDeadline(state);
  if (deadline === undefined || deadline > time) return state;
  const event: BenchEvent = { id: `c${events.length}`, time: epochMs(time), source: 'clock', kind: 'clock' };
  const outcome = apply(state, event);
  events.push(event);
  return outcome.state;
}

/** What the cook sees of a state: all but the memory of events, which ticks are part of. */
function seen(state: BenchState): string {
  return JSON.stringify({ ...state, history: [], time: 0 });
}

describe('laws of the bench', () => {
  test('the same events give the same state, to the byte, also after a trip through JSON', () => {
    fc.assert(
      fc.property(runs, (list) => {
        const { state, events } = play(list);
        const again = replay(JSON.parse(JSON.stringify(setup)), JSON.parse(JSON.stringify(events)));
        expect(JSON.stringify(again)).toBe(JSON.stringify(state));
      }),
      { numRuns: 50 },
    );
  });

  test('it does not matter how often the clock is sent', () => {
    fc.assert(
      fc.property(runs, fc.array(fc.nat(10_000), { maxLength: 60 }), (list, ticks) => {
        const { state, events } = play(list);
        const last = events.at(-1)?.time ?? setup.begunAt;
        const end: BenchEvent = { id: 'end', time: last, source: 'clock', kind: 'clock' };
        const extra = ticks.map((share, index): BenchEvent => {
          const time = epochMs(setup.begunAt + Math.round(((last - setup.begunAt) * share) / 10_000));
          return { id: `x${index}`, time, source: 'clock', kind: 'clock' };
        });
        const more = [...events, ...extra].toSorted((a, b) => a.time - b.time);
        const fewer = events.filter((event) => event.kind !== 'clock');
        const usual = seen(apply(state, end).state);
        expect(seen(replay(setup, [...more, end]))).toBe(usual);
        expect(seen(replay(setup, [...fewer, end]))).toBe(usual);
      }),
      { numRuns: 50 },
    );
  });

  test('an act that is taken back leaves what would be without it', () => {
    fc.assert(
      fc.property(runs, oneAct, fc.integer({ min: 0, max: 600 }), (list, one, wait) => {
        const { state, events } = play(list);
        // Hearing is not taken back, and what is only asked for or offered changes nothing.
        if (['undo', 'heard', 'asked', 'proposed', 'not proposed'].includes(one.kind)) return;
        const time = epochMs((events.at(-1)?.time ?? setup.begunAt) + one.after * 1000);
        const happening = deedOf(state, one, time);
        if (!happening) return;
        const acted = apply(state, { id: 'act', time, source: 'cook', ...happening });
        if (!acted.ok) return;
        const later = epochMs(time + wait * 1000);
        const back = apply(acted.state, { id: 'undo', time: later, source: 'cook', kind: 'undo' });
        const without = apply(state, { id: 'clock', time: later, source: 'clock', kind: 'clock' });
        const bare = ({
          state: { components, ovens, timers, probes, calls, servedAt, timetable, replanning },
        }: typeof back): string =>
          JSON.stringify({
            components,
            ovens,
            timers,
            probes,
            servedAt,
            timetable,
            proposal: replanning.proposal,
            calls: calls.map(({ key, due }) => [key, due]),
          });
        expect(bare(back)).toBe(bare(without));
      }),
      { numRuns: 50 },
    );
  });

  test('an event applied twice is applied once', () => {
    fc.assert(
      fc.property(acts, (list) => {
        const { events } = play(list);
        const twice = events.flatMap((event) => [event, event]);
        expect(JSON.stringify(replay(setup, twice))).toBe(JSON.stringify(replay(setup, events)));
      }),
      { numRuns: 20 },
    );
  });

  test('nothing rings twice for one raising', () => {
    fc.assert(
      fc.property(acts, (list) => {
        const { events } = play(list);
        const rings: string[] = [];
        let state = begin(setup);
        for (const event of events) {
          const outcome = apply(state, event);
          state = outcome.state;
          if (outcome.ok)
            rings.push(
              ...outcome.effects
                .filter((effect) => effect.kind === 'ring')
                .map(({ key, nth }) => `${key} ${nth}`),
            );
        }
        expect(new Set(rings).size).toBe(rings.length);
      }),
      { numRuns: 50 },
    );
  });

  test('one situation asks once while one timetable is told, and what was declined is not offered again', () => {
    let answers = 0;
    fc.assert(
      fc.property(longRuns, (list) => {
        const { events } = play(list);
        let answered = new Set<string>();
        let state = begin(setup);
        for (const event of events) {
          const told = state.timetable;
          state = apply(state, event).state;
          if (state.timetable !== told || event.kind === 'undo') answered = new Set();
          if (event.kind === 'declined' || event.kind === 'not proposed') {
            answers += 1;
            for (const { key } of state.replanning.situations) answered.add(key);
          }
          const wanted = wantsReplan(state);
          expect(wanted !== undefined && answered.has(wanted.key)).toBe(false);
        }
      }),
      { numRuns: 25 },
    );
    expect(answers).toBeGreaterThan(10);
  });

  test('the pure part keeps to itself: applying changes nothing that was handed in', () => {
    const { state, events } = play([{ after: 0, kind: 'answer', pick: 0 }]);
    const before = JSON.stringify(state);
    apply(state, {
      id: 'later',
      time: epochMs((events.at(-1)?.time ?? setup.begunAt) + 600_000),
      source: 'clock',
      kind: 'clock',
    });
    expect(JSON.stringify(state)).toBe(before);
  });
});
