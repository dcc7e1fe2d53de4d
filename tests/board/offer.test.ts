import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { press } from '../../src/board/keys.ts';
import type { Act } from '../../src/board/pressed.ts';
import { wordsAsk } from '../../src/board/words.ts';
import { FRESH, settle, type Ui } from '../../src/board/ui.ts';
import { bundleFixture, type Fixture } from '../support/fixture.ts';
import { SCENES } from '../support/scenes.ts';
import type { Scene } from '../support/states.ts';
import { openTerminal, type Terminal } from '../support/terminal.ts';

/* A new timetable on the board: the keys that ask for one, show it, take it and leave it. */
const { 'offer-kept': offered, 'two-running': calm } = SCENES;
if (!offered || !calm) throw new Error('scenes are missing');
const proposal = offered.state.replanning.proposal;
if (!proposal) throw new Error('nothing is offered in that scene');

function type(on: Scene, keys: string, from: Ui = FRESH): { readonly ui: Ui; readonly acts: readonly Act[] } {
  let ui = from;
  const acts: Act[] = [];
  for (const [index, key] of Array.from(keys).entries()) {
    const pressed = press(ui, key, {
      state: on.state,
      now: on.now,
      at: 10_000 + index * 1000,
      shownSince: 0,
    });
    ui = pressed.ui;
    acts.push(...pressed.acts);
  }
  return { ui, acts };
}

const sent = ({ acts }: { readonly acts: readonly Act[] }): unknown[] =>
  acts.map((act) => (act.kind === 'send' ? [act.happening, act.said] : act.kind));
/** The scene with something else on offer than what the cook saw. */
const another = (id: string | undefined): Scene => {
  const { proposal: _, ...rest } = offered.state.replanning;
  const replanning = id === undefined ? rest : { ...rest, proposal: { ...proposal, id } };
  return { ...offered, state: { ...offered.state, replanning } };
};

describe('keys', () => {
  test('n asks for a new timetable where none is offered, once', () => {
    expect(sent(type(calm, 'n'))).toEqual([
      [{ kind: 'timetable asked' }, 'a new timetable is being worked out'],
    ]);
    const asked = { ...calm.state, replanning: { ...calm.state.replanning, asked: 'asked e1' } };
    const again = type({ ...calm, state: asked }, 'n');
    expect([again.acts, again.ui.note?.text]).toEqual([[], 'a new timetable is being worked out']);
  });

  test('n space takes the one that is offered, and n k keeps the old one', () => {
    expect(sent(type(offered, 'n '))).toEqual([
      [{ kind: 'timetable', timetable: proposal.timetable }, 'new timetable   u takes it back'],
    ]);
    expect(sent(type(offered, 'nk'))).toEqual([
      [{ kind: 'declined' }, 'the old timetable goes on   u takes it back'],
    ]);
  });

  test('n alone, a second n, or Esc changes nothing', () => {
    expect(sent(type(offered, 'nn'))).toEqual([]);
    expect(type(offered, 'n').ui.prompt?.kind).toBe('offer');
    const pressing = { state: offered.state, now: offered.now, at: 99_000, shownSince: 0 };
    expect(press(type(offered, 'n').ui, 'esc', pressing).ui.prompt).toBeUndefined();
  });

  test('space without n answers a call and never takes a timetable', () => {
    expect(JSON.stringify(sent(type(offered, ' ')))).not.toContain('timetable');
  });

  test('a press is for the timetable that was seen', () => {
    const seen = type(offered, 'n').ui;
    const changed = type(another('keeper:99'), ' ', seen);
    expect([changed.acts, changed.ui.note?.text]).toEqual([
      [],
      'another one is offered meanwhile: n shows it',
    ]);
    const gone = type(another(undefined), ' ', seen);
    expect([gone.acts, gone.ui.note?.text]).toEqual([[], 'that timetable is offered no more']);
  });

  test('there is a minute to read it', () => {
    const { ui } = type(offered, 'n');
    expect(settle(ui, 10_000 + 59_000).prompt).toBeDefined();
    expect(settle(ui, 10_000 + 60_000).prompt).toBeUndefined();
  });
});

test.each([
  ['take', offered, { kind: 'timetable', timetable: proposal.timetable }],
  ['leave', offered, { kind: 'declined' }],
  ['new', calm, { kind: 'timetable asked' }],
] as const)('the word %s', (word, on, happening) => {
  expect(wordsAsk(word, on.state, on.now)).toMatchObject({ kind: 'send', happenings: [happening] });
});

test.each([
  ['take', calm, 'no new timetable is offered'],
  ['leave', calm, 'no new timetable is offered'],
  ['new', offered, 'a new timetable is offered already: take, or leave'],
] as const)('the word %s where it means nothing', (word, on, text) => {
  expect(wordsAsk(word, on.state, on.now)).toEqual({ kind: 'say', text });
});

describe('in a terminal', () => {
  let fixture: Fixture;
  const open: Terminal[] = [];
  beforeAll(async () => {
    fixture = await bundleFixture('offer-fixture');
  });
  afterEach(() => {
    for (const terminal of open.splice(0)) terminal.kill('SIGKILL');
  });
  afterAll(() => fixture.remove());
  const start = (args: readonly string[] = []): Terminal => {
    const terminal = openTerminal(process.execPath, [fixture.file, ...args], { columns: 90 });
    open.push(terminal);
    return terminal;
  };

  test('asked for, looked at, taken, and taken back', async () => {
    const terminal = start();
    await terminal.until((text) => text.includes('serve 12:46'), 'the board');
    terminal.type('n');
    await terminal.until((text) => text.includes('NEW TIMETABLE'), 'the offer');
    expect(terminal.text()).toContain('service would be 13:01 instead of 12:46');
    expect(terminal.text()).toContain('cream.warm 15 min later');
    expect(terminal.text()).toContain('serve 12:46');
    // Another key in between, or the second n would be the first one bouncing.
    terminal.type('.n');
    await terminal.until((text) => text.includes('space takes it'), 'the question');
    expect(terminal.text()).toContain('because you asked for one');
    terminal.type(' ');
    await terminal.until((text) => text.includes('serve 13:01'), 'the new timetable');
    await terminal.until((text) => text.includes('u takes it back'), 'what was done');
    expect(terminal.text()).not.toContain('NEW TIMETABLE');
    terminal.type('u');
    await terminal.until((text) => text.includes('serve 12:46'), 'the old timetable');
    await terminal.until((text) => text.includes('NEW TIMETABLE'), 'the offer to stand again');
  });

  test('asked for where there is none: the board says so', async () => {
    const terminal = start(['--holds']);
    await terminal.until((text) => text.includes('serve 12:46'), 'the board');
    terminal.type('n');
    await terminal.until(
      (text) => text.includes('no new timetable is needed: the one you have holds'),
      'the answer',
    );
    expect(terminal.text()).not.toContain('NEW TIMETABLE');
  });

  test('in plain lines', async () => {
    const terminal = start(['--plain']);
    await terminal.until((text) => text.includes('CALL cream: warm'), 'the first call');
    terminal.type('new\r');
    await terminal.until((text) => text.includes('"take" takes it'), 'the offer');
    expect(terminal.text()).toMatch(
      /NEW TIMETABLE service would be 13:01 instead of 12:46 \(because you asked for one\)/,
    );
    terminal.type('take\r');
    await terminal.until((text) => text.includes('taken: the new timetable'), 'the answer');
    terminal.type('undo\r');
    await terminal.until((text) => text.includes('taken back: the new timetable'), 'undo');
  });
});
