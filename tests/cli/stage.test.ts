import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { tempFolder } from '../support/folder.ts';
import { PROGRAM, startThirdhand, thirdhand } from '../support/program.ts';
import { openTerminal } from '../support/terminal.ts';
import { until } from '../support/until.ts';

/** Four minutes before an audience: biscuits that are cut on stage, and plates that were filled before. */
const PLAN = `thirdhand: 1
title: Four minutes
makes: 6 biscuits
kitchen: { cooks: 1, tools: { tray: 2 }, ovens: { oven: { shelves: 2 } } }
components:
  dough:
    keeps: 1 d
    steps:
      - mix: { takes: 5 min, hands: busy }
      - cut: { takes: 50-70 s, usually: 60 s, hands: busy, within: 30 min }
      - bake: { takes: 12 min, within: 30 min, oven: { at: 180 C }, uses: [tray] }
demonstration:
  lasts: 4 min
  within: 20 s
  backups: [dough]
  shows:
    - { talk: good morning, lasts: 30-90 s, usually: 60 s, say: "Four minutes, six biscuits" }
    - { show: dough.cut }
    - { talk: what butter does, lasts: 40-90 s, usually: 80 s }
    - { beauty: the plate, lasts: 20-60 s, usually: 40 s }
`;

/** Two showings, and nothing that is made ahead. */
const ONE_MINUTE = `thirdhand: 1
title: One minute
makes: 1 bowl
kitchen: { cooks: 1 }
components:
  dough:
    steps:
      - mix: { takes: 20-40 s, usually: 30 s, hands: busy }
demonstration:
  lasts: 1 min
  within: 10 s
  shows:
    - { talk: good morning, lasts: 10-40 s, usually: 30 s }
    - { show: dough.mix }
`;

function run(...args: string[]): ReturnType<typeof thirdhand> {
  const file = join(tempFolder(), 'four.yaml');
  writeFileSync(file, PLAN);
  const [command = '', ...others] = args;
  return thirdhand([command, file, '--serve', '2027-03-01 18:00', ...others]);
}

