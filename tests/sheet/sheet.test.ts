import stringWidth from 'string-width';
import { describe, expect, test } from 'vitest';
import type { Workload } from '../../src/plan/index.ts';
import { planTimetable, type Timetable } from '../../src/planner/index.ts';
import { runSheetJson, runSheetMarkdown, runSheetText } from '../../src/sheet/index.ts';
import { seconds, temperatureOf } from '../../src/units/index.ts';
import { laidTogether, moment, step, workload } from '../support/workloads.ts';

const picnic = workload({
  name: 'harbour',
  title: 'Harbour picnic',
  makes: 24,
  of: 'rolls',
  margin: '10 min',
  kitchen: { timeZone: 'Europe/Helsinki', items: { tray: 2 }, ovens: [{ name: 'deck' }] },
  components: {
    curd: {
      keeps: '20 h',
      steps: [
        step('cook', {
          action: 'stir over the heat',
          takes: ['9 min', '13 min'],
          usually: '10 min',
          hands: 'busy',
          uses: ['hob', 'pan'],
          caution: 'sugar burns',
          until: {
            kind: 'all',
            of: [
              { kind: 'cue', text: 'it coats the spoon' },
              {
                kind: 'probe',
                probe: 'curd',
                goal: { kind: 'reaches', to: temperatureOf(82, 'C') },
                lasting: seconds(10),
              },
            ],
          },
        }),
        step('chill', { rest: ['10 h', '20 h'], within: '5 min', uses: ['fridge shelf'] }),
      ],
    },
    shells: [
      step('pipe', { each: '8 s', hands: 'busy', holds: [{ item: 'tray', count: 2, until: 'shells.dry' }] }),
      step('bake', { takes: '25 min', within: '10 min', oven: { at: '190 C', shelves: 2 } }),
      step('dry', { takes: '20 min', within: '0 min', oven: { off: true, door: 'ajar', shelves: 2 } }),
      step('fill', { each: '15 s', hands: 'busy', needs: ['curd'], within: '3 h' }),
    ],
  },
});

function timetable(given: Workload, service = '2027-05-15 06:00'): Timetable {
  const result = planTimetable(given, {
    service: { kind: 'at', moments: given.plans.map(() => moment(service)) },
  });
  if (!('timetable' in result)) throw new Error(result.status);
  return result.timetable;
}

describe('the run sheet as text', () => {
  test('head, everything in order of time with the days, and what must not wait', () => {
    expect(runSheetText(picnic, timetable(picnic))).toBe(`\
Harbour picnic
  24 rolls, served Sat 2027-05-15 09:00
Begin Fri 2027-05-14 22:34: curd, stir over the heat

Fri 2027-05-14
  22:34  busy  curd    stir over the heat - to 22:44
                       usually 10 min (9-13 min); until it coats the spoon and curd reaches 82 C;
                       with hob, pan
                       ! sugar burns
  22:44  free  curd    chill - to Sat 08:44
                       rests 10 h (10-20 h); with fridge shelf

Sat 2027-05-15
  07:32  set   oven    deck to 190 C, hot by 07:59 (shells, bake)
  07:55  busy  shells  pipe - to 07:59
                       24 x 8 s, in all 3 min 12 s; keep 2 x tray until shells, dry
  07:59  free  shells  bake - to 08:24
                       25 min; in deck at 190 C, door shut, 2 shelves
  08:24  set   oven    deck off (shells, dry)
  08:24  free  shells  dry - to 08:44
                       20 min; in deck, off, door ajar, 2 shelves
  08:44  busy  shells  fill - to 08:50
                       24 x 15 s, in all 6 min

Must not wait
  curd: chill within 5 min after cook
  curd: keeps 20 h from finished to the end of shells, fill (planned: 6 min)
  shells: bake within 10 min after pipe
  shells: dry at once after bake
  shells: fill within 3 h after dry
`);
  });

  test('across a change to summer time the clock jumps and the length stays', () => {
    const night = workload({
      kitchen: { timeZone: 'Europe/Helsinki' },
      components: { dough: [step('prove', { rest: ['6 h'] })] },
    });
    // Clocks go from 03:00 to 04:00 on 28 March 2027.
    expect(runSheetText(night, timetable(night, '2027-03-28 04:00'))).toContain(
      '  00:00  free  dough  prove - to 07:00\n                      rests 6 h (at least 6 h)\n',
    );
  });

  test('two plans: both heads, and components with their plan', () => {
    const one = {
      title: 'Tea',
      makes: 6,
      of: 'scones',
      components: { scones: [step('cut', { takes: '6 min', hands: 'busy' as const })] },
    };
    const both = laidTogether({}, { tea: one, late: { ...one, title: 'Late tea' } });
    expect(runSheetText(both, timetable(both))).toBe(`\
Tea
  6 scones, served Sat 2027-05-15 06:00
Late tea
  6 scones, served Sat 2027-05-15 06:00
Begin Sat 2027-05-15 05:48: tea/scones, cut

Sat 2027-05-15
  05:48  busy  tea/scones   cut - to 05:54
                            6 min
  05:54  busy  late/scones  cut - to 06:00
                            6 min
`);
  });

  test('no line is wider than 100 columns, whatever the names', () => {
    const wide = workload({
      title: 'ねり切り '.repeat(40),
      components: {
        [`component-${'long'.repeat(20)}`]: [
          step('s', {
            action: `${'x'.repeat(300)} ${'dough '.repeat(60)}`,
            takes: '5 min',
            hands: 'busy',
            caution: '熱'.repeat(120),
          }),
        ],
      },
    });
    const lines = runSheetText(wide, timetable(wide)).split('\n');
    expect(lines.length).toBeGreaterThan(15);
    expect(lines.filter((line) => stringWidth(line) > 100)).toEqual([]);
  });
});

