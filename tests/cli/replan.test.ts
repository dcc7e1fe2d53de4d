import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { tempFolder } from '../support/folder.ts';
import { startThirdhand, thirdhand } from '../support/program.ts';
import { until } from '../support/until.ts';

/* The program as it is installed: its keeper has new timetables worked out by the bundled thread. */
test('a cook who runs late is offered a new timetable, takes it, and takes it back', async () => {
  const store = tempFolder();
  onTestFinished(async () => {
    await thirdhand(['resume', '--plain', '--store', store], { input: 'stop\nstop\n' });
  });
  const run = startThirdhand(['start', 'gallery-opening', '--serve', 'soonest', '--plain', '--store', store]);
  onTestFinished(() => void run.kill('SIGKILL'));
  const says = (words: string): Promise<boolean> => until(words, () => run.lines().includes(words));
  const type = (line: string): void => void run.stdin?.write(`${line}\n`);
  await says('cream: milk on the hob');
  type('new');
  await says('no new timetable is needed: the one you have holds');
  type('done');
  await says('cream: warm started');
  type('more 90 cream');
  await says('NEW TIMETABLE service would be');
  expect(run.lines()).toMatch(/NEW TIMETABLE service would be \S+ instead of \S+ \(because .+\)/);
  await until('what would move', () => /cream.*thicken.* later/.test(run.lines()));
  type('take');
  await says('taken: the new timetable');
  type('undo');
  await says('undone: a new timetable for what is to come');
  const [name = ''] = readdirSync(join(store, 'runs'));
  expect(readFileSync(join(store, 'runs', name, 'keeper.log'), 'utf8')).not.toContain(
    'could not be worked out',
  );
});
