import { describe, expect, test } from 'vitest';
import { press } from '../../src/board/keys.ts';
import type { Act } from '../../src/board/pressed.ts';
import { FRESH, PROMPT_LASTS, promptWords, settle, type Ui } from '../../src/board/ui.ts';
import type { Happening } from '../../src/bench/index.ts';
import type { Component } from '../../src/plan/index.ts';
import { minutes, seconds, temperatureOf } from '../../src/units/index.ts';
import { SCENES } from '../support/scenes.ts';
import {
  at,
  CREAM,
  ended,
  FINISH,
  KITCHEN,
  ran,
  running,
  scene,
  SHELLS,
  type Scene,
} from '../support/states.ts';

const { 'call-due': due, 'oven-clash': clash, 'two-running': calm } = SCENES;
if (!due || !clash || !calm) throw new Error('scenes are missing');

interface Typed {
  readonly ui: Ui;
  readonly acts: readonly Act[];
  /** What the keeper would get. */
  readonly sent: readonly Happening[];
}

/** Types keys on a board that shows the scene, `gap` ms apart; what stands topmost has stood for long. */
function type(on: Scene, keys: readonly string[], gap = 1000, from: Ui = FRESH): Typed {
  let ui = from;
  const acts: Act[] = [];
  for (const [index, key] of keys.entries()) {
    const pressing = { state: on.state, now: on.now, at: 10_000 + index * gap, shownSince: 0 };
    const pressed = press(ui, key, pressing);
    ui = pressed.ui;
    acts.push(...pressed.acts);
  }
  return { ui, acts, sent: acts.flatMap((act) => (act.kind === 'send' ? [act.happening] : [])) };
}

const noteOf = (typed: Typed): string | undefined => typed.ui.note?.text;
const promptOf = (typed: Typed): string | undefined => typed.ui.prompt && promptWords(typed.ui.prompt);

describe('space', () => {
  test('answers the topmost due call', () => {
    expect(type(due, [' ']).sent).toEqual([{ kind: 'start', step: 'shells.bake high', at: due.now }]);
  });

  test('says heard to a high alarm nobody has heard, before any call', () => {
    expect(type(clash, [' ']).sent).toEqual([{ kind: 'heard', key: 'oven clash shells' }]);
  });

  test('answers what is open when nothing is due', () => {
    const open = scene({ now: '18:16:40', calls: due.state.calls.slice(1) });
    expect(type(open, [' ']).sent).toEqual([{ kind: 'done', step: 'cream.thicken', at: open.now }]);
  });

  test('does not answer what is open before it has stood a moment: the press was meant for what stood there', () => {
    const open = scene({ now: '18:16:40', calls: due.state.calls.slice(1) });
    const pressed = press(FRESH, ' ', { state: open.state, now: open.now, at: 10_000, shownSince: 9_700 });
    expect(pressed.acts).toEqual([]);
    expect(pressed.ui.note?.text).toContain('press again: cream');
  });

  test('does not answer a call that came to stand there as the finger fell', () => {
    const pressing = { state: due.state, now: due.now, at: 10_000, shownSince: 9_900 };
    expect(press(FRESH, ' ', pressing).acts).toEqual([]);
    expect(press(FRESH, ' ', { ...pressing, shownSince: 9_700 }).acts).toHaveLength(1);
  });

  test('does nothing where nothing is asked', () => {
    const typed = type(calm, [' ']);
    expect(typed.sent).toEqual([]);
    expect(noteOf(typed)).toBe('nothing is waiting for an answer');
  });

  test('is one press within 250 ms, and goes on being one while the key is held', () => {
    expect(type(due, [' ', ' ', ' ', ' '], 200).sent).toHaveLength(1);
  });

  test('does not answer one call twice while the answer is on its way', () => {
    expect(type(due, [' ', ' '], 400).sent).toHaveLength(1);
  });

  test('only goes back from a page', () => {
    const typed = type(due, ['l', ' ']);
    expect(typed.sent).toEqual([]);
    expect(typed.ui.page).toBe('board');
  });

  test('answers in the far view', () => {
    expect(type(due, ['v', ' ']).sent).toHaveLength(1);
  });
});

