import { describe, expect, test } from 'vitest';
import { runSheetCalendar } from '../../src/sheet/index.ts';
import { laidTogether, step, workload } from '../support/workloads.ts';
import { at, picnic, picnicTimes, timetable } from './hand-made.ts';

type Event = ReadonlyMap<string, string>;

/** The events of a calendar, unfolded and unescaped; throws on lines that RFC 5545 does not allow. */
function events(text: string): Event[] {
  if (!text.endsWith('END:VCALENDAR\r\n')) throw new Error('the calendar does not end as it should');
  const physical = text.slice(0, -2).split('\r\n');
  const encoder = new TextEncoder();
  for (const line of physical) {
    if (encoder.encode(line).length > 75) throw new Error(`longer than 75 octets: ${line}`);
    if (/[\p{Cc}]/u.test(line)) throw new Error(`a control character in ${JSON.stringify(line)}`);
  }
  const lines = physical.join('\r\n').replaceAll('\r\n ', '').split('\r\n');
  const found: Map<string, string>[] = [];
  const inside: string[] = [];
  for (const line of lines) {
    const [, name = '', value = ''] = /^([A-Z-]+)(?:;[^:]*)?:(.*)$/u.exec(line) ?? [];
    if (name === '') throw new Error(`no property: ${line}`);
    if (name === 'BEGIN') {
      inside.push(value);
      if (value === 'VEVENT') found.push(new Map());
    } else if (name === 'END') {
      if (inside.pop() !== value) throw new Error(`END:${value} closes another`);
    } else if (!inside.includes('VEVENT')) {
      if (found.length > 0) throw new Error(`a property of the calendar after its events: ${line}`);
    } else {
      const key = inside.at(-1) === 'VALARM' ? `ALARM ${name}` : name;
      found.at(-1)?.set(
        key,
        value.replace(/\\(.)/gu, (_, letter: string) => (letter === 'n' ? '\n' : letter)),
      );
    }
  }
  if (inside.length > 0) throw new Error(`${inside.join(' ')} never ends`);
  return found;
}

const stamp = at('2027-05-01 08:00');
const read = (
  ...given: [Parameters<typeof runSheetCalendar>[0], Parameters<typeof runSheetCalendar>[1]]
): Event[] => events(runSheetCalendar(...given, { stamp }));

