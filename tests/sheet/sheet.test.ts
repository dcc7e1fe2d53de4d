import { readFileSync } from 'node:fs';
import stringWidth from 'string-width';
import { describe, expect, test } from 'vitest';
import { runSheetJson, runSheetMarkdown, runSheetText } from '../../src/sheet/index.ts';
import { laidTogether, step, workload } from '../support/workloads.ts';
import { picnic, picnicTimes, timetable } from './hand-made.ts';

describe('the run sheet as text', () => {
  test('head, what to have ready, everything in order of time with the days, and what keeps how long', () => {
    expect(runSheetText(picnic, picnicTimes)).toBe(`\
Harbour picnic
  24 rolls, served Sat 2027-05-15 09:00
Begin Fri 2027-05-14 22:34: curd, stir over the heat

Fri 2027-05-14
  Have ready by Fri 22:34, for work to 22:44
    weigh out  curd
    tools      pan
    probe for  curd
    room on    fridge shelf

  22:34-22:44  busy  curd    stir over the heat [hob]
                             usually 10 min (9-13 min); until it coats the spoon
                             and curd reaches 82 C; with pan
                             ! sugar burns
  22:44-08:44  free  curd    chill [fridge shelf]
                             to Sat 08:44; start by 22:49 (5 min after cook);
                             rests 10 h (10-20 h)

Sat 2027-05-15
  Have ready by Sat 07:55, for work to 07:59
    weigh out  shells
    tools      2 x tray
    oven on    deck to 190 C at 07:32, ready by 07:59

  07:32        set   oven    deck to 190 C, ready by 07:59 (shells, bake)
  07:55-07:59  busy  shells  pipe
                             24 x 8 s, in all 3 min 12 s; keep 2 x tray until
                             shells, dry
  07:59-08:24  free  shells  bake [deck, 190 C, door shut, 2 shelves]
                             start by 08:09 (10 min after pipe); 25 min

  Have ready by Sat 08:44, for work to 08:50
    from cold  curd off the fridge shelf at 08:44 (shells, fill)

  08:24        set   oven    deck off (shells, dry)
  08:24-08:44  free  shells  dry [deck, off, door ajar, 2 shelves]
                             at once after bake; 20 min
  08:44-08:50  busy  shells  fill
                             start by 11:44 (3 h after dry); 24 x 15 s, in all
                             6 min

  09:00  SERVE  Harbour picnic, 24 rolls

Keeps
  curd keeps 20 h: used up by Sun 2027-05-16 04:44; planned 6 min (shells, fill)
`);
  });

  test('the sheet that the page on it shows is the one that is written', () => {
    const page = readFileSync(new URL('../../docs/run-sheet.md', import.meta.url), 'utf8');
    const shown = /^```\n(Harbour[\s\S]*?)```/m.exec(page)?.[1] ?? 'nothing';
    expect(runSheetText(picnic, picnicTimes).startsWith(shown)).toBe(true);
  });

  test('a wider terminal has longer lines, up to 132 columns', () => {
    const wide = runSheetText(picnic, picnicTimes, { columns: 120 });
    expect(wide).toContain(
      '                             usually 10 min (9-13 min); until it coats the spoon and curd reaches 82 C; with pan\n',
    );
    const widest = (columns: number): number =>
      Math.max(
        ...runSheetText(picnic, picnicTimes, { columns })
          .split('\n')
          .map((line) => stringWidth(line)),
      );
    expect(widest(120)).toBeGreaterThan(100);
    expect(widest(4000)).toBeLessThanOrEqual(132);
    expect(widest(80)).toBeLessThanOrEqual(80);
    // Narrower than it can be read it does not get.
    expect(widest(3)).toBeLessThanOrEqual(60);
  });

  test('across a change to summer time the clock jumps and the length stays', () => {
    const night = workload({
      kitchen: { timeZone: 'Europe/Helsinki' },
      components: { dough: [step('prove', { rest: ['6 h'] })] },
    });
    // Clocks go from 03:00 to 04:00 on 28 March 2027.
    const times = timetable(night, '2027-03-28 04:00', {
      'dough.prove': ['2027-03-27 22:00', '2027-03-28 04:00'],
    });
    expect(runSheetText(night, times)).toContain(
      '  00:00-07:00  free  dough  prove\n                            rests 6 h (at least 6 h)\n',
    );
  });

  test('two plans: both heads with a letter, which stands before their components', () => {
    const one = {
      title: 'Tea',
      makes: 6,
      of: 'scones',
      components: { scones: [step('cut', { takes: '6 min', hands: 'busy' as const })] },
    };
    const both = laidTogether({}, { tea: one, late: { ...one, title: 'Late tea' } });
    const times = timetable(both, ['2027-05-15 06:00', '2027-05-15 06:30'], {
      'tea/scones.cut': ['2027-05-15 05:48', '2027-05-15 05:54'],
      'late/scones.cut': ['2027-05-15 06:15', '2027-05-15 06:21'],
    });
    expect(runSheetText(both, times)).toBe(`\
A Tea
  6 scones, served Sat 2027-05-15 06:00
B Late tea
  6 scones, served Sat 2027-05-15 06:30
Begin Sat 2027-05-15 05:48: A scones, cut

Sat 2027-05-15
  Have ready by Sat 05:48, for work to 05:54
    weigh out  A scones

  05:48-05:54  busy  A scones  cut
                               6 min

  06:00  SERVE  Tea, 6 scones

  Have ready by Sat 06:15, for work to 06:21
    weigh out  B scones

  06:15-06:21  busy  B scones  cut
                               6 min

  06:30  SERVE  Late tea, 6 scones
`);
  });

  test('no line is wider than it may be, whatever the names', () => {
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
    const id = wide.components[0]?.steps[0]?.id ?? '';
    const times = timetable(wide, '2027-05-15 06:00', { [id]: ['2027-05-15 05:00', '2027-05-15 05:05'] });
    for (const columns of [60, 80, 100]) {
      const lines = runSheetText(wide, times, { columns }).split('\n');
      expect(lines.length).toBeGreaterThan(15);
      expect(lines.filter((line) => stringWidth(line) > columns)).toEqual([]);
    }
  });
});

