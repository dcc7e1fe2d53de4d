import { onTestFinished, expect, test } from 'vitest';
import { PROGRAM, startThirdhand, thirdhand } from '../support/program.ts';
import { openTerminal, type Terminal } from '../support/terminal.ts';
import { until } from '../support/until.ts';

/* A rehearsal in a real pseudo-terminal, as a person leads it. */
function watch(...args: readonly string[]): Terminal {
  const terminal = openTerminal(
    process.execPath,
    [PROGRAM, 'rehearse', 'terrace-tea', '--watch', '--seed', '5', ...args],
    { columns: 100, env: { TZ: 'UTC', THIRDHAND_NOTIFY: 'off' } },
  );
  onTestFinished(() => terminal.kill('SIGKILL'));
  return terminal;
}

const top = (terminal: Terminal): string => terminal.screen()[0] ?? '';

/** The simulated time that stands in the topmost row. */
const clock = (terminal: Terminal): string => /simulated ([\d:]+)/.exec(top(terminal))?.[1] ?? '';

/** Presses a key and waits for the simulated time to be another. */
async function moved(terminal: Terminal, key: string): Promise<string> {
  const before = clock(terminal);
  // A key that comes again within a quarter of a second is the same press.
  await new Promise((resolve) => setTimeout(resolve, 260));
  terminal.type(key);
  await terminal.until(() => clock(terminal) !== before, `another time than ${before}`);
  return clock(terminal);
}

const ENTER = '\r';
const BACKSPACE = '\u007F';

test('stopped, taken on, taken back: the same moments come again', async () => {
  const terminal = watch('--speed', '20');
  await terminal.until(() => /^ REHEARSAL {2}20x life {2}.*simulated/.test(top(terminal)), 'a rehearsal');
  terminal.type('0');
  await terminal.until(() => top(terminal).includes('STOPPED'), 'a clock that stands still');
  const on: string[] = [];
  for (let count = 0; count < 4; count += 1) on.push(await moved(terminal, ENTER));
  expect(on).toEqual(on.toSorted());
  const back: string[] = [];
  for (let count = 0; count < 3; count += 1) back.push(await moved(terminal, BACKSPACE));
  expect(back).toEqual(on.slice(0, 3).toReversed());
  terminal.type('+');
  terminal.type('0');
  await terminal.until(() => top(terminal).includes('60x life'), 'it to go faster');
  terminal.type('q');
  await terminal.until((text) => text.includes('leave the rehearsal: Enter'), 'the question');
  terminal.type(ENTER);
  expect(await terminal.ended).toMatchObject({ exitCode: 0 });
  expect(terminal.text()).toContain('left before service (seed 5)');
});

test('something goes wrong with two keys, and is said', async () => {
  const terminal = watch('--speed', '20');
  await terminal.until(() => top(terminal).includes('REHEARSAL'), 'a rehearsal');
  terminal.type('e');
  await terminal.until((text) => text.includes('WHAT GOES WRONG'), 'the choices');
  const choice = /(\d) {2}a hand is tied for 5 min/.exec(terminal.text())?.[1] ?? '';
  const stood = clock(terminal);
  terminal.type(choice);
  await terminal.until((text) => text.includes('it goes wrong: a hand is tied for 5 min'), 'what was done');
  await terminal.until(() => clock(terminal) !== stood, 'time to go on');
  expect(clock(terminal) > stood).toBe(true);
});

test("with one's own hands, in plain lines: what is to be seen is told, and the cook says so", async () => {
  const child = startThirdhand([
    'rehearse',
    'terrace-tea',
    '--serve',
    'soonest',
    '--watch',
    '--plain',
    '--hands',
    'mine',
    '--seed',
    '5',
    '--speed',
    '1',
  ]);
  onTestFinished(() => void child.kill('SIGKILL'));
  const say = (word: string): void => void child.stdin?.write(`${word}\n`);
  const comes = (text: string): Promise<boolean> => until(text, () => child.lines().includes(text));
  await comes('rehearsal with your hands, in real time');
  say('hold');
  await comes('your hands, stopped');
  await comes('CALL');
  // The first step ends by its probe, the second by the eye of whoever whisks.
  for (const word of ['done', 'next', 'next', 'next', 'done', ...Array.from({ length: 20 }, () => 'next')]) {
    if (child.lines().includes('YOU SEE')) break;
    const before = child.lines();
    say(word);
    await until(`an answer to ${word}`, () => child.lines() !== before);
  }
  await comes('YOU SEE nests: peaks stand stiff and glossy');
  // Each line says that it is of a rehearsal, whoever reads it by itself.
  expect(
    child
      .lines()
      .trimEnd()
      .split('\n')
      .filter((line) => !line.startsWith('rehearsal')),
  ).toEqual([]);
  say('quit');
  await comes('left before service (seed 5)');
  await comes('Terrace tea, ');
  await comes('not served when the rehearsal was left');
  await comes('to practise: ');
  expect(child.lines()).not.toContain('the run goes on');
});

test('for programs standard output holds what was missed, and nothing else', async () => {
  const { code, out, err } = await thirdhand([
    'rehearse',
    'terrace-tea',
    '--watch',
    '--plain',
    '--json',
    '--seed',
    '5',
    '--speed',
    '1000000',
  ]);
  expect([code, err.includes('CALL')]).toEqual([0, true]);
  expect(JSON.parse(out)).toMatchObject({
    seed: 5,
    served: true,
    services: [{ plan: 'Terrace tea', lateSeconds: 0 }],
    madeToGoWrong: [],
    answeredLate: [],
    windowsOverstepped: [],
  });
});

test.each([
  ['--hands', 'yours', '--hands wants mine or simulated, not "yours"'],
  ['--speed', '-1', '--speed wants a number above 0, not "-1"'],
])('%s %s is refused', async (option, value, why) => {
  const { code, err } = await thirdhand(['rehearse', 'terrace-tea', '--watch', option, value]);
  expect([code, err]).toEqual([2, expect.stringContaining(why)]);
});

test.each([
  [['--watch', '--runs', '9'], '--runs is for many rehearsals, and --watch is one'],
  [['--watch', '--picture', 'a.svg'], '--picture is for many rehearsals, and --watch is one'],
  [['--speed', '60'], '--speed is for one rehearsal, and without --watch they are many'],
  [['--hands', 'mine'], '--hands is for one rehearsal, and without --watch they are many'],
])('%j: nothing that was asked for is passed over', async (options, why) => {
  const { code, out, err } = await thirdhand(['rehearse', 'terrace-tea', ...options]);
  expect([code, out, err]).toEqual([2, '', expect.stringContaining(why)]);
});

test('--plain without --watch is many rehearsals', async () => {
  const { code, out } = await thirdhand(['rehearse', 'terrace-tea', '--plain', '--runs', '3']);
  expect([code, out]).toEqual([0, expect.stringContaining('Rehearsed 3 times')]);
});
