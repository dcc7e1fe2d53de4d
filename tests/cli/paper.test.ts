import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { tempFolder } from '../support/folder.ts';
import { thirdhand } from '../support/program.ts';

const SMALL = `thirdhand: 1
title: Small
makes: 4 tarts
kitchen: { cooks: 1, ovens: { oven: { shelves: 1 } } }
components:
  tarts:
    steps:
      - fill: { takes: 5 min, hands: busy }
      - bake: { takes: 20 min, within: 10 min, oven: { at: 180 C } }
`;

function planFile(text: string): string {
  const file = join(tempFolder(), 'small.yaml');
  writeFileSync(file, text);
  return file;
}

describe('commands without a run', () => {
  test('without a command a newcomer is told what to do next, in some dozen lines', async () => {
    const { code, out, err } = await thirdhand([]);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toContain('thirdhand start gallery-opening --serve soonest');
    expect(out.trim().split('\n').length).toBeLessThanOrEqual(16);
  });

  test.each([
    [['nonsense']],
    [['check']],
    [['sheet', '--what']],
    [['start']],
    [['rehearse', 'gallery-opening', '--runs', 'many']],
  ])('wrong usage ends with 2 and words on stderr: %j', async (args) => {
    const { code, out, err } = await thirdhand(args);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toMatch(/^thirdhand: /);
    expect(err).not.toMatch(/\bat .*:\d+:\d+|node:internal/);
    expect(err.length).toBeGreaterThan(10);
  });

  test('help tells what there is, and the options of a command; a slip of the pen is told the nearest word', async () => {
    const [all, one, slip] = await Promise.all([
      thirdhand(['help']),
      thirdhand(['help', 'start']),
      thirdhand(['startt', 'gallery-opening']),
    ]);
    expect(all).toMatchObject({ code: 0, err: '' });
    expect(all.out).toContain('rehearse');
    expect(one).toMatchObject({ code: 0, err: '' });
    expect(one.out).toContain('--serve');
    expect(slip).toMatchObject({ code: 2, out: '' });
    expect(slip.err).toMatch(/^thirdhand: unknown command 'startt'\n\(Did you mean start\?\)/);
  });

  test.each<[string[], number, RegExp]>([
    [['sheet', 'no-such-plan'], 1, /^thirdhand: no-such-plan: there is no such file\n.*gallery-opening/],
    [
      ['sheet', 'gallery-opening', '--kitchen', 'nowhere'],
      1,
      /^thirdhand: nowhere: there is no such file\n.*one-oven/,
    ],
    [
      ['resume', 'nobody-0101-0000', '--store', 'empty'],
      1,
      /^thirdhand: there is no run called nobody-0101-0000 in .*empty\n/,
    ],
    [['resume', '../../elsewhere'], 2, /^thirdhand: "..\/..\/elsewhere" is no run's name\n/],
    [['record', '../../elsewhere'], 2, /^thirdhand: "..\/..\/elsewhere" is no run's name\n/],
    [
      ['sheet', 'gallery-opening', 'terrace-tea', '--serve', '15:00,16:00,17:00'],
      2,
      /^thirdhand: --serve has 3 times for 2 plans\n.*gallery-opening, terrace-tea/,
    ],
  ])(
    'what is not there is named in the first line, and what is in the next: %j',
    async (args, code, words) => {
      const ended = await thirdhand(args, { cwd: tempFolder() });
      expect(ended).toMatchObject({ code, out: '' });
      expect(ended.err).toMatch(words);
    },
  );

  test('several plans can each have a service of their own', async () => {
    const both = ['sheet', 'gallery-opening', 'terrace-tea', '--serve', '2027-03-01 19:00, 2027-03-01 15:30'];
    const { out } = await thirdhand([...both, '--json']);
    expect(JSON.stringify(JSON.parse(out))).toMatch(/2027-03-01T?.*19:00/);
    const text = (await thirdhand(both)).out;
    expect(text).toContain('40 buns, served Mon 2027-03-01 19:00');
    expect(text).toContain('16 nests, served Mon 2027-03-01 15:30');
  });

  test('an empty store is said to be empty', async () => {
    const store = tempFolder();
    const { code, out } = await thirdhand(['resume', '--list', '--store', store]);
    expect({ code, out }).toEqual({
      code: 0,
      out: `no run is kept in ${store}; begin one: thirdhand start FILE\n`,
    });
  });

  test('check: every problem with its line, exit 1; nothing wrong, exit 0', async () => {
    const good = await thirdhand(['check', 'gallery-opening', 'terrace-tea']);
    expect(good).toMatchObject({ code: 0, err: '' });
    expect(good.out).toContain('2 plans checked, nothing wrong');
    const file = planFile(SMALL.replace('takes: 5 min', 'tkes: 5 min').replace('180 C', '180 K'));
    const bad = await thirdhand(['check', file]);
    expect(bad.code).toBe(1);
    expect(bad.out).toMatch(/small\.yaml:8:\d+: error: /);
    expect(bad.out).toMatch(/small\.yaml:9:\d+: error: /);
    expect(bad.out).toContain('takes');
    const json = await thirdhand(['check', file, '--json']);
    expect(JSON.parse(json.out)).toMatchObject({
      problems: expect.arrayContaining([expect.objectContaining({ line: 8 })]),
    });
  });

  test.each([
    ['a folder', '.', 'folder'],
    ['a missing file', 'not-there.yaml', 'no such file'],
    ['a device', '/dev/zero', 'not an ordinary file'],
  ])('check of %s says so', async (_what, file, words) => {
    const { code, out } = await thirdhand(['check', file]);
    expect(code).toBe(1);
    expect(out).toContain(words);
  });

  test('check of a folder full of broken plans: every one is answered, and none with a stack', async () => {
    const folder = fileURLToPath(new URL('../plans/broken/', import.meta.url));
    const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
      name.endsWith('.yaml'),
    );
    expect(files.length).toBeGreaterThanOrEqual(60);
    const { code, out, err } = await thirdhand(['check', ...files.map((name) => join(folder, name))]);
    expect({ code, err }).toEqual({ code: 1, err: '' });
    for (const name of files) expect(out).toContain(`${name}:`);
    expect(out).not.toMatch(/^ +at .*:\d+:\d+\)?$/m);
    expect(out).not.toMatch(/[^\P{Cc}\n]/u);
  });

  test('nothing that steers a terminal gets through, wherever it was written', async () => {
    const nasty = 'a\u001b]0;b\u0007\u009b31m\u202e';
    const folder = tempFolder();
    writeFileSync(join(folder, `${nasty}.yaml`), SMALL);
    const commands = [
      ['check', nasty],
      ['check', `${nasty}.yaml`],
      ['check', `${nasty}.yaml`, '--json'],
      ['check', nasty, '--json'],
      [nasty],
      ['sheet', `${nasty}.yaml`, '--serve', nasty],
      ['sheet', 'terrace-tea', `--${nasty}`],
      ['new', nasty],
      ['record', nasty],
      ['resume', '--store', join(folder, nasty)],
      ['completion', nasty],
    ];
    for (const args of commands) {
      const { out, err } = await thirdhand(args, { cwd: folder });
      expect([args, /[^\P{Cc}\n]|\p{Cf}/u.exec(out + err)]).toEqual([args, null]);
    }
  });

  test('sheet: text for people, JSON for programs, both of the same timetable', async () => {
    const file = planFile(SMALL);
    const text = await thirdhand(['sheet', file, '--serve', '2027-03-01 18:00']);
    expect(text).toMatchObject({ code: 0, err: '' });
    expect(text.out).toContain('oven to 180 C');
    const json = JSON.parse((await thirdhand(['sheet', file, '--serve', '2027-03-01 18:00', '--json'])).out);
    expect(JSON.stringify(json)).toContain('tarts.bake');
    const markdown = await thirdhand(['sheet', file, '--serve', '2027-03-01 18:00', '--as', 'markdown']);
    expect(markdown.out).toMatch(/^# Small/);
    expect((await thirdhand(['sheet', file, '--as', 'clay'])).code).toBe(2);
  });

  test('sheet: a yield scales the plan', async () => {
    const file = planFile(
      SMALL.replace('takes: 5 min, hands: busy', 'each: 30 s').replace('shelves: 1', 'shelves: 10'),
    );
    const wide = await thirdhand(['sheet', file, '--yield', '40', '--serve', '2027-03-01 18:00']);
    expect(wide.out).toContain('40 tarts');
    expect(wide.out).toContain('20 min');
  });

  test('sheet: what cannot be planned is refused with the rules that clash', async () => {
    const late = await thirdhand([
      'start',
      'ferry-breakfast',
      '--serve',
      '2020-01-01 07:30',
      '--store',
      tempFolder(),
    ]);
    expect(late.code).toBe(1);
    // On another day than today the day is said.
    expect(late.err).toMatch(/^thirdhand: there is no timetable for 2020-01-01 07:30 that/);
    expect(late.err).toContain('soonest');
  });

  test('new: a plan to begin from that checks clean, and is never written over', async () => {
    const cwd = tempFolder();
    expect(await thirdhand(['new', 'sunday-tarts'], { cwd })).toMatchObject({ code: 0 });
    expect(await thirdhand(['check', 'sunday-tarts.yaml'], { cwd })).toMatchObject({ code: 0 });
    const before = readFileSync(join(cwd, 'sunday-tarts.yaml'), 'utf8');
    expect(await thirdhand(['new', 'sunday-tarts'], { cwd })).toMatchObject({ code: 1 });
    expect(readFileSync(join(cwd, 'sunday-tarts.yaml'), 'utf8')).toBe(before);
    expect(await thirdhand(['new', '../escape'], { cwd })).toMatchObject({ code: 2 });
  });

  test('chart: the statecharts of a plan', async () => {
    const { out } = await thirdhand(['chart', planFile(SMALL)]);
    expect(out).toMatch(/^stateDiagram-v2\n/);
    expect(out).toContain('"bake"');
  });

  test('completions: bash takes them, and knows every command', async () => {
    const { out } = await thirdhand(['completion', 'bash']);
    execFileSync('bash', ['-n'], { input: out });
    for (const word of [
      'check',
      'sheet',
      'start',
      'resume',
      'rehearse',
      'record',
      '--serve',
      'gallery-opening',
    ])
      expect(out).toContain(word);
    expect(out).not.toContain('keeper');
    expect((await thirdhand(['completion', 'zsh'])).out).toMatch(/^#compdef thirdhand/);
    expect((await thirdhand(['completion', 'fish'])).out).toContain('complete -c thirdhand');
    expect((await thirdhand(['completion', 'tea'])).code).toBe(2);
  });

  test("the version is the package's", async () => {
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as {
      version: string;
    };
    expect((await thirdhand(['--version'])).out.trim()).toBe(version);
  });
});
