import type { Workload } from '../plan/index.ts';
import type { Timetable } from '../planner/index.ts';
import { wallClock } from '../units/index.ts';
import { byDay, clockFrom, dayOf, ovenWords, rundown, type Entry } from './rundown.ts';

/** The run sheet as Markdown: a table for each day. Names from the plan cannot break out of their cells. */
export function runSheetMarkdown(workload: Workload, timetable: Timetable): string {
  const sheet = rundown(workload, timetable);
  const { timeZone } = sheet;
  const lines = [
    ...sheet.plans.flatMap((plan) => [
      `# ${plain(plan.title)}`,
      '',
      `${plain(plan.makes)}, served ${dayOf(plan.service, timeZone)} ${wallClock(plan.service, timeZone)}.`,
      '',
    ]),
    ...(sheet.begin
      ? [
          `Begin ${dayOf(sheet.begin.at, timeZone)} ${wallClock(sheet.begin.at, timeZone)}: ${plain(sheet.begin.what)}.`,
          '',
        ]
      : []),
    ...byDay(sheet.entries, timeZone).flatMap(({ day, entries }) => [
      `## ${day}`,
      '',
      '| from | to | hands | what | how |',
      '| --- | --- | --- | --- | --- |',
      ...entries.map((entry) => row(entry, timeZone)),
      '',
    ]),
    ...(sheet.windows.length > 0
      ? ['## Must not wait', '', ...sheet.windows.map((line) => `- ${plain(line)}`), '']
      : []),
  ];
  return lines.join('\n');
}

function row(entry: Entry, timeZone: string): string {
  const from = wallClock(entry.at, timeZone);
  if (entry.kind === 'oven') {
    const by = entry.hotBy > entry.at ? clockFrom(entry.hotBy, entry.at, timeZone) : '';
    return cells([from, by, 'set', ovenWords(entry), `for ${entry.purpose}`]);
  }
  const caution = entry.step.caution === undefined ? [] : [`Caution: ${entry.step.caution}`];
  const what = `${entry.label}: ${entry.step.action}`;
  const to = entry.end > entry.at ? clockFrom(entry.end, entry.at, timeZone) : '';
  return cells([from, to, entry.step.hands, what, [...entry.details, ...caution].join('; ')]);
}

const cells = (texts: readonly string[]): string => `| ${texts.map(plain).join(' | ')} |`;

/** Text that Markdown leaves as it is. */
const plain = (text: string): string => text.replace(/[\\`*_[\]<>|#~]/g, '\\$&');