describe('what to have ready', () => {
  const readyOf = (given: Parameters<typeof runSheetJson>[0], times: Parameters<typeof runSheetJson>[1]) =>
    runSheetJson(given, times).ready;

  test('work that pauses for a quarter of an hour is one stretch, with as much of a tool as is used at once', () => {
    const given = workload({
      kitchen: { items: { bowl: 6, tray: 4 } },
      components: {
        a: [
          step('mix', { takes: '10 min', hands: 'busy', uses: { bowl: 2 } }),
          step('pipe', {
            takes: '10 min',
            hands: 'busy',
            uses: { tray: 2 },
            holds: [{ item: 'tray', count: 2, until: 'a.cool' }],
          }),
          // What is held is used first: these take no third tray.
          step('cool', { takes: '10 min', uses: { tray: 2 } }),
        ],
        b: [step('whip', { takes: '10 min', hands: 'busy', uses: { bowl: 1, tray: 1 } })],
      },
    });
    const times = timetable(given, '2027-05-14 12:00', {
      'a.mix': ['2027-05-14 10:00', '2027-05-14 10:10'],
      'a.pipe': ['2027-05-14 10:25', '2027-05-14 10:35'],
      'a.cool': ['2027-05-14 10:35', '2027-05-14 10:45'],
      'b.whip': ['2027-05-14 10:40', '2027-05-14 10:50'],
    });
    expect(readyOf(given, times)).toEqual([
      {
        at: '2027-05-14T10:00:00.000Z',
        end: '2027-05-14T10:50:00.000Z',
        weigh: ['a', 'b'],
        tools: [
          { item: 'bowl', count: 2 },
          { item: 'tray', count: 3 },
        ],
        room: [],
        cold: [],
        ovens: [],
        probes: [],
      },
    ]);
    const later = timetable(given, '2027-05-14 12:00', {
      'a.mix': ['2027-05-14 10:00', '2027-05-14 10:10'],
      'a.pipe': ['2027-05-14 10:25:01', '2027-05-14 10:35'],
      'a.cool': ['2027-05-14 10:35', '2027-05-14 10:45'],
      'b.whip': ['2027-05-14 10:40', '2027-05-14 10:50'],
    });
    expect(readyOf(given, later).map(({ at }) => at)).toEqual([
      '2027-05-14T10:00:00.000Z',
      '2027-05-14T10:25:01.000Z',
    ]);
  });

  test('what comes out of the cold is told with its shelf and its time, its own and what is needed', () => {
    const given = workload({
      components: {
        discs: [step('freeze', { rest: ['1 h'], uses: ['freezer shelf'] })],
        glaze: [
          step('chill', { rest: ['1 h'], uses: ['fridge shelf'] }),
          step('warm', { takes: '10 min', hands: 'near', uses: ['hob'] }),
          step('pour', { takes: '5 min', hands: 'busy', needs: ['discs'] }),
        ],
      },
    });
    const times = timetable(given, '2027-05-14 12:00', {
      'discs.freeze': ['2027-05-14 09:00', '2027-05-14 11:10'],
      'glaze.chill': ['2027-05-14 09:00', '2027-05-14 11:00'],
      'glaze.warm': ['2027-05-14 11:00', '2027-05-14 11:10'],
      'glaze.pour': ['2027-05-14 11:10', '2027-05-14 11:15'],
    });
    const [first, second] = readyOf(given, times);
    expect(first).toMatchObject({
      room: [
        { item: 'freezer shelf', count: 1 },
        { item: 'fridge shelf', count: 1 },
      ],
      cold: [],
    });
    expect(second?.cold).toEqual([
      { what: 'glaze', shelf: 'fridge shelf', at: '2027-05-14T11:00:00.000Z', use: 'glaze, warm' },
      { what: 'discs', shelf: 'freezer shelf', at: '2027-05-14T11:10:00.000Z', use: 'glaze, pour' },
    ]);
  });
});

