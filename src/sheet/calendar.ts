import ical, { ICalAlarmType, type ICalEventData } from 'ical-generator';
import type { Workload } from '../plan/index.ts';
import type { Timetable } from '../planner/index.ts';
import { clockFrom, localDate, wallClock, type EpochMs } from '../units/index.ts';
import { readyHead, readyWords } from './ready.ts';
import { limitWords, ovenWords, placeWords, rundown, type Entry, type Rundown } from './rundown.ts';
import { settingWords } from './text.ts';

export interface CalendarOptions {
  /** When the calendar is made: its events say so, and a calendar takes the later of two. */
  readonly stamp: EpochMs;
}

/**
 * The timetable as a calendar (iCalendar, RFC 5545): an event with an alarm at its start for each step that wants hands,
 * each setting of an oven, and each service. Moments are in UTC, so that they are right in whatever time zone the calendar
 * is read, and over changes of the clock. The same step of the same service has the same UID whenever it is written: a
 * timetable that is brought in again takes the place of the first. Lines end with CR LF.
 */
export function runSheetCalendar(
  workload: Workload,
  timetable: Timetable,
  { stamp }: CalendarOptions,
): string {
  const sheet = rundown(workload, timetable);
  const calendar = ical({
    prodId: { company: 'thirdhand', product: 'run sheet', language: 'EN' },
  });
  const counts = new Map<string, number>();
  for (const entry of sheet.entries) {
    if (entry.kind === 'step' && entry.step.hands === 'free') continue;
    const key = keyOf(sheet, entry);
    const count = (counts.get(key) ?? 0) + 1;
    counts.set(key, count);
    calendar.createEvent({
      ...eventOf(sheet, entry),
      id: `${key}${count === 1 ? '' : `-${count}`}@thirdhand`,
      stamp: new Date(stamp),
      // Grows with every time the calendar is written; minutes since 2020 stay within its 31 bits.
      sequence: Math.max(0, Math.floor((stamp - Date.UTC(2020, 0)) / 60_000)),
      alarms: [{ type: ICalAlarmType.display, trigger: 0 }],
    });
  }
  return `${calendar.toString()}\r\n`;
}

/** What makes an event the same one when it is written again: its plan, the day of service, and what it is. */
function keyOf({ plans, timeZone }: Rundown, entry: Entry): string {
  const served = [...new Set(plans.map(({ service }) => localDate(service, timeZone)))].join('+');
  const names = plans.map(({ name }) => name).join('+');
  const what =
    entry.kind === 'step'
      ? entry.step.id
      : entry.kind === 'oven'
        ? `${entry.oven} ${entry.setting.heat.kind} ${entry.setting.step}`
        : `serve ${entry.plans.map(({ name }) => name).join('+')}`;
  // No other character stands in the way of a reader of calendars.
  return [names, served, what].map((part) => encodeURIComponent(part).replaceAll('%', '~')).join('/');
}

function eventOf(
  sheet: Rundown,
  entry: Entry,
): Pick<ICalEventData, 'start' | 'end' | 'summary' | 'description' | 'location'> {
  const { timeZone } = sheet;
  const [start, over] = [
    new Date(entry.at),
    entry.kind === 'service' ? entry.at : entry.kind === 'oven' ? entry.hotBy : entry.end,
  ];
  // An event without length has no end: it is over when it begins.
  const end = over > entry.at ? new Date(over) : null;
  switch (entry.kind) {
    case 'service':
      return {
        start,
        end,
        summary: clean(`SERVE ${entry.plans.map(({ title }) => title).join('; ')}`),
        description: clean(entry.plans.map(({ title, makes }) => `${title}: ${makes}`).join('\n')),
      };
    case 'oven':
      return {
        start,
        end,
        summary: clean(`set ${ovenWords(entry)}`),
        description: clean(`${ovenWords(entry)}${settingWords(entry, timeZone)}`),
        location: clean(entry.oven),
      };
    case 'step': {
      const { step, label, limit, length, until, equipment } = entry;
      const first = sheet.stretches.find(({ at }) => at === entry.at);
      const ready = first
        ? [
            readyHead(first, timeZone),
            ...readyWords(first, timeZone).map(({ what, words }) => `${what}: ${words}`),
          ]
        : [];
      return {
        start,
        end,
        summary: clean(`${label}: ${step.name}`),
        description: clean(
          [
            step.action,
            ...(step.caution === undefined ? [] : [`Caution: ${step.caution}`]),
            `${step.hands}, ${wallClock(entry.at, timeZone)} to ${clockFrom(entry.end, entry.at, timeZone)} in the kitchen`,
            ...(limit ? [limitWords(limit, timeZone)] : []),
            length,
            ...(until === undefined ? [] : [`until ${until}`]),
            ...equipment,
            ...ready,
          ].join('\n'),
        ),
        location: clean(placeWords(entry) || entry.place),
      };
    }
  }
}

/** Nothing that is not seen but the line feed. */
const clean = (text: string): string => text.replace(/[^\P{Cc}\n]|\p{Cf}/gu, '');
