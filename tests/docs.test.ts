import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { demoDemonstrations, demoPlans } from '../src/cli/files.ts';
import { program } from '../src/cli/program.ts';
import { planTimetable } from '../src/planner/index.ts';
import { rehearseToEnd } from '../src/rehearsal/index.ts';
import { alarmTableText, replay, type RunSetup } from '../src/bench/index.ts';
import { plus } from '../src/units/index.ts';
import { demoWorkload } from './demo-plans/demo-plans.ts';
import { benchLink } from './support/bench-link.ts';
import { drawBoard } from './support/drawn.ts';
import { moment } from './support/workloads.ts';

const read = (path: string): string => readFileSync(new URL(`../${path}`, import.meta.url), 'utf8');

/** The first cells of a page's tables, without marks of code. */
const firstCells = (page: string): string[] =>
  [...read(page).matchAll(/^\| ([^|]+?) \|/gm)].map(([, cell = '']) => cell.replaceAll('`', ''));

const manifest = JSON.parse(read('package.json')) as Record<
  'dependencies' | 'devDependencies' | 'scripts',
  Record<string, string>
>;

test('the page on dependencies has a line on each package, and on none that is not there', () => {
  const packages = Object.keys({ ...manifest.dependencies, ...manifest.devDependencies });
  const named = firstCells('docs/dependencies.md').filter((cell) => !/^(package|-+)$/.test(cell));
  expect(named.toSorted()).toEqual(packages.toSorted());
});

test('the page on alarms has the table that the bench goes by', () => {
  expect(read('docs/alarms.md')).toContain(`\n${alarmTableText()}\n`);
});

test('every kind of alarm is in the table once, and has something that can be done', () => {
  const [, union = ''] = /export type AlarmKind =([^;]+);/.exec(read('src/bench/state.ts')) ?? [];
  const kinds = [...union.matchAll(/'([^']+)'/g)].map(([, kind]) => kind);
  expect(kinds.length).toBeGreaterThan(5);
  const rows = alarmTableText()
    .split('\n')
    .slice(2)
    .map((row) => row.split('|').map((cell) => cell.trim()));
  expect(new Set(rows.map(([, kind]) => kind))).toEqual(new Set(kinds));
  expect(rows).toHaveLength(kinds.length);
  expect(rows.filter(([, , , , action]) => !action)).toEqual([]);
});

test('the page for developers has every script of the package', () => {
  const page = read('DEVELOPERS.md');
  const missing = Object.keys(manifest.scripts).filter((name) => !new RegExp(`\`${name}( |\`)`).test(page));
  expect(missing).toEqual([]);
});

/** A board of 80x24 in a rehearsal of the gallery plan, three seconds before the simulated cook puts the trays into the oven. */
async function galleryBoard(): Promise<string> {
  const workload = demoWorkload('gallery-opening');
  const now = moment('2027-05-14 15:00');
  const result = planTimetable(workload, {
    service: { kind: 'at', moments: [moment('2027-05-14 19:30')] },
    now,
  });
  if (!('timetable' in result)) throw new Error('the gallery plan has no timetable');
  const setup: RunSetup = { run: 'docs', workload, timetable: result.timetable, begunAt: now };
  const { events } = rehearseToEnd(setup, 3);
  const index = events.findIndex((event) => event.kind === 'start' && event.step === 'shells.bake high');
  const [before, start] = [events.slice(0, index), events[index]];
  if (!start) throw new Error('the shells were never baked');
  const seen = plus(start.time, -3);
  const drawn = drawBoard(
    benchLink(setup, () => seen, replay(setup, before)),
    { columns: 80, rows: 24 },
  );
  try {
    await drawn.settled();
    // The first key only leaves the page on what happened meanwhile.
    drawn.type(' ');
    return (await drawn.settled())
      .map((row) => row.trimEnd())
      .join('\n')
      .trimEnd();
  } finally {
    await drawn.leave();
  }
}

describe('each command that a page shows', () => {
  const quiet = (): void => undefined;
  const { commands } = program({ print: quiet, document: quiet, warn: quiet, json: quiet });
  const demos = [...demoPlans(), ...demoDemonstrations()];
  const pages = [
    'README.md',
    ...readdirSync(new URL('../docs', import.meta.url)).map((name) => `docs/${name}`),
  ];
  // A line of its own in a block: what it does stands behind two spaces, a pipe or an arrow.
  const shown = pages
    .filter((page) => page.endsWith('.md'))
    .flatMap((page) =>
      // What stands between fences is every second piece.
      read(page)
        .split(/^```.*$/m)
        .filter((_, index) => index % 2 === 1)
        .flatMap((block) => block.split('\n'))
        .flatMap((line) => {
          const [, words] = /^(?:npm run thirdhand -- |thirdhand )(.*?)(?: {2}| [|>]|$)/.exec(line) ?? [];
          return words === undefined ? [] : [`${page}: ${words.trim()}`];
        }),
    );

  test('there are some', () => expect(shown.length).toBeGreaterThan(10));

  test.each(shown)('%s', (line) => {
    const [name = '', ...words] = line.replace(/^.*?: /, '').split(' ');
    const command = commands.find((each) => each.name() === name);
    expect(command).toBeDefined();
    const known = new Set(command?.options.map(({ long }) => long));
    expect(words.filter((word) => word.startsWith('--') && !known.has(word))).toEqual([]);
    if (!['sheet', 'start', 'rehearse', 'check'].includes(name)) return;
    // A bare name is a demo plan's; what has an ending or is in capitals is the reader's own.
    expect(words[0]).toMatch(new RegExp(`^(?:${demos.join('|')}|FILE.*|(?!lamplight|harvest).*\\.yaml)$`));
  });
});

test('the board that the page on it shows is the one that is drawn; UPDATE_GOLDENS=1 writes it anew', async () => {
  const shownIn = (page: string): string => /^```\n([\s\S]*?)\n```/m.exec(page)?.[1] ?? 'nothing';
  const board = await galleryBoard();
  const page = read('docs/board.md');
  if (process.env['UPDATE_GOLDENS'] === '1')
    writeFileSync(
      new URL('../docs/board.md', import.meta.url),
      page.replace(shownIn(page), () => board),
    );
  expect(shownIn(read('docs/board.md'))).toBe(board);
});
