import { describe, expect, test } from 'vitest';
import type { Happening } from '../../src/bench/index.ts';
import { asidesFor } from '../../src/board/asides.ts';
import { press } from '../../src/board/keys.ts';
import { FRESH, promptWords, type Ui } from '../../src/board/ui.ts';
import { wordsAsk } from '../../src/board/words.ts';
import { SCENES } from '../support/scenes.ts';
import { at, type Scene } from '../support/states.ts';

/* Alarms set aside, sound, and ways out: two presses each, and a word for each. */
const {
  'oven-clash': clash,
  'set-aside': aside,
  quiet: silent,
  'three-ways': ways,
  'two-running': calm,
} = SCENES;
if (!clash || !aside || !silent || !ways || !calm) throw new Error('scenes are missing');

function type(on: Scene, keys: string): { readonly ui: Ui; readonly sent: readonly Happening[] } {
  let ui = FRESH;
  const sent: Happening[] = [];
  for (const [index, key] of Array.from(keys).entries()) {
    const pressing = { state: on.state, now: on.now, at: 10_000 + index * 1000, shownSince: 0 };
    const pressed = press(ui, key, pressing);
    ui = pressed.ui;
    sent.push(...pressed.acts.flatMap((act) => (act.kind === 'send' ? [act.happening] : [])));
  }
  return { ui, sent };
}
const promptOf = ({ ui }: { readonly ui: Ui }): string => (ui.prompt ? promptWords(ui.prompt) : '');

/** What a line of words sends or says. */
function words(on: Scene, line: string): readonly Happening[] | string {
  const asked = wordsAsk(line, on.state, on.now);
  return asked.kind === 'send' ? asked.happenings : asked.kind === 'say' ? asked.text : asked.kind;
}

const CLASH = 'oven clash shells';

describe('setting aside', () => {
  test('w and a figure set the topmost alarm aside, for how long and why', () => {
    // A high one for ten minutes at most.
    expect(type(clash, 'w1').sent).toEqual([
      { kind: 'shelved', key: CLASH, length: 600, reason: 'it is being seen to' },
    ]);
    expect(type(clash, 'w2').sent).toEqual([]);
    expect(type(aside, 'w2').sent).toEqual([
      { kind: 'shelved', key: 'late', length: 1800, reason: 'it is being seen to' },
    ]);
    expect(promptOf(type(clash, 'w'))).toBe('set oven clash aside: a figure from the list   Esc no');
    expect(type(clash, 'w7').sent).toEqual([]);
    expect(type(calm, 'w').ui.note?.text).toBe('no alarm stands that could be set aside');
  });

  test('or take its kind out of service', () => {
    expect(type(clash, 'w9').sent).toEqual([
      { kind: 'out of service', alarm: 'oven clash', reason: 'not wanted in this run' },
    ]);
  });

  test('on the page of alarms a figure is that row', () => {
    expect(type(clash, 'a21').sent).toEqual([
      { kind: 'shelved', key: 'door', length: 600, reason: 'it is being seen to' },
    ]);
    expect(type(aside, 'a2').sent).toEqual([{ kind: 'unshelved', key: 'late cream' }]);
    expect(type(aside, 'a3').sent).toEqual([{ kind: 'in service', alarm: 'not started' }]);
    expect(type(aside, 'a4').ui.note?.text).toBe('there is no row 4');
  });

  test('every way has its own figure, a reason, and no more time than the bench gives', () => {
    for (const [priority, most] of [
      ['low', 60],
      ['medium', 60],
      ['high', 10],
    ] as const) {
      const ways = asidesFor(priority);
      expect(new Set(ways.map((way) => way.key)).size).toBe(ways.length);
      expect(ways.length).toBeGreaterThan(4);
      for (const way of ways) {
        expect(way.reason).not.toBe('');
        expect(way.minutes ?? 0).toBeLessThanOrEqual(most);
        expect(way.key).toMatch(/^[1-9]$/);
      }
    }
  });

  test.each<[string, readonly Happening[] | string]>([
    ['shelve', [{ kind: 'shelved', key: CLASH, length: 600 as never, reason: 'it is being seen to' }]],
    ['shelve 30', [{ kind: 'shelved', key: CLASH, length: 1800 as never, reason: 'it is being seen to' }]],
    [
      'shelve door opened early 20 min it was for the other tray',
      [{ kind: 'shelved', key: 'door', length: 1200 as never, reason: 'it was for the other tray' }],
    ],
    ['shelve the cat 5', 'these alarms stand: oven clash, door opened early'],
    ['shelve 0', 'shelve wants minutes: shelve 30'],
    ['unshelve', 'nothing was set aside'],
    [
      'out oven clash: two ovens, whatever it says',
      [{ kind: 'out of service', alarm: 'oven clash', reason: 'two ovens, whatever it says' }],
    ],
    ['out', 'out wants a kind of alarm, and a reason if you like: out oven clash: not wanted in this run'],
    ['in', 'no alarm is out of service'],
  ])('%s', (line, expected) => {
    expect(words(clash, line)).toEqual(expected);
  });

  test('unshelve and in bring back what was set aside', () => {
    expect(words(aside, 'unshelve')).toEqual([{ kind: 'unshelved', key: 'late cream' }]);
    expect(words(aside, 'unshelve runs over')).toEqual([{ kind: 'unshelved', key: 'late cream' }]);
    expect(words(aside, 'unshelve keeps')).toBe('set aside: runs over');
    expect(words(aside, 'in')).toEqual([{ kind: 'in service', alarm: 'not started' }]);
    expect(words(aside, 'in not started')).toEqual([{ kind: 'in service', alarm: 'not started' }]);
    expect(words(aside, 'in keeps')).toBe('out of service: not started');
  });
});

