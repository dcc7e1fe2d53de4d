import { describe, expect, test } from 'vitest';
import { project, type BenchState } from '../../src/bench/index.ts';
import { showsStage } from '../../src/board/stage-keys.ts';
import { press } from '../../src/board/keys.ts';
import type { Ui } from '../../src/board/ui.ts';
import { wordsAsk } from '../../src/board/words.ts';
import { seconds, type EpochMs } from '../../src/units/index.ts';
import { boardView, plainLines, statusLines } from '../../src/view/index.ts';
import { TestRun } from '../support/bench.ts';
import { at } from '../support/plans.ts';
import { screens } from '../support/screens.ts';
import { done, onAir, stageSetup, start } from '../support/stage-fixture.ts';

/** Everything up to the film, in time; the puffs went into the oven half a minute late. */
function lateBake(): TestRun {
  const run = onAir();
  done(run, '13:01:30', 'stage.welcome');
  done(run, '13:02:30', 'discs A.stamp');
  done(run, '13:03:30', 'puffs.pipe');
  return start(run, '13:04:00', 'puffs.bake');
}

const SPOILT = { kind: 'spoilt', swap: 'A' } as const;

const SCENES: Readonly<Record<string, () => readonly [TestRun, string]>> = {
  before: () => [new TestRun(stageSetup()).clock('12:30'), '12:30:20'],
  welcome: () => [onAir(), '13:00:40'],
  over: () => [onAir(), '13:01:55'],
  under: () => [done(onAir(), '13:01:00', 'stage.welcome'), '13:01:05'],
  waiting: () => [lateBake(), '13:05:40'],
  // The backup was dropped, too.
  spoilt: () => [onAir().do('13:00:20', SPOILT).do('13:00:30', SPOILT), '13:00:40'],
  after: () => {
    const run = lateBake();
    start(run, '13:06:00', 'puffs.fill');
    done(run, '13:07:20', 'puffs.fill');
    return [done(run, '13:07:45', 'stage.plate'), '13:08:00'];
  },
};

function scene(name: string): { state: BenchState; now: EpochMs; projection: ReturnType<typeof project> } {
  const [run, time] = SCENES[name]?.() ?? [onAir(), '13:00:40'];
  const { state } = run.clock(time);
  return { state, now: at(time), projection: project(state, at(time)) };
}

describe('the stage', () => {
  for (const name of Object.keys(SCENES))
    test.each(['60x20', '80x24', '120x40'])(`${name} at %s`, async (size) => {
      // On air it is there by itself; else it is asked for. (The first key takes the page for who comes back away.)
      const asked = name === 'before' || name === 'after' ? 'lg' : '';
      const { seen, kept } = await screens(`stage-${name}`, scene(name), size, asked);
      expect(seen).toBe(kept);
    });
  test.each(['40x10', '200x60'])('welcome at %s', async (size) => {
    const { seen, kept } = await screens('stage-welcome', scene('welcome'), size);
    expect(seen).toBe(kept);
  });
});

const FRESH: Ui = { page: 'board', sent: [] };

/** What keys do at a scene, one after the other, half a second apart: what is sent, and what is noted last. */
function type(
  name: string,
  keys: string,
): { readonly sent: readonly unknown[]; readonly note?: string; readonly ui: Ui } {
  const { state, now } = scene(name);
  let ui = FRESH;
  const sent: unknown[] = [];
  for (const [index, key] of Array.from(keys).entries()) {
    const pressed = press(ui, key, { state, now, at: 5000 + 500 * index, shownSince: 0 });
    ui = pressed.ui;
    sent.push(...pressed.acts.flatMap((act) => (act.kind === 'send' ? [act.happening] : [])));
  }
  return { sent, ui, ...(ui.note ? { note: ui.note.text } : {}) };
}

