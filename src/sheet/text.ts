import stringWidth from 'string-width';
import type { Workload } from '../plan/index.ts';
import type { Timetable } from '../planner/index.ts';
import { byDay, clockFrom, dayOf, ovenWords, rundown, type Entry, type Rundown } from './rundown.ts';
import { wallClock } from '../units/index.ts';

/** The widest line of a run sheet in columns. */
const WIDTH = 100;
const LABEL_WIDTH = 16;

/**
 * The timetable as a person reads it at the bench: what it makes and when to begin, then everything to be done in order of
 * time, then what must not wait. Plain text, at most 100 columns, no escapes; ends with a line feed.
 */
export function runSheetText(workload: Workload, timetable: Timetable): string {
  const sheet = rundown(workload, timetable);
  const labels = sheet.entries.map((entry) => stringWidth(entry.kind === 'step' ? entry.label : 'oven'));
  const labelWidth = Math.min(LABEL_WIDTH, Math.max(4, ...labels));
  const lines = [
    ...head(sheet),
    ...byDay(sheet.entries, sheet.timeZone).flatMap(({ day, entries }) => [
      '',
      day,
      ...entries.flatMap((entry) => entryLines(sheet, entry, labelWidth)),
    ]),
    ...(sheet.windows.length > 0
      ? ['', 'Must not wait', ...sheet.windows.flatMap((line) => wrapped(line, '  ', '    '))]
      : []),
  ];
  return `${lines.map((line) => line.trimEnd()).join('\n')}\n`;
}

function head({ plans, begin, timeZone }: Rundown): string[] {
  const lines = plans.flatMap((plan) => [
    ...wrapped(plan.title, '', ''),
    ...wrapped(
      `${plan.makes}, served ${dayOf(plan.service, timeZone)} ${wallClock(plan.service, timeZone)}`,
      '  ',
      '  ',
    ),
  ]);
  if (!begin) return lines;
  return [
    ...lines,
    ...wrapped(
      `Begin ${dayOf(begin.at, timeZone)} ${wallClock(begin.at, timeZone)}: ${begin.what}`,
      '',
      '  ',
    ),
  ];
}

function entryLines(sheet: Rundown, entry: Entry, labelWidth: number): string[] {
  const at = `  ${wallClock(entry.at, sheet.timeZone)}  `;
  const hands = entry.kind === 'step' ? entry.step.hands : 'set';
  const label = entry.kind === 'step' ? entry.label : 'oven';
  const lead = `${at}${hands.padEnd(4)}  ${fit(label, labelWidth)}  `;
  const under = ' '.repeat(stringWidth(lead));
  if (entry.kind === 'oven') return wrapped(`${ovenWords(entry)}${ovenPurpose(sheet, entry)}`, lead, under);
  const end = entry.end > entry.at ? ` - to ${clockFrom(entry.end, entry.at, sheet.timeZone)}` : '';
  return [
    ...wrapped(`${entry.step.action}${end}`, lead, under),
    ...wrapped(entry.details.join('; '), under, under),
    ...(entry.step.caution === undefined ? [] : wrapped(`! ${entry.step.caution}`, under, `${under}  `)),
  ];
}

function ovenPurpose(sheet: Rundown, entry: Entry & { readonly kind: 'oven' }): string {
  const { setting, hotBy, purpose, at } = entry;
  const by = hotBy > at ? `, ready by ${clockFrom(hotBy, at, sheet.timeZone)}` : '';
  if (setting.heat.kind === 'off') return hotBy > at ? `${by} (${purpose})` : ` (${purpose})`;
  return `${by.replace('ready', 'hot')} (${purpose})`;
}

/** The text padded or cut to a width in columns; a cut shows as a final `~`. */
function fit(text: string, width: number): string {
  if (stringWidth(text) <= width) return text + ' '.repeat(width - stringWidth(text));
  let kept = '';
  for (const letter of text) {
    if (stringWidth(kept + letter) > width - 1) break;
    kept += letter;
  }
  return `${kept}~${' '.repeat(Math.max(0, width - 1 - stringWidth(kept)))}`;
}

/** Breaks a text into lines of at most {@link WIDTH} columns, between words where it can. */
function wrapped(text: string, first: string, further: string): string[] {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  const next = (): void => {
    lines.push(line);
    line = further;
    empty = true;
  };
  for (const word of text.split(' ').flatMap((part) => pieces(part, WIDTH - stringWidth(further)))) {
    if (!empty && stringWidth(line) + 1 + stringWidth(word) > WIDTH) next();
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  next();
  return lines;
}

/** A word that is wider than a whole line, in pieces that fit. */
function pieces(word: string, width: number): string[] {
  if (stringWidth(word) <= width) return [word];
  const found: string[] = [''];
  for (const letter of word) {
    const last = found.at(-1) ?? '';
    if (stringWidth(last + letter) > width) found.push(letter);
    else found[found.length - 1] = last + letter;
  }
  return found;
}