describe('the run sheet as Markdown', () => {
  test('what to have ready, and a table', () => {
    const tea = workload({
      title: 'Tea *for* two',
      makes: 6,
      of: 'scones',
      components: {
        scones: {
          keeps: '30 min',
          steps: [
            step('cut', { action: 'cut | turn', takes: '6 min', hands: 'busy' }),
            step('bake', { takes: '12 min', within: '10 min', oven: { at: '220 C' }, caution: 'hot tray' }),
          ],
        },
      },
    });
    const times = timetable(
      tea,
      '2027-05-15 06:10',
      {
        'scones.cut': ['2027-05-15 05:42', '2027-05-15 05:48'],
        'scones.bake': ['2027-05-15 05:48', '2027-05-15 06:00', 'oven'],
      },
      [
        ['2027-05-15 05:18', 'oven', '220 C', '2027-05-15 05:48', 'scones.bake'],
        ['2027-05-15 06:00', 'oven', 'off', '2027-05-15 06:00', 'scones.bake'],
      ],
    );
    expect(runSheetMarkdown(tea, times)).toBe(`\
# Tea \\*for\\* two

6 scones, served Sat 2027-05-15 06:10.

Begin Sat 2027-05-15 05:18: oven to 220 C.

## Sat 2027-05-15

**Have ready by Sat 05:42, for work to 05:48:**

- weigh out: scones
- oven on: oven to 220 C at 05:18, ready by 05:48

| from | to | hands | component | what | where | how |
| --- | --- | --- | --- | --- | --- | --- |
| 05:18 |  | set | oven | oven to 220 C, ready by 05:48 (scones, bake) | oven |  |
| 05:42 | 05:48 | busy | scones | cut \\| turn | bench | 6 min |
| 05:48 | 06:00 | free | scones | bake | oven, 220 C, door shut | start by 05:58 (10 min after cut); 12 min; Caution: hot tray |
| 06:00 |  | set | oven | oven off (scones, bake) | oven |  |
| 06:10 |  | SERVE |  | Tea \\*for\\* two, 6 scones |  |  |

## Keeps

- scones keeps 30 min: served by Sat 2027-05-15 06:30; planned 10 min (service)
`);
  });
});

