import type { Workload } from '../plan/index.ts';
import type { Promised, Timetable } from '../planner/index.ts';
import { clockFrom, wallClock } from '../units/index.ts';
import { byDay, dayAndClock } from './clock.ts';
import { planLetter } from './naming.ts';
import { promiseSentence } from './promise.ts';
import { readyHead, readyWords, type Stretch } from './ready.ts';
import {
  limitWords,
  linesOf,
  ovenWords,
  placeWords,
  rundown,
  type Entry,
  type Line,
  type Rundown,
} from './rundown.ts';
import { keepWords, settingWords } from './text.ts';

/** The run sheet as Markdown: tables under a heading for each day. Names from the plan cannot break out of their cells. */
export function runSheetMarkdown(workload: Workload, timetable: Timetable, promise?: Promised): string {
  const sheet = rundown(workload, timetable);
  const { timeZone, plans } = sheet;
  const uses = sheet.limits.filter((limit) => limit.kind === 'use');
  const lines = [
    ...plans.flatMap((plan, index) => [
      `# ${plans.length > 1 ? `${planLetter(index)}: ` : ''}${plain(plan.title)}`,
      '',
      `${plain(plan.makes)}, served ${dayAndClock(plan.service, timeZone)}.`,
      '',
    ]),
    ...(sheet.begin
      ? [`Begin ${dayAndClock(sheet.begin.at, timeZone)}: ${plain(sheet.begin.what)}.`, '']
      : []),
    ...(promise ? [plain(promiseSentence(promise)), ''] : []),
    ...dayTables(sheet, 'SERVE'),
    ...(uses.length > 0
      ? ['## Keeps', '', ...uses.map((limit) => `- ${plain(keepWords(limit, timeZone))}`), '']
      : []),
  ];
  return lines.join('\n');
}

/** Everything that is done, in tables under a heading for each day; `served` stands at the moment that it is for. */
export const dayTables = (sheet: Rundown, served: string): string[] =>
  byDay(linesOf(sheet), sheet.timeZone).flatMap(({ day, entries }) => [
    `## ${day}`,
    '',
    ...dayLines(entries, sheet.timeZone, served),
    '',
  ]);

const TABLE = [
  '| from | to | hands | component | what | where | how |',
  '| --- | --- | --- | --- | --- | --- | --- |',
];

/** A day's rows, in a new table after each list of what is to stand ready. */
function dayLines(lines: readonly Line[], timeZone: string, served: string): string[] {
  return lines.flatMap((line, place) => {
    const before = lines[place - 1]?.kind;
    if (line.kind === 'ready')
      return [...(before === undefined ? [] : ['']), ...readyList(line.stretch, timeZone)];
    const begins = before === undefined || before === 'ready';
    return [...(begins ? TABLE : []), row(line, timeZone, served)];
  });
}

const readyList = (stretch: Stretch, timeZone: string): string[] => [
  `**${readyHead(stretch, timeZone)}:**`,
  '',
  ...readyWords(stretch, timeZone).map(({ what, words }) => `- ${what}: ${plain(words)}`),
  '',
];

function row(entry: Entry, timeZone: string, served: string): string {
  const from = wallClock(entry.at, timeZone);
  if (entry.kind === 'service') {
    const what = entry.plans.map(({ title, makes }) => `${title}, ${makes}`).join('; ');
    return cells([from, '', served, '', what, '', '']);
  }
  if (entry.kind === 'oven')
    return cells([
      from,
      '',
      'set',
      'oven',
      `${ovenWords(entry)}${settingWords(entry, timeZone)}`,
      entry.oven,
      '',
    ]);
  const to = entry.end > entry.at ? clockFrom(entry.end, entry.at, timeZone) : '';
  const how = [
    ...(entry.limit ? [limitWords(entry.limit, timeZone)] : []),
    entry.length,
    ...(entry.until === undefined ? [] : [`until ${entry.until}`]),
    ...entry.equipment,
    ...(entry.step.caution === undefined ? [] : [`Caution: ${entry.step.caution}`]),
  ];
  const where = placeWords(entry) || entry.place;
  return cells([from, to, entry.step.hands, entry.label, entry.step.action, where, how.join('; ')]);
}

/** A row of a table. */
export const cells = (texts: readonly string[]): string => `| ${texts.map(plain).join(' | ')} |`;

/** Text that Markdown leaves as it is. */
export const plain = (text: string): string => text.replace(/[\\`*_[\]<>|#~&]/g, '\\$&');