describe('two presses', () => {
  test.each([
    ['b', '4', { kind: 'start', step: 'shells.bake high', at: at('18:12:40') }],
    ['b', '0', { kind: 'start', step: 'shells.bake high', at: at('18:06:40') }],
    ['m', '3', { kind: 'more', step: 'cream.thicken', length: 180 }],
    ['m', '0', { kind: 'more', step: 'cream.thicken', length: 600 }],
    ['s', ' ', { kind: 'skip', step: 'cream.thicken' }],
    ['x', ' ', { kind: 'lost', component: 'cream' }],
    ['t', '5', { kind: 'timer', name: 'timer 1', length: 300 }],
    ['1', 'd', { kind: 'done', step: 'cream.thicken', at: due.now }],
    ['2', 'd', { kind: 'start', step: 'shells.bake high', at: due.now }],
    ['2', 'o', { kind: 'door', oven: 'oven', door: 'open' }],
  ])('%s %s', (first, second, happening) => {
    expect(type(due, [first, second]).sent).toEqual([happening]);
  });

  test('a chosen component is what the next key is about', () => {
    expect(type(clash, ['1', 'm', '2']).sent).toEqual([{ kind: 'more', step: 'cream.chill', length: 120 }]);
    expect(type(clash, ['2', 'x', ' ']).sent).toEqual([{ kind: 'lost', component: 'shells' }]);
    expect(type(clash, ['3', 's', ' ']).sent).toEqual([{ kind: 'skip', step: 'finish.whip' }]);
    expect(type(clash, ['1', 'esc']).ui.selected).toBeUndefined();
  });

  test('a chosen component is for one act, and chosen for twenty seconds', () => {
    expect(type(clash, ['1', 'm', '2']).ui.selected).toBeUndefined();
    const { ui } = type(clash, ['1']);
    expect(settle(ui, 10_000 + PROMPT_LASTS - 1).selected).toBe(0);
    expect(settle(ui, 10_000 + PROMPT_LASTS).selected).toBeUndefined();
  });

  test('what is dated back is what was asked about', () => {
    // The chosen component's, not the topmost.
    expect(type(due, ['1', 'b', '4']).sent).toEqual([
      { kind: 'done', step: 'cream.thicken', at: at('18:12:40') },
    ]);
    expect(promptOf(type(due, ['1', 'b']))).toContain('cream: done when a spoon leaves a clean track: done');
    // Nothing calls for it yet, and it is over all the same.
    expect(type(calm, ['2', 'b', '3']).sent).toEqual([
      { kind: 'done', step: 'shells.bake high', at: at('18:17:30') },
    ]);
    // Another call has come to stand topmost between the two presses; then what was asked about is gone.
    const asked = type(due, ['b']).ui;
    const [first, second] = due.state.calls;
    if (!first || !second) throw new Error('calls are missing');
    const swapped = { ...due, state: { ...due.state, calls: [second, first] } };
    expect(type(swapped, ['4'], 1000, asked).sent).toEqual([
      { kind: 'start', step: 'shells.bake high', at: at('18:12:40') },
    ]);
    const gone = type({ ...due, state: { ...due.state, calls: [second] } }, ['4'], 1000, asked);
    expect(gone.sent).toEqual([]);
    expect(noteOf(gone)).toBe('that has been answered meanwhile');
  });

  test('a prompt says what it waits for, and other keys change nothing', () => {
    const typed = type(due, ['m', 'z']);
    expect(promptOf(typed)).toBe('cream: thicken: how many more minutes?  1-9 (0 is 10)   Esc no');
    expect(typed.sent).toEqual([]);
    expect(type(due, ['m', 'esc', ' ']).sent).toHaveLength(1);
  });

  test('a prompt goes away after twenty seconds', () => {
    const { ui } = type(due, ['m']);
    expect(settle(ui, 10_000 + PROMPT_LASTS - 1).prompt).toBeDefined();
    expect(settle(ui, 10_000 + PROMPT_LASTS).prompt).toBeUndefined();
  });
});

