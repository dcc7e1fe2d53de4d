import type { BenchEvent, BenchState, Call, Effect, Outcome } from '../../src/bench/index.ts';
import type { BenchEngine } from '../../src/keeper/engine.ts';
import { earlier, epochMs, plus } from '../../src/units/index.ts';

const NO_TRACK = { samples: [], heardAt: epochMs(0), live: false };

/** A bench that knows only quick timers: enough to see what a keeper does with events, deadlines and effects. */
export const fakeBench: BenchEngine = {
  begin: (setup) => ({
    setup,
    timetable: setup.timetable,
    components: [],
    ovens: [],
    calls: [],
    alarms: [],
    arising: {},
    lately: [],
    shelved: [],
    outOfService: [],
    timers: [],
    probes: [],
    cooling: [],
    feeds: [],
    log: [],
    rung: {},
    history: [],
    undone: [],
    replanning: { situations: [], answered: [] },
    servings: [],
    time: setup.begunAt,
  }),

  apply(state, event) {
    const passed = ring(state, event);
    const acted = act(passed.state, event);
    if (typeof acted === 'string') return { ok: false, state, why: acted };
    return {
      ok: true,
      state: { ...acted, history: [...state.history, event], time: event.time },
      effects: passed.effects,
    };
  },

  wantsForecast: () => false,
  wantsReplan: () => undefined,

  progressOf: (state, now) => ({ now, steps: {}, ovens: [], told: state.timetable, served: [] }),

  nextDeadline(state) {
    const [first, ...rest] = state.timers
      .filter((timer) => !state.calls.some((call) => call.key === `timer ${timer.name}`))
      .map((timer) => timer.endsAt);
    return first === undefined ? undefined : rest.reduce(earlier, first);
  },
};

/** Timers that have run out by the event's time raise their call at their own moment, once. */
function ring(state: BenchState, event: BenchEvent): Extract<Outcome, { ok: true }> {
  const calls: Call[] = state.timers
    .filter(
      (timer) => timer.endsAt <= event.time && !state.calls.some((c) => c.key === `timer ${timer.name}`),
    )
    .map((timer) => ({
      key: `timer ${timer.name}`,
      asks: { kind: 'timer done', name: timer.name },
      text: `${timer.name}: time is up`,
      due: timer.endsAt,
      priority: 'medium',
      raised: 1,
      heard: false,
    }));
  const effects = calls.map((call): Effect => ({
    kind: 'ring',
    key: call.key,
    nth: 1,
    priority: call.priority,
    text: call.text,
  }));
  return { ok: true, state: { ...state, calls: [...state.calls, ...calls] }, effects };
}

function act(state: BenchState, event: BenchEvent): BenchState | string {
  switch (event.kind) {
    case 'timer':
      return {
        ...state,
        timers: [
          ...state.timers,
          { name: event.name, startedAt: event.time, endsAt: plus(event.time, event.length) },
        ],
      };
    case 'timer done':
      if (!state.timers.some((timer) => timer.name === event.name)) return `there is no timer ${event.name}`;
      return {
        ...state,
        timers: state.timers.filter((timer) => timer.name !== event.name),
        calls: state.calls.filter((call) => call.key !== `timer ${event.name}`),
      };
    case 'reading':
      if (event.probe === 'broken') throw new Error('the fake bench fails when it is told to');
      return {
        ...state,
        probes: [
          ...state.probes.filter((probe) => probe.probe !== event.probe),
          { probe: event.probe, temperature: event.temperature, at: event.time, track: NO_TRACK },
        ],
      };
    case 'gap':
      return {
        ...state,
        log: [
          ...state.log,
          { at: event.from, knownAt: event.time, text: `gap: ${event.reason}`, kind: 'note' },
        ],
      };
    case 'served':
      return { ...state, servedAt: event.time };
    default:
      return state;
  }
}
