import { onTestFinished, describe, expect, test } from 'vitest';
import { tempFolder } from '../support/folder.ts';
import { PROGRAM, startThirdhand, thirdhand } from '../support/program.ts';
import { openTerminal, type Terminal } from '../support/terminal.ts';
import { until } from '../support/until.ts';

const RUN = /resume (\S+)/;

describe('a whole service', () => {
  test('rehearsed in plain lines: every call, then what was served and when, and a record of it', async () => {
    const store = tempFolder();
    const rehearsed = await thirdhand([
      'rehearse',
      'gallery-opening',
      '--serve',
      'soonest',
      '--watch',
      '--plain',
      '--speed',
      '100000',
      '--seed',
      '1',
      '--store',
      store,
    ]);
    expect(rehearsed).toMatchObject({ code: 0, err: '' });
    expect(rehearsed.out).toMatch(/CALL cream: /);
    expect(rehearsed.out).toMatch(
      /^rehearsal, seed 1\n[\s\S]*served: Gallery opening, 40 buns, .* for \d\d:\d\d\nrehearsal over \(seed 1\)\nGallery opening, [\s\S]*\nto practise: .*\n$/,
    );
    const record = await thirdhand(['record', '--store', store]);
    expect(record.out).toMatch(/^Gallery opening: rehearsal \S+ \(seed 1\), nothing was cooked, /);
    expect(record.out).toContain('how long it took');
    expect(record.out).toContain('shells.bake high');
    const json = JSON.parse((await thirdhand(['record', '--store', store, '--json'])).out) as {
      steps: unknown[];
      servedAt: string | null;
    };
    expect(json.servedAt).not.toBeNull();
    expect(json.steps.length).toBeGreaterThan(15);
    // A rehearsal is never carried on as if it were live.
    expect((await thirdhand(['resume', '--store', store])).err).toContain('there is no run to carry on with');
    const { out: list } = await thirdhand(['resume', '--store', store, '--list']);
    expect(list).toMatch(/, a rehearsal\n$/);
    const [name = ''] = list.split(' ');
    const named = await thirdhand(['resume', name, '--store', store]);
    expect([named.code, named.err]).toEqual([1, expect.stringContaining('is a rehearsal')]);
  });

  test('the same seed gives the same service', async () => {
    const args = ['rehearse', 'terrace-tea', '--watch', '--plain', '--speed', '1000000', '--seed', '5'];
    const steps = (text: string): string[] =>
      text
        .split('\n')
        .filter((line) => line.includes('ended'))
        .map((line) => line.slice('rehearsal 12:00:00 '.length));
    const [first, second] = await Promise.all([thirdhand(args), thirdhand(args)]);
    expect(steps(first.out)).toEqual(steps(second.out));
    expect(steps(first.out).length).toBeGreaterThan(5);
  });

  test('many rehearsals say how likely service is on time', async () => {
    const { code, out } = await thirdhand(['rehearse', 'terrace-tea', '--runs', '20', '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ got: { runs: 20, seed: 1, stuck: 0 } });
  });
});

describe('a live run', () => {
  /** Ends the keeper of a test's run, whatever the test did with it. */
  const endAfterwards = (store: string): void => {
    onTestFinished(async () => {
      await thirdhand(['resume', '--plain', '--store', store], { input: 'stop\nstop\n' });
    });
  };

  test('without a terminal: plain lines, words as answers, and leaving does not end it', async () => {
    const store = tempFolder();
    endAfterwards(store);
    const run = startThirdhand(['start', 'gallery-opening', '--serve', 'soonest', '--store', store]);
    await until('the first call', () => /(CALL|soon, at \d\d:\d\d:) cream: /.test(run.lines()));
    run.stdin?.write('done\n');
    await until('the step to start', () => run.lines().includes('cream: warm started'));
    run.kill('SIGINT');
    await until('the end of the lines', () => run.exitCode !== null);
    expect(run.exitCode).toBe(0);
    // Whoever leaves is told how it stands and how to come back.
    expect(run.lines()).toMatch(
      /Gallery opening: serve \d\d:\d\d, .* in hand; next \d\d:\d\d cream: .*\nthe run goes on/,
    );
    const name = RUN.exec(run.lines())?.[1] ?? '';
    expect((await thirdhand(['resume', '--list', '--store', store])).out).toContain(
      `${name}  Gallery opening`,
    );
    const again = startThirdhand(['resume', name, '--store', store]);
    again.stdin?.write('undo\n');
    await until('the press to be taken back', () =>
      again.lines().includes('taken back: start of cream: warm'),
    );
    again.stdin?.write('quit\n');
    await until('the end', () => again.exitCode !== null);
    expect(again.exitCode).toBe(0);
  });

  test('on the board: space starts the first step, killing board and keeper loses nothing, q leaves and restores the terminal', async () => {
    const store = tempFolder();
    endAfterwards(store);
    const env = { THIRDHAND_NOTIFY: 'off', TZ: 'UTC' };
    const start = ['start', 'gallery-opening', '--serve', 'soonest', '--store', store];
    const board = openTerminal(process.execPath, [PROGRAM, ...start], { columns: 120, rows: 40, env });
    await board.until((text) => text.includes('milk on the hob'), 'the board', 20_000);
    await board.until((text) => text.includes('space'), 'the first call');
    // A call that is not due yet counts a press only once it has stood for a moment, so a hasty hand presses again.
    await pressUntil(board, ' ', (text) => text.includes('started: cream'));
    board.kill('SIGKILL');
    await board.ended;

    const list = (await thirdhand(['resume', '--list', '--store', store])).out;
    expect(list).toContain('running');
    const second = openTerminal(process.execPath, [PROGRAM, 'resume', '--store', store], {
      columns: 80,
      rows: 24,
      env,
    });
    await second.until(
      (text) => /warm\b/.test(text) && text.includes('of 5-9'),
      'the state to be true',
      20_000,
    );
    const keeper = await until('the keeper', async () => keeperOf(store));
    process.kill(keeper, 'SIGKILL');
    await until(
      'a new keeper',
      async () => {
        const next = await keeperOf(store);
        return next !== undefined && next !== keeper;
      },
      20_000,
    );
    second.resize(60, 20);
    // Where the gap was long enough to be told, the first key only turns that page.
    await pressUntil(second, '.', (text) => /cream +▶ warm/.test(text));
    second.type('u');
    await second.until((text) => /taken back/i.test(text), 'the undo', 10_000);
    second.type('q');
    await second.until((text) => text.includes('leave the run going'), 'the question');
    second.type('\r');
    expect((await second.ended).exitCode).toBe(0);
    expect(second.isAlternate()).toBe(false);
    expect((await thirdhand(['record', '--store', store])).out).toContain('taken back: start of cream: warm');
  });
});

/** Presses a key again and again until the screen is as wanted. */
function pressUntil(board: Terminal, key: string, wanted: (text: string) => boolean): Promise<boolean> {
  return until(`the answer to "${key}"`, () => {
    board.type(key);
    return board.until(wanted, key, 700).then(
      () => true,
      () => false,
    );
  });
}

async function keeperOf(store: string): Promise<number | undefined> {
  const { execFileSync } = await import('node:child_process');
  const rows = execFileSync('ps', ['-eo', 'pid,args'], { encoding: 'utf8' }).split('\n');
  const row = rows.find(
    (line) => line.includes(' keeper ') && line.includes(store) && !line.includes('<defunct>'),
  );
  return row === undefined ? undefined : Number(row.trim().split(/\s+/)[0]);
}
