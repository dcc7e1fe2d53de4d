import fc from 'fast-check';
import { afterEach, describe, expect, test } from 'vitest';
import { replay, type BenchState } from '../../src/bench/index.ts';
import type { Control } from '../../src/board/index.ts';
import { playRehearsal, type Play } from '../../src/cli/play.ts';
import { minutes } from '../../src/units/index.ts';
import { smallRun } from '../rehearsal/small-run.ts';

/* A rehearsal that stands still from its first moment on and is led by keys alone, so that no test waits for a clock. */
const open: Play[] = [];
afterEach(async () => {
  for (const play of open.splice(0)) await play.stop();
});

function standing(seed = 5): Play {
  const play = playRehearsal({ setup: smallRun, seed, speed: 60 });
  open.push(play);
  play.rehearsing.control({ kind: 'stop or go' });
  return play;
}

const lead = (play: Play, kinds: readonly Control['kind'][]): string[] =>
  kinds.map((kind) => play.rehearsing.control({ kind }).text);

const stateOf = (play: Play): string => JSON.stringify(play.link.state);

function toService(play: Play): BenchState {
  for (let count = 0; count < 500 && play.link.state.servedAt === undefined; count += 1) lead(play, ['on']);
  return play.link.state;
}

describe('a rehearsal that is stopped', () => {
  test('goes on by one thing at a time, and no further', () => {
    const play = standing();
    const logs = [0, 1, 2, 3, 4, 5].map(() => {
      lead(play, ['on']);
      return [play.link.clock() >= smallRun.begunAt, play.link.state.log.at(-1)?.text];
    });
    expect(logs.map(([, text]) => text)).toMatchInlineSnapshot(`
      [
        undefined,
        "cream: cook started",
        "cream: cook started",
        "cream: cook ended by the cook after 11 min",
        "cream: chill started",
        "cream: chill started",
      ]
    `);
    expect(play.rehearsing.playing()).toEqual({ speed: 60, stopped: true });
  });

  test('goes back to where the thing before had just happened, to the byte', () => {
    const play = standing();
    const seen = [stateOf(play)];
    for (let count = 0; count < 8; count += 1) {
      lead(play, ['on']);
      seen.push(stateOf(play));
    }
    for (const state of seen.slice(0, -1).toReversed()) {
      lead(play, ['back']);
      expect(stateOf(play)).toBe(state);
    }
    expect(lead(play, ['back'])).toEqual(['this is where the rehearsal begins']);
  });

  test('has the same luck however often it was taken back', () => {
    const straight = toService(standing());
    expect(straight.servedAt).toBeDefined();
    expect(replay(smallRun, straight.history)).toEqual(straight);
    const way = fc.array(fc.constantFrom<Control['kind']>('on', 'on', 'back'), { maxLength: 30 });
    fc.assert(
      fc.property(way, (kinds) => {
        const play = standing();
        lead(play, kinds);
        expect(JSON.stringify(toService(play))).toBe(JSON.stringify(straight));
      }),
      { seed: 20_270_306, numRuns: 10 },
    );
  });

  test('goes back from its end', () => {
    const play = standing();
    const told: string[] = [];
    play.link.subscribe((change) => told.push(change.kind));
    toService(play);
    expect(told.at(-1)).toBe('ended');
    lead(play, ['back']);
    expect(told.at(-1)).toBe('rewound');
    expect(play.link.state.servedAt).toBeUndefined();
    expect(toService(play).servedAt).toBeDefined();
  });

  test('a press of the cook counts, and is taken back with the moment it was made in', async () => {
    const play = standing();
    lead(play, ['on', 'on', 'on', 'on']);
    const before = stateOf(play);
    lead(play, ['on']);
    await play.link.press({ kind: 'timer', name: 'tea', length: minutes(1) });
    expect(play.link.state.timers).toHaveLength(1);
    lead(play, ['back', 'on', 'back']);
    expect(stateOf(play)).toBe(before);
  });
});

test('its speed has steps, and two ends', () => {
  const play = standing();
  const after = (kind: 'slower' | 'faster'): readonly [number, string] => {
    const { text } = play.rehearsing.control({ kind });
    return [play.rehearsing.playing().speed, text];
  };
  expect([after('faster')[0], after('faster')[0], after('slower')[0]]).toEqual([120, 300, 120]);
  expect(Array.from({ length: 7 }, () => after('slower')).at(-1)).toEqual([
    1,
    'there is no other speed that way',
  ]);
});
