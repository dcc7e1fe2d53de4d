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
    expect(err).not.toMatch(/\bat .*:\d+:\d+|node:internal/);
    expect(err.length).toBeGreaterThan(10);
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
    expect(late.err).toMatch(/^thirdhand: there is no timetable/);
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
