import { getShortestPaths } from '@xstate/graph';
import type { AnyStateMachine } from 'xstate';
import { describe, expect, test } from 'vitest';
import { componentMachine } from '../../src/bench/component-machine.ts';
import { ovenMachine } from '../../src/bench/oven-machine.ts';
import { alarmMachine } from '../../src/bench/alarm-life.ts';
import { temperatureOf } from '../../src/units/index.ts';
import { NOON, workloadOf } from '../support/plans.ts';

const PLAN = `
components:
  cream:
    steps:
      - warm:    { takes: 5-9 min, hands: near }
      - thicken: { takes: 9-13 min, hands: busy, until: { all: [{ probe: cream, reaches: 82 C }, { cue: a clean track }] } }
      - chill:   { rest: 30 min - 4 h, until: { probe: cream, falls to: 5 C } }
      - whisk:   { takes: 2 min, hands: busy }
`;

/** Every state a machine can be in, by walking it from the start with every event: what for each, and how to get there. */
function walk(
  machine: AnyStateMachine,
  events: readonly { readonly type: string }[],
  limit = 20_000,
): Map<string, string[]> {
  const paths = getShortestPaths(machine, {
    events: [...events],
    // What has been measured counts too: a rest that is cold enough becomes ready with time.
    serializeState: ({ value, context }) =>
      JSON.stringify([value, context.run?.steps.map((step: { met?: string[] }) => step.met)]),
    limit,
  });
  return new Map(
    paths.map((path) => [JSON.stringify(path.state.value), path.steps.map((step) => step.event.type)]),
  );
}

const late = NOON + 24 * 3_600_000;
const COMPONENT_EVENTS = [
  { type: 'START', at: NOON },
  { type: 'DONE', at: NOON, lastReadings: [] },
  { type: 'SKIP', at: NOON },
  { type: 'LOST', at: NOON },
  { type: 'MORE', length: 60, now: NOON },
  { type: 'CLOCK', now: NOON },
  { type: 'CLOCK', now: late },
  { type: 'READING', probe: 'cream', celsius: 90, at: NOON, deliberate: true },
  { type: 'READING', probe: 'cream', celsius: 4, at: NOON, deliberate: true },
];

describe('statecharts, walked', () => {
  const [cream] = workloadOf(PLAN).components;
  if (!cream) throw new Error('the plan has a component');

  test('a component: every state of every step can be reached, and none that should not be', () => {
    const reached = walk(componentMachine(cream), COMPONENT_EVENTS);
    const names = [...reached.keys()];
    for (const step of ['warm', 'thicken', 'chill', 'whisk']) {
      expect(names).toContain(JSON.stringify({ [step]: 'waiting' }));
      expect(names).toContain(JSON.stringify({ [step]: 'running' }));
    }
    expect(names).toContain('"(finished)"');
    // Only a step that waits for time or a temperature and then for the cook can be ready.
    expect(names.filter((name) => name.includes('ready'))).toEqual([
      JSON.stringify({ thicken: 'ready' }),
      JSON.stringify({ chill: 'ready' }),
    ]);
    expect(names).toHaveLength(11);
  });

  test("a component: the clock alone never starts a step, nor ends one that is the cook's to end", () => {
    const reached = walk(
      componentMachine(cream),
      COMPONENT_EVENTS.filter(({ type }) => type === 'CLOCK' || type === 'START'),
    );
    expect([...reached.keys()]).toEqual(['{"warm":"waiting"}', '{"warm":"running"}']);
  });

  test('an oven: heat and door go their own ways', () => {
    const oven = workloadOf(PLAN).kitchen.ovens[0];
    const heat = (figure: number) => ({
      type: 'SET',
      heat: { kind: 'at', temperature: temperatureOf(figure, 'C') },
      at: NOON,
    });
    const run = {
      oven: 'oven',
      heat: { kind: 'off' },
      setAt: NOON,
      from: 20,
      readyAt: NOON,
      earlyOpenings: [],
      openings: [],
      turned: [],
      door: 'shut',
    };
    const machine = ovenMachine.provide({});
    const start = machine.resolveState({
      value: { heat: 'off', door: 'shut' },
      context: { model: oven, room: 20, run } as never,
    });
    const paths = getShortestPaths(machine, {
      fromState: start,
      events: [
        heat(220),
        heat(100),
        heat(20),
        { type: 'SET', heat: { kind: 'off' }, at: NOON },
        { type: 'CLOCK', now: late },
        { type: 'OPEN', at: NOON, early: false },
        { type: 'SHUT', at: NOON },
        { type: 'AJAR', at: NOON },
        { type: 'STANDS', at: NOON, celsius: 160, by: 'reading', pace: 1 },
      ] as never,
      serializeState: (snapshot) =>
        JSON.stringify([snapshot.value, snapshot.context.run.heat, snapshot.context.run.from]),
      limit: 20_000,
    });
    const states = new Set(paths.map((path) => JSON.stringify(path.state.value)));
    for (const phase of ['off', 'heating', 'at temperature']) {
      for (const door of ['shut', 'open', 'ajar'])
        expect(states).toContain(JSON.stringify({ heat: phase, door }));
    }
  });

  test('an alarm: silence is not the end of it while its cause stands', () => {
    const reached = walk(alarmMachine, [{ type: 'RAISE' }, { type: 'HEAR' }, { type: 'RETURN' }]);
    expect(Object.fromEntries(reached)).toEqual({
      '"unacknowledged"': [expect.any(String)],
      '"heard"': [expect.any(String), 'HEAR'],
      '"returned"': [expect.any(String), 'RETURN'],
      '"gone"': [expect.any(String), 'HEAR', 'RETURN'],
    });
  });
});