describe('its keys', () => {
  test('space goes on to the next showing', () => {
    expect(type('welcome', ' ').sent).toEqual([{ kind: 'done', step: 'stage.welcome', at: at('13:00:40') }]);
  });

  test('space says what a showing waits for while it cannot begin', () => {
    expect(type('waiting', ' ')).toMatchObject({ sent: [], note: 'not yet: puffs: bake is not over' });
  });

  test('a press at once after the last one is none', () => {
    const { state } = scene('under');
    const now = at('13:01:00');
    const pressed = press(FRESH, ' ', { state, now, at: 5000, shownSince: 0 });
    expect(pressed).toMatchObject({
      acts: [],
      ui: { note: { text: 'stamp the discs has just begun: press again' } },
    });
  });

  test.each([
    ['over', 'c', [{ kind: 'length', step: 'discs A.stamp', length: seconds(35) }], undefined],
    ['over', 'f', [], 'nothing to stretch: it ends in time'],
    ['under', 'f', [{ kind: 'length', step: 'discs A.stamp', length: seconds(90) }], undefined],
    ['under', 'c', [], 'nothing to cut: it ends in time'],
    ['before', 'c', [], 'it is not on air: nothing to cut'],
    ['welcome', 'j', [], 'nothing is due off view'],
    ['under', 'j', [], 'nothing is due off view'],
  ] as const)('%s: %s', (name, key, sent, note) => {
    const typed = type(name, key);
    expect(typed.sent).toEqual(sent);
    expect(typed.note).toBe(note);
  });

  test('b and a figure: the next showing has been going for so many tens of seconds', () => {
    expect(type('welcome', 'b').ui.prompt).toMatchObject({
      kind: 'stage back',
      name: 'on to stamp the discs',
    });
    expect(type('welcome', 'b2').sent).toEqual([{ kind: 'done', step: 'stage.welcome', at: at('13:00:20') }]);
    expect(type('welcome', 'b5')).toMatchObject({ sent: [], note: 'welcome began 40 s ago' });
    const { state, now } = scene('welcome');
    expect(wordsAsk('next 20', state, now)).toMatchObject({
      kind: 'send',
      happenings: [{ kind: 'done', step: 'stage.welcome', at: at('13:00:20') }],
    });
    expect(type('waiting', 'b1')).toMatchObject({ sent: [], note: 'not yet: puffs: bake is not over' });
  });

  test('x and a figure: a swap is spoilt', () => {
    const asked = type('welcome', 'x');
    expect(asked.ui.prompt).toMatchObject({ kind: 'spoilt', swaps: ['A'] });
    expect(type('welcome', 'x1').sent).toEqual([SPOILT]);
    expect(type('welcome', 'x2')).toMatchObject({ sent: [], ui: { prompt: { kind: 'spoilt' } } });
    expect(type('spoilt', 'x')).toMatchObject({ sent: [], note: 'no swap is left that could be spoilt' });
    // Where the bench is shown, x makes a component again.
    expect(type('welcome', 'g1x').ui.prompt).toMatchObject({ kind: 'lost' });
  });

  test('j answers what is due off view, space does not', () => {
    const run = onAir();
    done(run, '13:01:30', 'stage.welcome');
    const { state } = run.clock('13:02:10');
    const pressing = { state, now: at('13:02:10'), at: 5000, shownSince: 0 };
    expect(press(FRESH, 'j', pressing).acts).toMatchObject([
      { happening: { kind: 'start', step: 'cream.lighten' } },
    ]);
    expect(press(FRESH, ' ', pressing).acts).toMatchObject([
      { happening: { kind: 'done', step: 'discs A.stamp' } },
    ]);
  });

  test('while a showing is waited for, j also ends what it waits for', () => {
    const setup = stageSetup();
    const bake = {
      kind: 'takes',
      range: { low: seconds(100), usual: seconds(120), high: seconds(200) },
    } as const;
    const components = setup.workload.components.map((component) => ({
      ...component,
      steps: component.steps.map((step) => (step.id === 'puffs.bake' ? { ...step, length: bake } : step)),
    }));
    const run = onAir('13:00:00', { ...setup, workload: { ...setup.workload, components } });
    done(run, '13:01:30', 'stage.welcome');
    done(run, '13:02:30', 'discs A.stamp');
    done(run, '13:03:30', 'puffs.pipe');
    start(run, '13:04:00', 'puffs.bake');
    const { state } = run.clock('13:05:35');
    const pressing = { state, now: at('13:05:35'), at: 5000, shownSince: 0 };
    const sent = press(FRESH, 'j', pressing).acts.map((act) => act.kind === 'send' && act.happening);
    expect(sent).toEqual([{ kind: 'start', step: 'cream.lighten', at: at('13:05:35') }]);
    const free = run.do('13:05:35', { kind: 'skip', step: 'cream.lighten' as never }).state;
    expect(press(FRESH, 'j', { ...pressing, state: free }).acts).toMatchObject([
      { happening: { kind: 'done', step: 'puffs.bake' } },
    ]);
  });

  test('g turns from the stage to the bench and back; there space answers the topmost call', () => {
    expect(type('welcome', 'g').ui).toMatchObject({ stage: { isShown: false } });
    expect(type('welcome', 'gg').ui).toMatchObject({ stage: { isShown: true } });
    expect(type('before', 'g').ui).toMatchObject({ stage: { isShown: true } });
  });

  test('whoever has looked at it before, and gone back to the bench, has the stage on air all the same', () => {
    const { ui } = type('before', 'gg');
    expect([showsStage(ui, 'before'), showsStage(ui, 'on air')]).toEqual([false, true]);
  });

  test('in a run that is no demonstration they do nothing', () => {
    const { rundown: _, ...setup } = stageSetup();
    const run = new TestRun(setup).clock('12:30');
    const pressed = press(FRESH, 'g', { state: run.state, now: at('12:30'), at: 5000, shownSince: 0 });
    expect(pressed.ui.note?.text).toBe('"g" does nothing here; ? shows all keys');
  });
});

