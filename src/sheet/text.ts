import stringWidth from 'string-width';
import type { Workload } from '../plan/index.ts';
import type { Promised, Timetable } from '../planner/index.ts';
import { clockFrom, formatDuration, roughly, wallClock } from '../units/index.ts';
import { byDay, dayAndClock } from './clock.ts';
import { plannedWait, type Limit } from './limits.ts';
import { planLetter } from './naming.ts';
import { promiseSentence } from './promise.ts';
import { readyHead, readyWords, type Stretch } from './ready.ts';
import { limitWords, linesOf, ovenWords, placeWords, rundown, type Entry, type Rundown } from './rundown.ts';
import { fit, wrapped } from './wrap.ts';

/** The narrowest and the widest sheet in columns: less cannot be read, and more is hard to follow by eye. */
const [NARROWEST, WIDEST] = [60, 132];
const LABEL_WIDTH = 16;
const READY_WIDTH = 11;

export interface TextOptions {
  /** How wide the lines may be; 80 if left out, and never under 60 or over 132. */
  readonly columns?: number;
  /** Whether the timetable holds whatever happens; nothing is said of it where it was not asked. */
  readonly promise?: Promised;
}

/** What the lines of one sheet share. */
interface Page {
  readonly sheet: Rundown;
  readonly columns: number;
  readonly labelWidth: number;
  /** What stands at the moment that everything is for. */
  readonly served: string;
}

/**
 * The timetable as a person reads it at the bench: what it makes and when to begin, then everything to be done in order of
 * time with what is to stand ready for it, then what keeps how long. Plain text without escapes; ends with a line feed.
 */
export function runSheetText(workload: Workload, timetable: Timetable, options: TextOptions = {}): string {
  const sheet = rundown(workload, timetable);
  const columns = columnsOf(options);
  const uses = sheet.limits.filter((limit) => limit.kind === 'use');
  return paged([
    ...head(sheet, columns),
    ...(options.promise ? wrapped(promiseSentence(options.promise), '', '  ', columns) : []),
    ...dayLines(sheet, columns, 'SERVE'),
    ...(uses.length > 0 ? ['', 'Keeps', ...uses.flatMap((limit) => keepLines(sheet, columns, limit))] : []),
  ]);
}

/** How wide a sheet is. */
export const columnsOf = ({ columns }: TextOptions): number =>
  Math.min(WIDEST, Math.max(NARROWEST, columns ?? 80));

/** Lines as a text that ends with a line feed. Parts keep their distance on both sides; one empty line is enough. */
export const paged = (lines: readonly string[]): string =>
  `${lines
    .filter((line, place) => line !== '' || lines[place - 1] !== '')
    .map((line) => line.trimEnd())
    .join('\n')
    .trimEnd()}\n`;

/** Everything that is done, in order of time under its days; `served` stands at the moment that it is for. */
export function dayLines(sheet: Rundown, columns: number, served: string): string[] {
  const labels = sheet.lanes.map(({ label }) => stringWidth(label));
  const page = { sheet, columns, served, labelWidth: Math.min(LABEL_WIDTH, Math.max(4, ...labels)) };
  return byDay(linesOf(sheet), sheet.timeZone).flatMap(({ day, entries }) => [
    '',
    day,
    ...entries.flatMap((line, place) =>
      line.kind === 'ready' ? readyLines(page, line.stretch, place > 0) : entryLines(page, line),
    ),
  ]);
}

function head({ plans, begin, timeZone }: Rundown, columns: number): string[] {
  const lines = plans.flatMap((plan, index) => [
    ...wrapped(plan.title, plans.length > 1 ? `${planLetter(index)} ` : '', '  ', columns),
    ...wrapped(`${plan.makes}, served ${dayAndClock(plan.service, timeZone)}`, '  ', '  ', columns),
  ]);
  if (!begin) return lines;
  return [...lines, ...wrapped(`Begin ${dayAndClock(begin.at, timeZone)}: ${begin.what}`, '', '  ', columns)];
}

function readyLines({ sheet, columns }: Page, stretch: Stretch, apart: boolean): string[] {
  return [
    ...(apart ? [''] : []),
    ...wrapped(readyHead(stretch, sheet.timeZone), '  ', '    ', columns),
    ...readyWords(stretch, sheet.timeZone).flatMap(({ what, words }) =>
      wrapped(words, `    ${what.padEnd(READY_WIDTH)}`, ' '.repeat(4 + READY_WIDTH), columns),
    ),
    '',
  ];
}

function entryLines({ sheet, columns, labelWidth, served }: Page, entry: Entry): string[] {
  const { timeZone } = sheet;
  const from = wallClock(entry.at, timeZone);
  if (entry.kind === 'service') {
    const what = entry.plans.map(({ title, makes }) => `${title}, ${makes}`).join('; ');
    const lead = `  ${from}  ${served}  `;
    return ['', ...wrapped(what, lead, ' '.repeat(lead.length), columns), ''];
  }
  const hands = entry.kind === 'step' ? entry.step.hands : 'set';
  const label = entry.kind === 'step' ? entry.label : 'oven';
  const to = entry.kind === 'step' && entry.end > entry.at ? `-${wallClock(entry.end, timeZone)}` : '';
  const lead = `  ${(from + to).padEnd(11)}  ${hands.padEnd(4)}  ${fit(label, labelWidth)}  `;
  const under = ' '.repeat(stringWidth(lead));
  if (entry.kind === 'oven')
    return wrapped(`${ovenWords(entry)}${settingWords(entry, timeZone)}`, lead, under, columns);
  const place = placeWords(entry) === '' ? '' : ` [${placeWords(entry)}]`;
  const end = clockFrom(entry.end, entry.at, timeZone);
  const details = [
    ...(end === wallClock(entry.end, timeZone) ? [] : [`to ${end}`]),
    ...(entry.limit ? [limitWords(entry.limit, timeZone)] : []),
    entry.length,
    ...(entry.until === undefined ? [] : [`until ${entry.until}`]),
    ...entry.equipment,
  ];
  return [
    ...wrapped(`${entry.step.action}${place}`, lead, under, columns),
    ...wrapped(details.join('; '), under, under, columns),
    ...(entry.step.caution === undefined
      ? []
      : wrapped(`! ${entry.step.caution}`, under, `${under}  `, columns)),
  ];
}

/** Until when an oven is to be right, and for what. */
export function settingWords(entry: Entry & { readonly kind: 'oven' }, timeZone: string): string {
  const { hotBy, purpose, at } = entry;
  return `${hotBy > at ? `, ready by ${clockFrom(hotBy, at, timeZone)}` : ''} (${purpose})`;
}

type UseLimit = Limit & { readonly kind: 'use' };

function keepLines(sheet: Rundown, columns: number, limit: UseLimit): string[] {
  return wrapped(keepWords(limit, sheet.timeZone), '  ', '    ', columns);
}

/** `curd keeps 20 h: used up by Sun 2027-05-16 04:44; planned 6 min (shells, fill)` */
export const keepWords = (limit: UseLimit, timeZone: string): string =>
  `${limit.label} keeps ${formatDuration(limit.keeps)}: ${usedWords(limit, timeZone)}`;

/** `used up by Sun 2027-05-16 04:44; planned 6 min (shells, fill)` */
export const usedWords = (limit: UseLimit, timeZone: string): string =>
  `${limit.use === 'service' ? 'served' : 'used up'} by ${dayAndClock(limit.latest, timeZone)}; ` +
  `planned ${roughly(plannedWait(limit))} (${limit.use})`;
