import fc from 'fast-check';
import { afterEach, describe, expect, test } from 'vitest';
import { answer, replay, type BenchState } from '../../src/bench/index.ts';
import type { Control } from '../../src/board/index.ts';
import { playRehearsal, type Play } from '../../src/cli/play.ts';
import { courseOf, createPlayedRun, playReal } from '../../src/rehearsal/index.ts';
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

type Kind = Exclude<Control['kind'], 'go wrong'>;

const lead = (play: Play, kinds: readonly Kind[]): string[] =>
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
        "cream: cook ended by the cook after 12 min",
        "cream: chill started",
        "cream: chill started",
      ]
    `);
    expect(play.rehearsing.playing()).toMatchObject({ speed: 60, stopped: true });
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
    const way = fc.array(fc.constantFrom<Kind>('on', 'on', 'back'), { maxLength: 30 });
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

describe('what is made to go wrong', () => {
  /** Makes the mishap that is called so go wrong, at the nth thing. */
  const wrong = (play: Play, what: RegExp): string => {
    const mishap = play.rehearsing.mishaps().find((each) => what.test(each.what));
    if (!mishap)
      throw new Error(
        `only ${play.rehearsing
          .mishaps()
          .map((each) => each.what)
          .join('; ')}`,
      );
    return play.rehearsing.control({ kind: 'go wrong', mishap }).text;
  };
  const after = (state: BenchState, kind: string, at: number) =>
    state.history.filter((event) => event.kind === kind && event.time >= at);
  const straight = (): BenchState => toService(standing());

  test('a hand that is tied does nothing for five minutes, and what it was on takes longer', () => {
    const play = standing();
    lead(play, ['on', 'on', 'on']);
    const from = play.link.clock();
    expect(wrong(play, /hand/)).toBe('it goes wrong: a hand is tied for 5 min');
    const state = toService(play);
    const pressed = state.history.filter(
      (event) => event.source === 'rehearsal' && event.time > from && event.time < from + 300_000,
    );
    expect(pressed).toEqual([]);
    const cookEnds = (of: BenchState): number => of.history.find((event) => event.kind === 'done')?.time ?? 0;
    expect(cookEnds(state) - cookEnds(straight())).toBe(300_000);
  });

  test('what is spoilt is seen, and made again', () => {
    const play = standing();
    lead(play, ['on', 'on', 'on', 'on']);
    const at = play.link.clock();
    wrong(play, /cream: spoilt/);
    expect(play.rehearsing.mishaps().some(({ what }) => what.startsWith('cream: spoilt'))).toBe(false);
    const state = toService(play);
    expect(after(state, 'lost', at).map(({ time }) => time - at)).toEqual([10_000]);
    expect(state.components[0]?.attempt).toBe(2);
    expect(replay(smallRun, state.history)).toEqual(state);
  });

  test('guests who come earlier move service, and the bench asks for a timetable', () => {
    const play = standing();
    lead(play, ['on', 'on', 'on', 'on']);
    wrong(play, /guests/);
    lead(play, ['on']);
    const [service = 0] = smallRun.timetable.service;
    expect(play.link.state.timetable.service).toEqual([service - 600_000]);
    expect(play.link.state.log.map(({ text }) => text)).toMatchInlineSnapshot(`
      [
        "cream: cook started",
        "cream: cook ended by the cook after 12 min",
        "service is moved to 13:05, 10 min earlier",
        "a new timetable is offered: service is kept",
      ]
    `);
  });

  test('a start that is forgotten comes ten minutes later', () => {
    const play = standing();
    lead(play, ['on']);
    wrong(play, /cook is forgotten for 10 min/);
    const started = (of: BenchState): number => of.history.find((event) => event.kind === 'start')?.time ?? 0;
    expect(started(toService(play)) - started(straight())).toBe(600_000);
  });

  test('going back takes it back too, and the same luck lies ahead', () => {
    const play = standing();
    lead(play, ['on', 'on', 'on', 'on', 'on']);
    const before = stateOf(play);
    lead(play, ['on']);
    for (const what of [/hand/, /spoilt/, /guests/]) wrong(play, what);
    // Word of the guests came at the very moment of the sixth thing, and belongs to it.
    lead(play, ['on', 'on', 'back', 'back']);
    expect(stateOf(play)).toBe(before);
    expect(JSON.stringify(toService(play))).toBe(JSON.stringify(straight()));
  });
});

test.each([1, 2, 3, 4, 5, 6])(
  'seed %i has the day that it has where many are played: what a person ends takes as long',
  (seed) => {
    const course = courseOf(smallRun);
    const room = createPlayedRun(course);
    playReal(course, seed, room);
    const watched = toService(standing(seed)).components.flatMap(({ steps }) => steps);
    let compared = 0;
    for (const [index, step] of course.steps.entries()) {
      const run = watched[index];
      if (step.hands !== 'busy' || run?.state !== 'ended') continue;
      expect([step.id, run.endedAt - run.startedAt]).toEqual([
        step.id,
        (room.ends[index] ?? 0) - (room.starts[index] ?? 0),
      ]);
      compared += 1;
    }
    expect(compared).toBe(3);
  },
);

describe("with one's own hands", () => {
  const mine = (): Play => {
    const play = playRehearsal({ setup: smallRun, seed: 5, speed: 1, hands: 'mine' });
    open.push(play);
    play.rehearsing.control({ kind: 'stop or go' });
    return play;
  };

  test('nobody presses anything, and what a cook would see is told when nature has it so', async () => {
    const play = mine();
    lead(play, ['on']);
    const [call] = play.link.state.calls;
    if (!call) throw new Error('nothing is called');
    await play.link.press(answer(call, play.link.clock()));
    const begun = play.link.clock();
    const seen: (readonly [number, readonly string[]])[] = [];
    for (let count = 0; count < 20 && play.rehearsing.playing().sees.length === 0; count += 1) {
      lead(play, ['on']);
      seen.push([play.link.clock() - begun, play.rehearsing.playing().sees]);
    }
    expect(seen.at(-1)).toEqual([712_000, ['cream: a clean track']]);
    expect(play.link.state.history.filter(({ source }) => source === 'rehearsal')).toEqual([]);
  });

  test('a hand that is tied takes no press', async () => {
    const play = mine();
    lead(play, ['on']);
    const mishap = play.rehearsing.mishaps().find(({ what }) => what.includes('hand'));
    if (!mishap) throw new Error('no hand');
    play.rehearsing.control({ kind: 'go wrong', mishap });
    expect(await play.link.press({ kind: 'timetable asked' })).toMatchObject({
      ok: false,
      why: expect.stringMatching(/^your hand is tied till 1\d:\d\d$/) as string,
    });
  });

  test('a start is not forgotten on purpose: whoever presses forgets it alone', () => {
    const play = mine();
    lead(play, ['on']);
    expect(play.rehearsing.mishaps().filter(({ what }) => what.includes('forgotten'))).toEqual([]);
  });
});