describe('a plan with a demonstration', () => {
  test('sheet writes its papers, each page on a sheet of its own', async () => {
    const { code, out, err } = await run('sheet');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const [rundown = '', labels = '', prep = ''] = out.split('\f');
    expect(rundown).toContain('on air Mon 2027-03-01 18:00 to 18:04, 4 min; the end may be 20 s off');
    expect(rundown).toContain('SHOW    dough: cut');
    expect(labels).toContain('BACKUP');
    expect(labels.split('\n').every((line) => /^[┌│└]|^$/.test(line))).toBe(true);
    expect(prep).toContain('Four minutes: work off stage');
    expect(prep).toContain('ON AIR  Four minutes, 6 biscuits');
  });

  test('one paper alone, as text, as Markdown, and all of them as JSON', async () => {
    const [labels, markdown, json] = await Promise.all([
      run('sheet', '--only', 'labels'),
      run('sheet', '--only', 'prep', '--as', 'markdown'),
      run('sheet', '--json'),
    ]);
    expect(labels.out).not.toContain('on air Mon');
    expect(labels.out).toContain('┌');
    expect(markdown.out).toMatch(/^# Four minutes: work off stage\n/);
    const read = JSON.parse(json.out) as { version: number; showings: unknown[]; labels: unknown[] };
    expect(read).toMatchObject({ version: 1, title: 'Four minutes', begins: '2027-03-01T18:00:00.000Z' });
    expect(read.showings).toHaveLength(4);
    expect(read.labels.length).toBeGreaterThan(1);
  });

  test('--no-stage takes it as a plan without one', async () => {
    const { code, out } = await run('sheet', '--no-stage');
    expect(code).toBe(0);
    expect(out).toContain('6 biscuits, served Mon 2027-03-01 18:00');
    expect(out).not.toContain('on air');
  });

  test('what cannot be asked of it is refused with what can', async () => {
    const [paper, limits, plain] = await Promise.all([
      run('sheet', '--only', 'stickers'),
      run('sheet', '--limits'),
      run('sheet', '--no-stage', '--only', 'labels'),
    ]);
    expect(paper).toMatchObject({ code: 2, out: '' });
    expect(paper.err).toContain('a demonstration has no paper "stickers"\nit has rundown, labels, prep');
    expect(limits.err).toContain('--limits is for a plan without a demonstration');
    expect(plain.err).toContain('--only is for a plan with a demonstration');
  });

  test('rehearse says how it goes, in words and for programs', async () => {
    const [text, json] = await Promise.all([
      run('rehearse', '--runs', '200', '--seed', '7'),
      run('rehearse', '--runs', '200', '--seed', '7', '--json'),
    ]);
    expect({ code: text.code, err: text.err }).toEqual({ code: 0, err: '' });
    expect(text.out).toContain('Four minutes: 4 min on air, rehearsed 200 times');
    expect(text.out).toMatch(/With 95 % it ends within \d+ s .*of 4:00/);
    expect(text.out).toContain('200 evenings, seeds 7 to 206');
    expect(JSON.parse(json.out)).toMatchObject({
      version: 1,
      got: { runs: 200, seed: 7 },
      lasts: 240,
      within: 20,
    });
  });

  test('on a terminal rehearse says how far it is; Ctrl-C gives what there is', async () => {
    const file = join(tempFolder(), 'four.yaml');
    writeFileSync(file, PLAN);
    const terminal = openTerminal(process.execPath, [PROGRAM, 'rehearse', file, '--runs', '99999'], {
      columns: 120,
      rows: 60,
    });
    await terminal.until((text) => /evenings, [1-9]\d* %/.test(text), 'some evenings', 20_000);
    terminal.type('\u0003');
    const { exitCode } = await terminal.ended;
    expect(exitCode).toBe(130);
    expect(terminal.written()).toMatch(/With 95 % it ends within/);
    expect(terminal.written()).toMatch(/stopped after \d{3,5} of 99999 evenings/);
  });

  test('rehearse --watch --plain plays one on the bench', async () => {
    const { code, out } = await run('rehearse', '--watch', '--plain', '--speed', '100000');
    expect({ code, ended: /\bended: /.test(out) }).toEqual({ code: 0, ended: true });
    // How it went on air, and nothing of a service.
    expect(out).toMatch(/^Four minutes: on air [\d:]+ to [\d:]+: \d:\d\d, .*\n {5}told {6}was\n/m);
    expect(out).not.toContain('served at');
  });

  test('start goes on air with the first showing, and from one to the next by a word', async () => {
    const file = join(tempFolder(), 'one.yaml');
    writeFileSync(file, ONE_MINUTE);
    const run = startThirdhand(['start', file, '--serve', 'soonest', '--store', tempFolder()]);
    const say = async (word: string, answer: RegExp): Promise<void> => {
      const before = run.lines().length;
      run.stdin?.write(`${word}\n`);
      await until(`the answer to ${word}`, () => answer.test(run.lines().slice(before)));
    };
    await until('the first call', () => /: air: everybody to their places/.test(run.lines()));
    await say('next', /nothing is on air/);
    await say('done', /air: places started/);
    await say('done air', /air: places ended by the cook/);
    await say('done', /stage: talk 1 started/);
    await say('status', /^ON AIR 0:\d\d, (?:1:00|0:\d\d) left/m);
    await say('next', /dough: mix started/);
    await say('undo', /undone: dough: mix started/);
    await say('next', /on air: mix/);
    await say('next', /off air after 0:\d\d: 0:\d\d under/);
    await say('stop', /type stop once more/);
    await say('stop', /the run was stopped/);
    await until('the end', () => run.exitCode !== null);
    expect(run.exitCode).toBe(0);
  });
});