describe('in plain lines', () => {
  test('how it stands', () => {
    const { state, now } = scene('over');
    const lines = statusLines({ state, now }, boardView(state, now, { axisWidth: 40 }));
    expect(lines.filter((line) => !/^(?:stage|discs A|puffs|cream|oven)\b/.test(line))).toMatchSnapshot();
  });

  test('that it runs over is said once, with what can be done', () => {
    const run = onAir();
    const look = (time: string): { state: BenchState; now: EpochMs } => ({
      state: run.clock(time).state,
      now: at(time),
    });
    const before = look('13:01:30');
    const first = look('13:01:45');
    const second = look('13:01:47');
    const said = (lines: readonly string[]): string[] => lines.filter((line) => line.includes('STAGE'));
    expect(said(plainLines(before, first))).toEqual([
      '13:01:45 STAGE 0:15 over: "cut" takes this: cut to 45 s (0:15 less): stamp the discs',
    ]);
    expect(said(plainLines(first, second))).toEqual([]);
  });

  test.each([
    ['welcome', 'next', { kind: 'done', step: 'stage.welcome', at: at('13:00:40') }],
    ['over', 'cut', { kind: 'length', step: 'discs A.stamp', length: seconds(35) }],
    ['under', 'stretch', { kind: 'length', step: 'discs A.stamp', length: seconds(90) }],
    ['welcome', 'spoilt A', SPOILT],
  ] as const)('%s: the word %s', (name, word, happening) => {
    const { state, now } = scene(name);
    expect(wordsAsk(word, state, now)).toMatchObject({ kind: 'send', happenings: [happening] });
  });

  test('what cannot be done is said', () => {
    const { state, now } = scene('welcome');
    expect(wordsAsk('cut', state, now)).toEqual({ kind: 'say', text: 'nothing to cut: it ends in time' });
    expect(wordsAsk('spoilt z', state, now)).toEqual({ kind: 'say', text: 'which swap? A' });
  });
});
