import { expect, test } from 'vitest';
import type { CoolingRecord } from '../../src/sheet/index.ts';
import { tempFolder } from '../support/folder.ts';
import { thirdhand } from '../support/program.ts';

test('the record of a service has its cooling: against the rule in words, and as data', async () => {
  const store = tempFolder();
  const service = ['gallery-opening', '--watch', '--plain', '--speed', '1000000', '--seed', '1'];
  expect(await thirdhand(['rehearse', ...service, '--store', store])).toMatchObject({ code: 0 });
  const { out } = await thirdhand(['record', '--store', store]);
  expect(out).toMatch(/^cooling, by US Food Code 3-501\.14 \(United States; /m);
  expect(out).toMatch(
    /^ {2}cream \(probe cream\), since \d\d:\d\d, with thicken\n {4}57 to 21 C within 2 h {2}met: [\d.]+ C read at \d\d:\d\d, /m,
  );
  expect(out).toContain('Your local food code');
  // Two minutes were told for it: seconds count there.
  expect(out).toMatch(/^ {2}shells\.pierce +2:\d\d {2}\d\d s longer$/m);
  expect(out).toMatch(/^ {2}shells\.bake high +12:00 {2}as planned$/m);
  const { cooling } = JSON.parse((await thirdhand(['record', '--store', store, '--json'])).out) as {
    cooling: CoolingRecord;
  };
  expect(cooling.rules?.name).toBe('us food code');
  const [cream] = cooling.components;
  expect(cream?.clocks.map(({ toC, figure }) => [toC, figure])).toEqual([
    [21, 'met'],
    [5, 'met'],
  ]);
  expect(cream?.readings.length).toBeGreaterThan(10);
  expect(cream?.readings.length).toBeLessThanOrEqual(60);
});

test('where no cooling is watched the record says nothing of it', async () => {
  const store = tempFolder();
  const service = ['ferry-breakfast', '--watch', '--plain', '--speed', '1000000', '--seed', '1'];
  expect(await thirdhand(['rehearse', ...service, '--store', store])).toMatchObject({ code: 0 });
  expect((await thirdhand(['record', '--store', store])).out).not.toMatch(/^cooling/m);
  const { cooling } = JSON.parse((await thirdhand(['record', '--store', store, '--json'])).out) as {
    cooling: unknown;
  };
  expect(cooling).toBeNull();
});
