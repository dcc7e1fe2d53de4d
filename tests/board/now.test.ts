import { describe, expect, test } from 'vitest';
import { takenFor } from '../../src/board/choices.ts';
import { wordsOf } from '../../src/board/lines.ts';
import { paintNow } from '../../src/board/paint-now.ts';
import { axisWidth, paintScreen } from '../../src/board/screen.ts';
import { FRESH, type LinkState } from '../../src/board/ui.ts';
import type { NowView } from '../../src/view/index.ts';
import { viewOf } from '../../src/view/index.ts';
import { SCENES } from '../support/scenes.ts';
import {
  at,
  CREAM,
  ended,
  FINISH,
  named,
  ran,
  running,
  scene,
  SHELLS,
  type Scene,
} from '../support/states.ts';

const ALARM: NowView = {
  kind: 'alarm',
  who: 'oven clash',
  what: 'give the lower bake no more than fourteen minutes, or dry them later',
  shorter: ['give the lower bake no more than fourteen minutes'],
  figures: '13:40',
  meaning: 'left',
  stakes: 'bake low still wants 180 C when dry wants the oven off, at 18:47: the shells stay damp and fall',
  press: 'heard',
  unheard: true,
  others: [{ text: 'cream: into the fridge' }],
};
const painted = (now: NowView, width: number, rows: number): string[] =>
  paintNow(now, width, rows, false).map((row) => wordsOf(row).trimEnd());

const screen = (
  { state, projection, now }: Scene,
  width: number,
  height: number,
  link: LinkState = {},
): string[] =>
  paintScreen(
    viewOf(state, projection, now, { axisWidth: axisWidth(width) }),
    { ui: FRESH, link, beat: false, now },
    { width, height },
    [],
  ).map((row) => wordsOf(row).trimEnd());

describe('NOW', () => {
  test('where no wording fits in large letters the words stand beside the figures, and all of an alarm is told', () => {
    expect(painted(ALARM, 60, 7)).toEqual([
      '██ ALARM  oven clash                                   left',
      '██ give the lower bake no more than       ▄█  ▀▀█ ▄ █ █ █▀█',
      '██ fourteen minutes, or dry them later     █   ▀█ ▄ ▀▀█ █ █',
      '██                                        ▀▀▀ ▀▀▀     ▀ ▀▀▀',
      '██ bake low still wants 180 C when dry wants the oven off,',
      '██ at 18:47: the shells stay damp and fall',
      '██ also due: cream: into the fridge',
    ]);
  });

  test('what has no room is cut in sight, and never left out without a sign', () => {
    const short = painted(ALARM, 60, 5);
    expect(short).toHaveLength(5);
    expect(short.at(-1)).toBe('██ bake low still wants 180 C when dry wants the oven off,…');
  });

  test('what is not due says so: in the head, over the figures, and by the key', () => {
    const soon = SCENES['call-due'];
    if (!soon) throw new Error('no scene');
    const calls = soon.state.calls.slice(0, 1);
    const early = screen(scene({ now: '18:14:00', calls }), 80, 23);
    expect(early.join('\n')).toMatch(/ {3}SOON {2}SHELLS +not due yet\n/);
    expect(early.at(-1)).toBe(' space shells: started already   u take back   b it was earlier   ? all keys');
    const late = screen(scene({ now: '18:16:40', calls }), 80, 23);
    expect(late.join('\n')).toMatch(/██ SHELLS +since due\n/);
  });

  test('busy hands are told in large letters, with what to watch for', () => {
    const components = [ran(CREAM, ended('17:50', '17:56'), running('17:56')), ran(SHELLS), ran(FINISH)];
    const rows = screen(scene({ now: '17:57', components }), 80, 23);
    expect(rows.some((row) => row.includes('█▀█ █▀█ █ ▀█ █ █  ▀▄    █  █ █ ▀█'))).toBe(true);
    expect(rows).toContain('   thicken: until a spoon leaves a clean track');
  });
});

test('what the hands are on never cuts what comes next', () => {
  const due = SCENES['call-due'];
  if (!due) throw new Error('no scene');
  const [next] = screen(due, 72, 23).filter((row) => row.startsWith('   next'));
  expect(next).toBe('   next 18:18  in 1:20  cream: done when a spoon leaves a clean track');
});

test.each([80, 120])('a door that is open while it must stay shut is not drawn as shut: %d', (width) => {
  const calm = SCENES['two-running'];
  const [oven] = calm?.state.ovens ?? [];
  if (!calm || !oven) throw new Error('no scene');
  const state = { ...calm.state, ovens: [{ ...oven, door: 'open' as const }] };
  const text = screen({ ...calm, state }, width, 39).join('\n');
  expect(text).toContain('OPEN: shut it');
  expect(text).not.toContain('keep shut');
});

test('once the run is over no key is offered but any', () => {
  const rows = screen(scene({ now: '19:40', more: { servedAt: at('19:31') } }), 80, 23, {
    ended: 'served: the run is over; any key closes the board',
  });
  expect(rows[1]).toContain('any key closes the board');
  expect(rows.at(-1)).toBe('');
});

describe('a press that is dated back further than can be', () => {
  const { state } = scene({
    now: '18:20',
    components: [ran(CREAM, ended('17:50', '17:56'), running('17:56')), ran(SHELLS), ran(FINISH)],
  });
  const start = (clock: string) =>
    takenFor(state, { kind: 'start', step: named('cream.thicken'), at: at(clock) });
  test('is told what it was counted from', () => {
    expect(start('17:50')).toBe('from 17:56, it cannot have been earlier: ');
    expect(takenFor(state, { kind: 'done', step: named('cream.warm'), at: at('17:40') })).toBe(
      'from 17:56, it cannot have been earlier: ',
    );
  });
  test('and nothing where it was taken as said', () => {
    expect(start('17:56')).toBe('');
    expect(takenFor(state, { kind: 'undo' })).toBe('');
  });
});