describe('the run sheet as a calendar', () => {
  test('an event for each step with hands, each setting of an oven, and service; each rings at its start', () => {
    const found = read(picnic, picnicTimes);
    expect(found.map((event) => [event.get('DTSTART'), event.get('DTEND'), event.get('SUMMARY')])).toEqual([
      ['20270514T193400Z', '20270514T194400Z', 'curd: cook'],
      ['20270515T043200Z', '20270515T045900Z', 'set deck to 190 C'],
      ['20270515T045548Z', '20270515T045900Z', 'shells: pipe'],
      ['20270515T052400Z', undefined, 'set deck off'],
      ['20270515T054400Z', '20270515T055000Z', 'shells: fill'],
      ['20270515T060000Z', undefined, 'SERVE Harbour picnic'],
    ]);
    for (const event of found) {
      expect([event.get('ALARM ACTION'), event.get('ALARM TRIGGER')]).toEqual(['DISPLAY', 'PT0S']);
      expect(event.get('ALARM DESCRIPTION')).toBe(event.get('SUMMARY'));
      expect(event.get('DTSTAMP')).toBe('20270501T080000Z');
    }
    expect(found[0]?.get('LOCATION')).toBe('hob');
    expect(found[0]?.get('DESCRIPTION')).toBe(
      [
        'stir over the heat',
        'Caution: sugar burns',
        'busy, 22:34 to 22:44 in the kitchen',
        'usually 10 min (9-13 min)',
        'until it coats the spoon and curd reaches 82 C',
        'with pan',
        'Have ready by Fri 22:34, for work to 22:44',
        'weigh out: curd',
        'tools: pan',
        'probe for: curd',
        'room on: fridge shelf',
      ].join('\n'),
    );
  });

  test('written again it has the same UIDs and a later sequence; another day of service has others', () => {
    const [first, again] = [stamp, at('2027-05-02 08:00')].map((when) =>
      events(runSheetCalendar(picnic, picnicTimes, { stamp: when })),
    );
    const uids = (list: Event[] | undefined): (string | undefined)[] =>
      (list ?? []).map((event) => event.get('UID'));
    expect(new Set(uids(first)).size).toBe(6);
    expect(uids(again)).toEqual(uids(first));
    expect(Number(again?.[0]?.get('SEQUENCE'))).toBeGreaterThan(Number(first?.[0]?.get('SEQUENCE')));
    const moved = read(picnic, { ...picnicTimes, service: [at('2027-05-16 06:00')] });
    expect(uids(moved).filter((uid) => uids(first).includes(uid))).toEqual([]);
  });

  test('times are right on both sides of a change of the clock', () => {
    const given = workload({
      kitchen: { timeZone: 'Europe/Helsinki' },
      components: {
        dough: [
          step('fold', { takes: '10 min', hands: 'busy' }),
          step('shape', { takes: '10 min', hands: 'busy' }),
        ],
      },
    });
    // Clocks go back from 04:00 to 03:00 on 31 October 2027, which is 01:00 UTC.
    const found = read(
      given,
      timetable(given, '2027-10-31 05:00', {
        'dough.fold': ['2027-10-31 00:30', '2027-10-31 00:40'],
        'dough.shape': ['2027-10-31 01:30', '2027-10-31 01:40'],
      }),
    );
    expect(found.map((event) => event.get('DTSTART'))).toEqual([
      '20271031T003000Z',
      '20271031T013000Z',
      '20271031T050000Z',
    ]);
    // Both are half past three on the wall.
    expect(
      found.slice(0, 2).map((event) => /\d\d:\d\d to \d\d:\d\d/.exec(event.get('DESCRIPTION') ?? '')?.[0]),
    ).toEqual(['03:30 to 03:40', '03:30 to 03:40']);
  });

  test('hostile names cannot begin a line or a property of their own', () => {
    const nasty = 'x\r\nBEGIN:VEVENT\r\nSUMMARY:y, z; \\n ø熱 \u0007\u202e';
    const given = workload({
      title: nasty,
      components: {
        [nasty]: [step(nasty, { action: nasty, takes: '5 min', hands: 'busy', caution: nasty })],
      },
    });
    const id = given.components[0]?.steps[0]?.id ?? '';
    const found = read(
      given,
      timetable(given, '2027-05-14 12:00', { [id]: ['2027-05-14 11:00', '2027-05-14 11:05'] }),
    );
    expect(found).toHaveLength(2);
    expect(found[0]?.get('UID')).toMatch(/^[\x21-\x7e]+@thirdhand$/);
    expect(found[0]?.get('SUMMARY')).toContain('SUMMARY:y, z; \\n ø熱');
  });

  test('several plans: every plan is called by its letter, each service is an event', () => {
    const one = {
      title: 'Tea',
      components: { scones: [step('cut', { takes: '6 min', hands: 'busy' as const })] },
    };
    const both = laidTogether({}, { tea: one, late: { ...one, title: 'Late tea' } });
    const found = read(
      both,
      timetable(both, ['2027-05-15 06:00', '2027-05-15 06:30'], {
        'tea/scones.cut': ['2027-05-15 05:48', '2027-05-15 05:54'],
        'late/scones.cut': ['2027-05-15 06:15', '2027-05-15 06:21'],
      }),
    );
    expect(found.map((event) => event.get('SUMMARY'))).toEqual([
      'A scones: cut',
      'SERVE Tea',
      'B scones: cut',
      'SERVE Late tea',
    ]);
  });
});
