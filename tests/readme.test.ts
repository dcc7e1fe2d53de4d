import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { loadWorkload, readKitchen } from '../src/plan/index.ts';
import { planTimetable } from '../src/planner/index.ts';
import { epochMs } from '../src/units/index.ts';

const root = new URL('..', import.meta.url);
const readme = readFileSync(new URL('README.md', root), 'utf8');
const bytesOf = (path: string): Uint8Array => readFileSync(new URL(path, root));

test('the plan in the README loads and has a timetable', () => {
  const text = /```yaml\n([\s\S]*?)```/.exec(readme)?.[1] ?? '';
  const kitchen = { file: 'one-oven.yaml', bytes: bytesOf('plans/kitchens/one-oven.yaml') };
  expect(readKitchen(kitchen, 'UTC').diagnostics).toEqual([]);
  const loaded = loadWorkload([{ file: 'readme.yaml', bytes: new TextEncoder().encode(text) }], {
    findKitchen: () => kitchen,
    timeZone: 'UTC',
  });
  expect(loaded.diagnostics).toEqual([]);
  const planned =
    loaded.workload &&
    planTimetable(loaded.workload, { service: { kind: 'at', moments: [epochMs(Date.UTC(2027, 2, 1, 16))] } });
  expect(planned?.status).toBe('optimal');
});

test.each([
  'README.md',
  'DEVELOPERS.md',
  'docs/first-run.md',
  'docs/architecture.md',
  'docs/board.md',
  'docs/rehearsal.md',
  'docs/planner.md',
])('every page that %s points to is there', (page) => {
  const url = new URL(page, root);
  const links = [...readFileSync(url, 'utf8').matchAll(/\]\(([^)#\s]+)(?:#[^)]*)?\)/g)].map(
    ([, link = '']) => link,
  );
  const missing = links.filter(
    (link) => !/^https?:/.test(link) && !existsSync(fileURLToPath(new URL(link, url))),
  );
  expect(missing).toEqual([]);
});
