import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { bundleFixture, type Fixture } from '../support/fixture.ts';
import { openTerminal, type Terminal, type TerminalOptions } from '../support/terminal.ts';

/*
 * The board in a real pseudo-terminal, as a person has it: keys go in as bytes, what is compared is what can be seen. The
 * program is a small one that shows a run whose first call is due a second after it starts.
 */
let fixture: Fixture;
const open: Terminal[] = [];

beforeAll(async () => {
  fixture = await bundleFixture('board-fixture');
});
afterEach(() => {
  for (const terminal of open.splice(0)) terminal.kill('SIGKILL');
});
afterAll(() => fixture.remove());

function start(options: TerminalOptions = {}, args: readonly string[] = []): Terminal {
  const terminal = openTerminal(process.execPath, [fixture.file, ...args], options);
  open.push(terminal);
  return terminal;
}

/** The colours it has asked for: parameters of `CSI … m` that are colours. */
const colours = (terminal: Terminal): string[] =>
  terminal
    .written()
    .split('\u001B[')
    .flatMap((part) => /^([\d;]+)m/.exec(part)?.[1]?.split(';') ?? [])
    .filter((parameter) => /^(3[0-8]|4[0-8]|9\d|10\d)$/.test(parameter));

const BOARD = (text: string): boolean => text.includes('Gallery opening') && text.includes('all keys');

test('a call comes, space answers it, u takes it back', async () => {
  const terminal = start();
  await terminal.until(BOARD, 'the board');
  await terminal.until((text) => text.includes('since due'), 'the first call to be due');
  expect(terminal.text()).toContain('space cream: started');
  terminal.type(' ');
  await terminal.until((text) => text.includes('started: cream: warm the milk'), 'the answer');
  await terminal.until((text) => /cream +▶ warm/.test(text), 'the step to run');
  terminal.type('u');
  await terminal.until((text) => text.includes('taken back'), 'undo');
  await terminal.until((text) => /cream +● warm/.test(text), 'the call to stand again');
});

test('a bouncing key is one press', async () => {
  const terminal = start();
  await terminal.until((text) => text.includes('since due'), 'the first call to be due');
  terminal.type('   ');
  await terminal.until((text) => /cream +▶ warm/.test(text), 'the step to run');
  terminal.type('l');
  await terminal.until((text) => text.includes(': log'), 'the log');
  expect(terminal.text().match(/cream.*warm/g)).toHaveLength(1);
});

test('the bell rings for a call, and not for one that was answered', async () => {
  const terminal = start();
  await terminal.until((text) => text.includes('since due'), 'the first call to be due');
  await terminal.until(() => terminal.written().includes('\u0007'), 'the bell');
  terminal.type(' ');
  await terminal.until((text) => /cream +▶ warm/.test(text), 'the step to run');
  expect(terminal.text()).not.toContain('since due');
});

test('it is drawn anew for every size, live', async () => {
  const terminal = start({ columns: 120, rows: 40 });
  await terminal.until((text) => BOARD(text) && text.includes('220 C'), 'the wide board');
  for (const [columns, rows] of [
    [60, 20],
    [200, 60],
    [38, 9],
    [80, 24],
  ] as const) {
    terminal.resize(columns, rows);
    const isRight = (text: string): boolean => (columns < 40 ? text.includes('too small') : BOARD(text));
    await terminal.until(isRight, `the board at ${columns}x${rows}`);
    await terminal.until(
      () =>
        terminal.screen().filter((row) => row.includes('Gallery opening')).length === (columns < 40 ? 0 : 1),
      'one headline',
    );
    expect(Math.max(...terminal.screen().map((row) => row.length))).toBeLessThanOrEqual(columns);
    expect(terminal.screen()).toHaveLength(rows);
  }
});

test('quit asks; the terminal is given back as it was', async () => {
  const terminal = start();
  await terminal.until(BOARD, 'the board');
  expect(terminal.isAlternate()).toBe(true);
  terminal.type('q');
  await terminal.until(
    (text) => text.includes('leave the run going: Enter   end the run: e   stay: Esc'),
    'the question',
  );
  terminal.type('\u001B');
  await terminal.until((text) => !text.includes('leave the run going'), 'staying');
  terminal.type('q');
  await terminal.until((text) => text.includes('leave the run going'), 'the question again');
  terminal.type('\r');
  expect(await terminal.ended).toMatchObject({ exitCode: 0 });
  expect(terminal.isAlternate()).toBe(false);
  expect(terminal.text()).toContain('board ended: left');
  // The cursor is shown again after it was last hidden.
  const written = terminal.written();
  expect(written.lastIndexOf('\u001B[?25h')).toBeGreaterThan(written.lastIndexOf('\u001B[?25l'));
});

test('end the run from the board', async () => {
  const terminal = start();
  await terminal.until(BOARD, 'the board');
  terminal.type('q');
  await terminal.until((text) => text.includes('end the run: e'), 'the question');
  terminal.type('e');
  await terminal.ended;
  expect(terminal.text()).toContain('board ended: stopped');
});

test.each(['SIGTERM', 'SIGHUP'])('%s gives the terminal back', async (signal) => {
  const terminal = start();
  await terminal.until(BOARD, 'the board');
  terminal.kill(signal);
  await terminal.ended;
  expect(terminal.isAlternate()).toBe(false);
});

test('it draws in a CI environment too', async () => {
  const terminal = start({ env: { CI: 'true' } });
  await terminal.until(BOARD, 'the board');
  expect(terminal.isAlternate()).toBe(true);
});

test('without colour the same words, and what stands out is bold', async () => {
  const colourful = start();
  const plain = start({ env: { NO_COLOR: '1' } });
  const calm = (text: string): string => text.replace(/\d+:\d\d(:\d\d)?/g, '');
  await colourful.until((text) => text.includes('since due'), 'the call');
  await plain.until((text) => text.includes('since due'), 'the call');
  await plain.until(
    (text) => calm(text).replace(/[░█▀▄ ]/g, '') === calm(colourful.text()).replace(/[░█▀▄ ]/g, ''),
    'the same words',
  );
  expect(colours(colourful)).not.toEqual([]);
  expect(colours(plain)).toEqual([]);
  expect(plain.style('CREAM')).toMatchObject({ bold: true, colour: -1 });
});

test('a terminal that cannot move its cursor gets plain lines', async () => {
  const terminal = start({ env: { TERM: 'dumb' } });
  await terminal.until((text) => text.includes('CALL cream: warm the milk'), 'a line for the call');
  expect(terminal.isAlternate()).toBe(false);
  terminal.type('done\r');
  await terminal.until((text) => text.includes('done: cream: warm the milk'), 'the answer');
  terminal.type('quit\r');
  await terminal.ended;
  expect(terminal.text()).toContain('board ended: left');
});
