import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { Out } from '../../src/cli/out.ts';
import { rehearseMany } from '../../src/cli/rehearse-many.ts';
import { smallRun } from '../rehearsal/small-run.ts';
import { tempFolder } from '../support/folder.ts';
import { PROGRAM, thirdhand } from '../support/program.ts';
import { openTerminal } from '../support/terminal.ts';

async function printed(threads: number): Promise<unknown> {
  let json: unknown;
  const ignore = (): void => undefined;
  const out: Out = { print: ignore, document: ignore, warn: ignore, json: (value) => void (json = value) };
  await rehearseMany(smallRun, { runs: 1200, seed: 7, json: true, threads }, out);
  return json;
}

test('one thread and two say the same', async () => {
  const one = await printed(1);
  expect(one).toMatchObject({ got: { runs: 1200, seed: 7, stopped: false } });
  expect(await printed(2)).toEqual(one);
});

test('the program as it is installed: words, a picture, and the same again', async () => {
  const picture = join(tempFolder(), 'bands.svg');
  const rehearse = ['rehearse', 'choir-supper', '--serve', '2027-05-14 19:30', '--runs', '40', '--seed', '3'];
  const first = await thirdhand([...rehearse, '--picture', picture]);
  expect(first).toMatchObject({ code: 0, err: `wrote ${picture}\n` });
  expect(first.out).toMatch(/^Choir supper: 12 tarts, served 19:30\nRehearsed 40 times\n\nOn time: in /);
  expect(first.out).toContain('40 rehearsals, seeds 3 to 42');
  // That day is far off: nobody has to serve later, where work can begin earlier.
  expect(first.out).toContain('it would hold if work began 6 min earlier, at 15:05');
  expect(first.out).toContain("The ranges are the cook's own guess until records replace them.");
  expect(readFileSync(picture, 'utf8')).toMatch(/^<svg [\s\S]*Choir supper: when each step happens/);
  expect((await thirdhand(rehearse)).out).toBe(first.out);
  const nowhere = await thirdhand([...rehearse, '--picture', join(picture, 'no', 'such.svg')]);
  expect(nowhere.code).toBe(2);
  expect(nowhere.err).toMatch(/such\.svg cannot be written: there is no folder /);
});

test('what is rehearsed is what the sheet shows: the time of the plan, even where that has passed', async () => {
  const own = await thirdhand(['rehearse', 'choir-supper', '--runs', '2']);
  expect(own.out).toMatch(/^Choir supper: 12 tarts, served (?:\w{3} )?19:00\n/);
  const past = await thirdhand(['rehearse', 'choir-supper', '--runs', '2', '--serve', '2025-05-14 19:30']);
  expect(past).toMatchObject({
    code: 0,
    err: expect.stringContaining('this rehearsal begins at 2025-05-14 '),
  });
});

test('on a terminal it says how far it is; Ctrl-C gives what there is', async () => {
  const folder = tempFolder();
  const terminal = openTerminal(
    process.execPath,
    [PROGRAM, 'rehearse', 'gallery-opening', '--runs', '900000', '--picture', join(folder, 'some.svg')],
    { columns: 120, rows: 60 },
  );
  await terminal.until((text) => /rehearsing 900000 times, [1-9]\d* %/.test(text), 'some rehearsals', 20_000);
  terminal.type('\u0003');
  const { exitCode } = await terminal.ended;
  expect(exitCode).toBe(130);
  const words = terminal.written();
  expect(words).toMatch(/Rehearsed \d{4,} times of 900000: stopped, this is what there is/);
  expect(words).toContain('On time: in ');
  expect(existsSync(join(folder, 'some.svg'))).toBe(true);
});