describe('figures', () => {
  test.each([
    [['r', '5', '5', '.', '5', 'enter'], 55.5, 'C'],
    [['r', '-', '1', '8', 'enter'], -18, 'C'],
    [['r', '1', '3', 'backspace', '2', 'f', 'enter'], 12, 'F'],
  ])('a reading %j', (keys, figure, scale) => {
    // Two equal figures typed quickly are two.
    const [sent] = type(due, keys, 100).sent;
    expect(sent).toMatchObject({ kind: 'reading', probe: 'cream', temperature: { figure, scale } });
  });

  test.each([[['r', 'enter']], [['r', '9', '9', '9', '9', 'enter']], [['r', '.', '-', 'enter']]])(
    'no reading: %j',
    (keys) => {
      const typed = type(due, keys);
      expect(typed.sent).toEqual([]);
      expect(noteOf(typed)).toContain('is no temperature of a kitchen');
    },
  );

  describe('where the plan has several probes', () => {
    const probed = {
      kind: 'probe',
      goal: { kind: 'reaches', to: temperatureOf(76, 'C') },
      lasting: seconds(10),
    } as const;
    const withProbe = (components: readonly Component[]): Component[] =>
      components.map((each) =>
        each.name !== 'shells'
          ? each
          : { ...each, steps: each.steps.map((step) => ({ ...step, until: { ...probed, probe: 'dough' } })) },
      );
    const two = (on: Scene): Scene => {
      const { workload } = on.state.setup;
      const setup = {
        ...on.state.setup,
        workload: { ...workload, components: withProbe(workload.components) },
      };
      return { ...on, state: { ...on.state, setup } };
    };
    test('the running step says which is meant, and r chooses another', () => {
      // Only the shells' bake runs beside the cream's chill at first; with the cream alone there is no question.
      const cream = two(
        scene({
          now: '18:16:40',
          components: [
            ran(CREAM, ended('17:50', '17:56'), ended('17:56', '18:06'), running('18:07')),
            ran(SHELLS),
            ran(FINISH),
          ],
        }),
      );
      expect(promptOf(type(cream, ['r']))).toBe(
        'cream: _ C   f or c to change   r other probe   Enter   Esc no',
      );
      expect(promptOf(type(cream, ['r', 'r']))).toBe('which probe?  1 cream   2 dough   Esc no');
      expect(type(cream, ['r', 'r', '2', '7', '6', 'enter']).sent).toMatchObject([
        { kind: 'reading', probe: 'dough' },
      ]);
    });
    test('so does the chosen component', () => {
      expect(promptOf(type(two(clash), ['r']))).toContain('which probe?');
      expect(promptOf(type(two(clash), ['2', 'r']))).toContain('dough: _ C');
    });
  });

  test('a timer of any length, with a name of its own', () => {
    const busy = scene({
      now: '18:16:40',
      more: { timers: [{ name: 'timer 1', startedAt: at('18:10'), endsAt: at('18:20') }] },
    });
    expect(type(busy, ['t', 't', '9', '0', 'enter']).sent).toEqual([
      { kind: 'timer', name: 'timer 2', length: 5400 },
    ]);
    expect(noteOf(type(busy, ['t', 't', '0', 'enter']))).toBe('a timer is 0.1 to 1440 minutes');
  });
});

describe('the others', () => {
  test('u takes back, and says so where there is nothing to take back', () => {
    const undoable = scene({
      now: '18:16:40',
      more: {
        history: [
          { id: 'a', time: at('18:10'), source: 'cook', kind: 'timer', name: 'tea', length: minutes(5) },
        ],
      },
    });
    expect(type(undoable, ['u']).sent).toEqual([{ kind: 'undo' }]);
    expect(noteOf(type(due, ['u']))).toBe('there is nothing to take back');
  });

  test('h hears everything that sounds and answers nothing', () => {
    expect(type(clash, ['h']).sent).toEqual([{ kind: 'heard', key: 'oven clash shells' }]);
    expect(type(due, ['h']).sent).toEqual([
      { kind: 'heard', key: 'shells: trays into the oven, middle shelf' },
    ]);
  });

  test('o opens and shuts the door; with several ovens it asks which', () => {
    const [oven] = calm.state.ovens;
    const two = {
      ...calm,
      state: { ...calm.state, ovens: oven ? [oven, { ...oven, oven: 'deck', door: 'open' as const }] : [] },
    };
    expect(promptOf(type(two, ['o']))).toBe('which oven?  1 oven   2 deck   Esc no');
    expect(type(two, ['o', '2']).sent).toEqual([{ kind: 'door', oven: 'deck', door: 'shut' }]);
    expect(KITCHEN.ovens).toHaveLength(1);
  });

  test('q asks; Enter leaves, e ends the run, Esc stays', () => {
    expect(promptOf(type(due, ['q']))).toBe('leave the run going: Enter   end the run: e   stay: Esc');
    expect(type(due, ['q', 'enter']).acts).toEqual([{ kind: 'leave' }]);
    expect(type(due, ['q', 'e']).acts).toEqual([{ kind: 'end run' }]);
    expect(type(due, ['q', 'esc']).acts).toEqual([]);
    expect(type(due, ['ctrl-c', 'ctrl-c'], 500).acts).toEqual([{ kind: 'leave' }]);
  });

  test('a key that means nothing says where the keys are told', () => {
    expect(noteOf(type(due, ['j']))).toBe('"j" does nothing here; ? shows all keys');
  });

  test('the first key of somebody who comes back only goes to the board', () => {
    const absence = { from: at('18:00'), to: at('18:16'), reason: 'machine slept' as const };
    const typed = type(due, [' '], 1000, { ...FRESH, absence });
    expect(typed.sent).toEqual([]);
    expect(typed.ui.absence).toBeUndefined();
  });
});
