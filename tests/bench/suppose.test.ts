import { expect, test } from 'vitest';
import { apply, begin, suppose, supposed, type BenchState, type RunSetup } from '../../src/bench/index.ts';
import { rehearseToEnd } from '../../src/rehearsal/index.ts';
import { setupOf } from '../support/plans.ts';

const setup: RunSetup = setupOf(`
components:
  cream:
    keeps: 2 h
    steps:
      - warm:    { takes: 5-9 min, usually: 6 min, hands: near, uses: [hob] }
      - thicken: { takes: 9-13 min, hands: busy, within: 2 min, until: { cue: a clean track } }
      - chill:   { rest: 30 min - 4 h, uses: [fridge shelf] }
  shells:
    steps:
      - pipe:      { each: 12 s, uses: [tray] }
      - bake high: { takes: 12 min, within: 5 min, oven: { at: 220 C, door: shut } }
      - bake low:  { takes: 12-17 min, within: 0 min, oven: { at: 180 C, door: shut }, until: { cue: firm } }
      - dry:       { takes: 30 min, within: 5 min, oven: { off: true, door: ajar } }
  finish:
    keeps: 90 min
    steps:
      - fold: { takes: 3 min, hands: busy, needs: [cream] }
      - fill: { each: 12 s, within: 20 min, needs: [shells] }
`);

/** What a run that is supposed and one that is lived must agree in. */
const shared = ({ components, ovens, calls, servings, time }: BenchState) => ({
  components,
  ovens,
  servings,
  time,
  calls: calls.map(({ key, due, priority, text }) => ({ key, due, priority, text })),
});

test.each([1, 2, 3, 4])('a run that is only supposed goes as it does when it is lived (seed %d)', (seed) => {
  const { events, ended } = rehearseToEnd(setup, seed);
  expect(ended).toBe('served');
  let lived = begin(setup);
  let thought = supposed(begin(setup));
  for (const event of events) {
    lived = apply(lived, event).state;
    // There are no alarms to be heard in what is only supposed.
    if (event.kind === 'heard') continue;
    const next = suppose(thought, event);
    if (!next) throw new Error(`refused: ${event.kind}`);
    thought = next.state;
    expect({ after: event, ...shared(thought) }).toEqual({ after: event, ...shared(lived) });
  }
  expect(thought.servedAt).toBe(lived.servedAt);
  expect([thought.history, thought.alarms]).toEqual([[], []]);
});