describe('sound', () => {
  test('z and a figure: quiet for 10, 30 or 60 min, or sound again', () => {
    for (const [key, length] of Object.entries({ '1': 600, '3': 1800, '6': 3600, '0': 0 }))
      expect(type(clash, `z${key}`).sent).toEqual([{ kind: 'quiet', length }]);
    expect(promptOf(type(silent, 'z'))).toContain('quiet for 20 min more   0 sound again');
  });

  test('z and h, m, l try each sound, one after the other', () => {
    expect(type(calm, 'zhml').sent).toEqual([
      { kind: 'sound test', priority: 'high' },
      { kind: 'sound test', priority: 'medium' },
      { kind: 'sound test', priority: 'low' },
    ]);
    // Also while it is quiet: somebody asked for it.
    expect(type(silent, 'zh').sent).toHaveLength(1);
  });

  test.each<[string, readonly Happening[] | string]>([
    ['quiet 10', [{ kind: 'quiet', length: 600 as never }]],
    ['quiet off', [{ kind: 'quiet', length: 0 as never }]],
    ['quiet', 'quiet wants minutes, or off: quiet 10'],
    ['sound low', [{ kind: 'sound test', priority: 'low' }]],
    ['sound loud', 'a sound is high, medium or low: sound high'],
  ])('%s', (line, expected) => {
    expect(words(calm, line)).toEqual(expected);
  });
});

describe('ways out', () => {
  const { proposal } = ways.state.replanning;
  const service = (sent: readonly Happening[] | string): unknown =>
    typeof sent === 'string'
      ? sent
      : sent.map((each) => (each.kind === 'timetable' ? each.timetable.service : each));

  test('a figure takes that way, space the first', () => {
    expect(service(type(ways, 'n ').sent)).toEqual([proposal?.timetable.service]);
    expect(service(type(ways, 'n1').sent)).toEqual([proposal?.timetable.service]);
    expect(service(type(ways, 'n2').sent)).toEqual([[at('19:40')]]);
    expect(service(type(ways, 'n3').sent)).toEqual([[at('19:50')]]);
    expect(type(ways, 'n4').sent).toEqual([]);
    expect(type(ways, 'nk').sent).toEqual([{ kind: 'declined' }]);
    expect(promptOf(type(ways, 'n'))).toBe(
      '1-3 takes that way (space: 1)   k keeps the old timetable   Esc later',
    );
  });

  test('way 2 says the same in words', () => {
    expect(service(words(ways, 'way 1'))).toEqual([proposal?.timetable.service]);
    expect(service(words(ways, 'way 3'))).toEqual([[at('19:50')]]);
    expect(words(ways, 'way 4')).toBe('way 1 to 3');
    expect(words(calm, 'way 2')).toBe('no new timetable is offered');
  });
});