describe('the run sheet for programs', () => {
  test('plain data that survives JSON', () => {
    const sheet = runSheetJson(picnic, picnicTimes);
    expect(JSON.parse(JSON.stringify(sheet))).toEqual(sheet);
    expect(sheet).toMatchObject({
      version: 2,
      timeZone: 'Europe/Helsinki',
      plans: [
        { name: 'harbour', title: 'Harbour picnic', makes: '24 rolls', service: '2027-05-15T06:00:00.000Z' },
      ],
      begin: '2027-05-14T19:34:00.000Z',
    });
    expect(sheet.entries).toHaveLength(9);
    expect(sheet.entries[0]).toEqual({
      kind: 'step',
      at: '2027-05-14T19:34:00.000Z',
      end: '2027-05-14T19:44:00.000Z',
      seconds: 600,
      step: 'curd.cook',
      component: 'curd',
      action: 'stir over the heat',
      hands: 'busy',
      place: 'hob',
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
    expect(sheet.entries[4]).toMatchObject({
      step: 'shells.bake',
      oven: 'deck',
      place: 'deck',
      seconds: 1500,
    });
    expect(sheet.entries[8]).toEqual({ kind: 'service', at: '2027-05-15T06:00:00.000Z', plans: ['harbour'] });
  });

  test('windows as latest times, in their order', () => {
    expect(runSheetJson(picnic, picnicTimes).limits).toEqual(
      [
        ['start', 'curd', 'curd.chill', 300, '2027-05-14T19:44:00.000Z', '2027-05-14T19:49:00.000Z'],
        ['start', 'shells', 'shells.bake', 600, '2027-05-15T04:59:00.000Z', '2027-05-15T05:09:00.000Z'],
        ['start', 'shells', 'shells.dry', 0, '2027-05-15T05:24:00.000Z', '2027-05-15T05:24:00.000Z'],
        ['start', 'shells', 'shells.fill', 10_800, '2027-05-15T05:44:00.000Z', '2027-05-15T08:44:00.000Z'],
        ['use', 'curd', null, 72_000, '2027-05-15T05:50:00.000Z', '2027-05-16T01:44:00.000Z'],
      ].map(([kind, component, name, seconds, planned, latest]) => ({
        kind,
        component,
        step: name,
        seconds,
        planned,
        latest,
      })),
    );
  });

  test('hands, and the course of the oven at the rates of the kitchen', () => {
    const { hands, ovens } = runSheetJson(picnic, picnicTimes);
    expect(hands).toEqual([
      { at: '2027-05-14T19:34:00.000Z', end: '2027-05-14T19:44:00.000Z', busy: 1, near: 0 },
      { at: '2027-05-14T19:44:00.000Z', end: '2027-05-15T04:55:48.000Z', busy: 0, near: 0 },
      { at: '2027-05-15T04:55:48.000Z', end: '2027-05-15T04:59:00.000Z', busy: 1, near: 0 },
      { at: '2027-05-15T04:59:00.000Z', end: '2027-05-15T05:44:00.000Z', busy: 0, near: 0 },
      { at: '2027-05-15T05:44:00.000Z', end: '2027-05-15T05:50:00.000Z', busy: 1, near: 0 },
    ]);
    // By hand: 28.044 min x ln(380 / 210) = 16:38 to 190 C; off and ajar for 36 min:
    // 20 + 170 exp(-36 / 11.950), with a third of the time constant.
    expect(ovens[0]?.course).toEqual([
      { at: '2027-05-15T04:32:00.000Z', end: '2027-05-15T04:48:38.000Z', fromC: 20, toC: 190, kind: 'warms' },
      {
        at: '2027-05-15T04:48:38.000Z',
        end: '2027-05-15T05:24:00.000Z',
        fromC: 190,
        toC: 190,
        kind: 'holds',
      },
      { at: '2027-05-15T05:24:00.000Z', end: '2027-05-15T06:00:00.000Z', fromC: 190, toC: 28.4, kind: 'off' },
    ]);
  });

  test('an oven that is lowered, and set again before it arrived', () => {
    const given = workload({
      components: {
        buns: [
          step('high', { takes: '10 min', oven: { at: '220 C' } }),
          step('low', { takes: '10 min', oven: { at: '180 C' } }),
        ],
      },
    });
    const times = timetable(
      given,
      '2027-05-14 11:00',
      {
        'buns.high': ['2027-05-14 10:30', '2027-05-14 10:40', 'oven'],
        'buns.low': ['2027-05-14 10:40', '2027-05-14 10:50', 'oven'],
      },
      [
        ['2027-05-14 10:00', 'oven', '220 C', '2027-05-14 10:30', 'buns.high'],
        ['2027-05-14 10:40', 'oven', '180 C', '2027-05-14 10:40', 'buns.low'],
        ['2027-05-14 10:44', 'oven', '210 C', '2027-05-14 10:44', 'buns.low'],
      ],
    );
    expect(
      runSheetJson(given, times).ovens[0]?.course.map(({ kind, fromC, toC, end }) => [
        kind,
        fromC,
        toC,
        end.slice(11, 16),
      ]),
      // By hand: 20:58 to 220 C; 20 + 200 exp(-4 / 35.851) after four minutes of falling.
    ).toEqual([
      ['warms', 20, 220, '10:20'],
      ['holds', 220, 220, '10:40'],
      ['falls', 220, 198.9, '10:44'],
      ['warms', 198.9, 210, '10:45'],
      ['holds', 210, 210, '11:00'],
    ]);
  });

  test('an empty timetable has no beginning', () => {
    const sheet = runSheetJson(picnic, { service: picnicTimes.service, steps: [], settings: [] });
    expect(sheet).toMatchObject({ begin: null, entries: [], ready: [], limits: [], hands: [], ovens: [] });
  });
});
