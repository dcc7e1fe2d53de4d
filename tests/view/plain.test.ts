import { expect, test } from 'vitest';
import { plainLines, servedWords, statusLines, viewOf } from '../../src/view/index.ts';
import { SCENES } from '../support/scenes.ts';
import { at, call, named, scene, type SceneWords } from '../support/states.ts';

const look = (words: SceneWords) => {
  const { state, now } = scene(words);
  return { state, now };
};
const CALL = call(
  { kind: 'start', step: named('shells.bake high') },
  'shells: trays into the oven',
  '18:16',
  {
    latest: { at: at('18:25'), breaks: 'a skin forms' },
    caution: 'steam burns',
  },
);
const ALARM = SCENES['oven-clash']?.state.alarms[0];

test('a call is said when it becomes due, once, and again each time it is raised', () => {
  const open = look({ now: '18:15:00', calls: [{ ...CALL, raised: 0 }] });
  const due = look({ now: '18:16:00', calls: [CALL] });
  const still = look({ now: '18:17:00', calls: [CALL] });
  const again = look({ now: '18:18:00', calls: [{ ...CALL, raised: 2 }] });
  expect(plainLines(look({ now: '18:14' }), open)).toEqual([
    '18:15:00 soon, at 18:16: shells: trays into the oven (by 18:25: a skin forms) Caution: steam burns.',
  ]);
  expect(plainLines(open, due)).toEqual([
    '18:16:00 CALL shells: trays into the oven (by 18:25: a skin forms) Caution: steam burns.',
  ]);
  expect(plainLines(due, still)).toEqual([]);
  expect(plainLines(still, again)).toEqual([
    '18:18:00 CALL shells: trays into the oven (by 18:25: a skin forms) Caution: steam burns. (due 2 min ago)',
  ]);
});

test('past the latest moment a call says that it was to be by then', () => {
  const before = look({ now: '18:15:00' });
  expect(plainLines(before, look({ now: '18:26:00', calls: [CALL] }))).toEqual([
    '18:26:00 CALL shells: trays into the oven (was to be by 18:25: a skin forms) Caution: steam burns.',
  ]);
});

test('a call that was open becomes due by time alone', () => {
  expect(
    plainLines(look({ now: '18:15:59', calls: [CALL] }), look({ now: '18:16:01', calls: [CALL] })),
  ).toHaveLength(1);
});

test('an alarm says cause, consequence, what to do and how long there is, and when it is over', () => {
  if (!ALARM) throw new Error('no alarm');
  const before = look({ now: '18:31' });
  const raised = look({ now: '18:33', alarms: [ALARM] });
  expect(plainLines(before, raised)).toEqual([
    '18:33:00 ALARM high: bake low still wants 180 C when dry wants the oven off, at 18:47. Else: the shells stay damp and fall. Do: give bake low no more than 14 min, or dry them later. Time left: 14 min.',
  ]);
  const over = ['18:34:00 ALARM over: bake low still wants 180 C when dry wants the oven off, at 18:47'];
  expect(plainLines(raised, look({ now: '18:34' }))).toEqual(over);
  expect(plainLines(raised, look({ now: '18:34', alarms: [{ ...ALARM, state: 'returned' }] }))).toEqual(over);
});

test('what happened is said once; what is taken back is said to be undone', () => {
  const a = { at: at('18:10'), text: 'shells: pipe begins', kind: 'step' as const };
  const b = { at: at('18:11'), knownAt: at('18:15'), text: 'shells: pipe is over', kind: 'step' as const };
  const one = look({ now: '18:14', log: [a] });
  const two = look({ now: '18:15', log: [a, b] });
  expect(plainLines(one, two)).toEqual(['18:15:00 shells: pipe is over (at 18:11)']);
  expect(plainLines(two, two)).toEqual([]);
  expect(plainLines(two, look({ now: '18:16', log: [a] }))).toEqual([
    '18:16:00 undone: shells: pipe is over',
  ]);
});

test('status in a few lines', () => {
  const due = SCENES['call-due'];
  if (!due) throw new Error('no scene');
  const view = viewOf(due.state, due.projection, due.now, { axisWidth: 40 });
  expect(statusLines(due, view)).toEqual([
    '18:16:40 Gallery opening: serve 19:30, 12 min in hand.',
    'CALL shells: trays into the oven, middle shelf (by 18:24: a skin forms and the shells split) Caution: steam burns.',
    'soon, usually at 18:18: cream: done when a spoon leaves a clean track',
    'cream: runs thicken over 5:40 past 13 min',
    'shells: due bake high out 7:50 left, out 18:14',
    'finish: waits whip in 48 min at 19:05',
    'oven: at 220 C, door shut',
    'probe cream: 78.5 C 1 min ago',
    'next 18:18 cream: done when a spoon leaves a clean track',
    'next 18:18 cream: into the fridge, shallow',
    'hands on cream: thicken',
  ]);
});

test.each([
  ['19:30:20', '19:30:20 served: Gallery opening, 40 buns, on time for 19:30'],
  ['19:37:00', '19:37:00 served: Gallery opening, 40 buns, 7 min late for 19:30'],
  ['19:18:00', '19:18:00 served: Gallery opening, 40 buns, 12 min early for 19:30'],
])('served at %s', (when, words) => {
  const { state } = look({ now: when, more: { servedAt: at(when) } });
  expect(servedWords(state)).toBe(words);
  expect(servedWords(look({ now: when }).state)).toBeUndefined();
});