describe('the run sheet as Markdown', () => {
  test('a table for each day', () => {
    const tea = workload({
      title: 'Tea *for* two',
      makes: 6,
      of: 'scones',
      components: {
        scones: [
          step('cut', { action: 'cut | turn', takes: '6 min', hands: 'busy' }),
          step('bake', { takes: '12 min', within: '10 min', oven: { at: '220 C' }, caution: 'hot tray' }),
        ],
      },
    });
    expect(runSheetMarkdown(tea, timetable(tea))).toBe(`\
# Tea \\*for\\* two

6 scones, served Sat 2027-05-15 06:00.

Begin Sat 2027-05-15 05:18: oven to 220 C.

## Sat 2027-05-15

| from | to | hands | what | how |
| --- | --- | --- | --- | --- |
| 05:18 | 05:48 | set | oven to 220 C | for scones, bake |
| 05:42 | 05:48 | busy | scones: cut \\| turn | 6 min |
| 05:48 | 06:00 | free | scones: bake | 12 min; in oven at 220 C, door shut; Caution: hot tray |
| 06:00 |  | set | oven off | for scones, bake |

## Must not wait

- scones: bake within 10 min after cut
`);
  });
});

describe('the run sheet for programs', () => {
  test('plain data that survives JSON', () => {
    const sheet = runSheetJson(picnic, timetable(picnic));
    expect(JSON.parse(JSON.stringify(sheet))).toEqual(sheet);
    expect(sheet).toMatchObject({
      version: 1,
      timeZone: 'Europe/Helsinki',
      plans: [
        { name: 'harbour', title: 'Harbour picnic', makes: '24 rolls', service: '2027-05-15T06:00:00.000Z' },
      ],
      begin: '2027-05-14T19:34:00.000Z',
    });
    expect(sheet.entries).toHaveLength(8);
    expect(sheet.entries[0]).toEqual({
      kind: 'step',
      at: '2027-05-14T19:34:00.000Z',
      end: '2027-05-14T19:44:00.000Z',
      seconds: 600,
      step: 'curd.cook',
      component: 'curd',
      action: 'stir over the heat',
      hands: 'busy',
      oven: null,
      until: 'it coats the spoon and curd reaches 82 C',
      uses: [
        { item: 'hob', count: 1 },
        { item: 'pan', count: 1 },
      ],
      holds: [],
      caution: 'sugar burns',
    });
    expect(sheet.entries[2]).toEqual({
      kind: 'oven',
      at: '2027-05-15T04:32:00.000Z',
      hotBy: '2027-05-15T04:59:00.000Z',
      oven: 'deck',
      heat: '190 C',
      step: 'shells.bake',
    });
    expect(sheet.entries[4]).toMatchObject({ step: 'shells.bake', oven: 'deck', seconds: 1500 });
  });

  test('an empty timetable has no beginning', () => {
    const sheet = runSheetJson(picnic, { service: [moment('2027-05-15 06:00')], steps: [], settings: [] });
    expect(sheet).toMatchObject({ begin: null, entries: [] });
  });
});
