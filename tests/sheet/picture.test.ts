import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Workload } from '../../src/plan/index.ts';
import type { Timetable } from '../../src/planner/index.ts';
import { runSheetSvg } from '../../src/sheet/index.ts';
import { placed } from '../../src/sheet/picture/labels.ts';
import { fitted, widthOf } from '../../src/sheet/picture/letters.ts';
import { wallClock } from '../../src/units/index.ts';
import { laidTogether, step, workload, type PlanSpec } from '../support/workloads.ts';
import { picnic, picnicTimes, timetable, type Times } from './hand-made.ts';
import { all, readXml, wordsOf, type Node } from './xml.ts';

interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly what: string;
}

const number = (node: Node, name: string): number => Number(node.attributes[name] ?? '0');

/** The box of a text as no usual font makes it larger: from the tops of capitals to a little under the baseline. */
function boxOf(node: Node): Box {
  const size = number(node, 'font-size');
  const bold = node.attributes['font-weight'] === 'bold';
  const parts = node.children.filter((child): child is Node => typeof child !== 'string');
  const ends = parts.map((part) => {
    const left = part.attributes['x'] === undefined ? number(node, 'x') : number(part, 'x');
    return left + widthOf(wordsOf(part), { size, bold: part.attributes['font-weight'] === 'bold' });
  });
  const own = parts.length === 0 ? widthOf(wordsOf(node), { size, bold }) : 0;
  const [left, base] = [number(node, 'x'), number(node, 'y')];
  return {
    left,
    right: Math.max(left + own, ...ends),
    top: base - size * 0.75,
    bottom: base + size * 0.22,
    what: wordsOf(node),
  };
}

const overlap = (one: Box, other: Box): boolean =>
  one.left < other.right - 0.2 &&
  other.left < one.right - 0.2 &&
  one.top < other.bottom - 0.2 &&
  other.top < one.bottom - 0.2;

interface Picture {
  readonly root: Node;
  readonly nodes: readonly Node[];
  readonly texts: readonly Box[];
  readonly words: readonly string[];
}

function picture(given: Workload, times: Timetable): Picture {
  const root = readXml(runSheetSvg(given, times));
  const nodes = all(root);
  const texts = nodes.filter(({ name }) => name === 'text').map(boxOf);
  return { root, nodes, texts, words: texts.map(({ what }) => what) };
}

/** Texts that lie over one another, over a bar or a box, or beyond the page. */
function faults({ root, nodes, texts }: Picture): string[] {
  const [, , width = 0, height = 0] = (root.attributes['viewBox'] ?? '').split(' ').map(Number);
  const bars = nodes
    .filter(
      ({ name, attributes }) => name === 'rect' && (attributes['fill'] !== '#fff' || attributes['class']),
    )
    .filter(({ attributes }) => attributes['class'] !== 'serve' && attributes['width'] !== '4')
    .map((node): Box => {
      const [left, top] = [number(node, 'x'), number(node, 'y')];
      return {
        left,
        top,
        right: left + number(node, 'width'),
        bottom: top + number(node, 'height'),
        what: 'a bar',
      };
    });
  const sorted = texts.toSorted((a, b) => a.top - b.top);
  return [
    ...sorted.flatMap((box, place) => {
      const found: string[] = [];
      for (const other of sorted.slice(place + 1)) {
        if (other.top > box.bottom) break;
        if (overlap(box, other)) found.push(`"${box.what}" over "${other.what}"`);
      }
      return found;
    }),
    ...texts.flatMap((box) =>
      bars.filter((other) => overlap(box, other)).map(() => `"${box.what}" over a bar`),
    ),
    ...texts
      .filter(({ left, right, top, bottom }) => left < 0 || top < 0 || right > width || bottom > height)
      .map(({ what }) => `"${what}" beyond the page`),
  ];
}

/** Each step's name stands beside its time, or in the line below where there is no room for it; long names are cut. */
function untold(given: Workload, times: Timetable, { words }: Picture): string[] {
  const told = new Set(
    words
      .flatMap((line, place) => [line, `${line} ${words[place + 1]}`])
      .map((line) => line.replace('! ', ' ').slice(0, 8)),
  );
  return times.steps
    .map(({ step: id, start }) => {
      const name = given.components.flatMap(({ steps }) => steps).find((one) => one.id === id)?.name ?? '';
      return `${wallClock(start, given.kitchen.timeZone)} ${name}`.slice(0, 8);
    })
    .filter((wanted) => !told.has(wanted));
}

const HOSTILE = '</text><script>alert("1")</script> & \'x\' ]]> \u202e\u0007 <!-- ';

/** Three days, two cooks and two ovens, loads side by side, a service on each day. */
const fair: { readonly given: Workload; readonly times: Timetable } = (() => {
  const bread: PlanSpec = {
    title: 'Fair bread',
    makes: 30,
    of: 'loaves',
    components: {
      dough: {
        keeps: '2 h',
        steps: [
          step('mix', { takes: '15 min', hands: 'busy' }),
          step('prove', { rest: ['10 h', '24 h'], uses: ['fridge shelf'] }),
        ],
      },
      loaves: [
        step('shape', { each: '20 s', hands: 'busy', needs: ['dough'] }),
        step('bake', {
          takes: '40 min',
          hands: 'near',
          oven: { at: '230 C', oven: 'deck' },
          caution: 'hot stone',
        }),
      ],
    },
  };
  const tarts: PlanSpec = {
    title: 'Fair tarts',
    makes: 24,
    of: 'tarts',
    components: {
      cases: [
        step('line', { takes: '30 min', hands: 'busy' }),
        step('bake blind', { takes: '20 min', oven: { at: '180 C', oven: 'deck', door: 'usable' } }),
      ],
      wafers: [step('bake', { takes: '30 min', oven: { at: '185 C', oven: 'deck', door: 'usable' } })],
    },
  };
  const given = laidTogether(
    { cooks: 2, ovens: [{ name: 'deck', shelves: 3 }, { name: 'small' }], timeZone: 'Europe/Helsinki' },
    { bread, tarts },
  );
  const times = timetable(
    given,
    ['2027-03-28 09:00', '2027-03-29 12:00'],
    {
      'bread/dough.mix': ['2027-03-27 15:00', '2027-03-27 15:15'],
      'bread/dough.prove': ['2027-03-27 15:15', '2027-03-28 05:00'],
      'bread/loaves.shape': ['2027-03-28 05:00', '2027-03-28 05:10'],
      'bread/loaves.bake': ['2027-03-28 08:00', '2027-03-28 08:40', 'deck'],
      'tarts/cases.line': ['2027-03-29 09:00', '2027-03-29 09:30'],
      'tarts/cases.bake blind': ['2027-03-29 10:00', '2027-03-29 10:20', 'deck'],
      'tarts/wafers.bake': ['2027-03-29 10:05', '2027-03-29 10:35', 'deck'],
    },
    [
      ['2027-03-28 07:20', 'deck', '230 C', '2027-03-28 08:00', 'bread/loaves.bake'],
      ['2027-03-28 08:40', 'deck', 'off', '2027-03-28 08:40', 'bread/loaves.bake'],
      ['2027-03-29 09:20', 'deck', '180 C', '2027-03-29 10:00', 'tarts/cases.bake blind'],
      ['2027-03-29 10:35', 'deck', 'off', '2027-03-29 10:35', 'tarts/wafers.bake'],
    ],
  );
  return { given, times };
})();

describe('the run sheet as a picture', () => {
  test('every step with its time, the oven, hands, service and days; nothing over anything else', () => {
    const drawn = picture(picnic, picnicTimes);
    expect(untold(picnic, picnicTimes, drawn)).toEqual([]);
    expect(faults(drawn)).toEqual([]);
    expect(drawn.words).toEqual(
      expect.arrayContaining([
        'Harbour picnic',
        'Fri 2027-05-14',
        'Sat 2027-05-15',
        '09:00  SERVE  Harbour picnic, 24 rolls',
        '22:55 to Sat 07:20 left out, 8 h 25; goes on: curd, chill',
        '07:32 set 190 C',
        '190 C, door shut, 2 shelves',
        'Hands',
        'deck',
      ]),
    );
    // A step with a caution has its mark.
    expect(drawn.words).toContain('22:34! cook');
  });

  test('the oven warms along a curve, holds, and falls when it is off; its doors differ by outline', () => {
    const { nodes } = picture(picnic, picnicTimes);
    const course = nodes.filter(({ attributes }) => attributes['class']?.startsWith('course '));
    expect(course.map(({ attributes }) => attributes['class']).slice(-3)).toEqual([
      'course warms',
      'course holds',
      'course off',
    ]);
    const ends = course.slice(-3).map(({ attributes }) =>
      (attributes['d'] ?? '')
        .split(/[ML ]/)
        .filter((part) => part !== '')
        .map(Number),
    );
    const [warms = [], holds = [], off = []] = ends;
    const [x1 = 0, y1 = 0] = warms;
    const [x2 = 0, y2 = 0] = warms.slice(-2);
    const [x3, y3 = 0, x4, y4 = 0] = holds;
    // Hotter is further right and later further down; 20 C to 190 C takes 16:38 of the 52 minutes to the end of the bake.
    expect(x2).toBeGreaterThan(x1);
    expect([x3, y3]).toEqual([x2, y2]);
    expect(x4).toBe(x3);
    expect((y2 - y1) / (y4 - y1)).toBeCloseTo(16.63 / 52, 2);
    // Curves: half-way in time it is more than half-way up, and further than half-way down.
    const half = (points: number[]): number => (points.at(2 * Math.floor(points.length / 4)) ?? 0) - x1;
    expect(half(warms)).toBeGreaterThan((x2 - x1) / 2);
    expect(half(off)).toBeLessThan(((off[0] ?? 0) + (off.at(-2) ?? 0)) / 2 - x1);
    const demands = nodes.filter(({ attributes }) => attributes['class']?.startsWith('demand '));
    expect(new Set(demands.map(({ attributes }) => attributes['class']))).toEqual(
      new Set(['demand shut', 'demand ajar']),
    );
  });

  test('legible without colour: nothing has a hue, and busy, near and free differ in pattern', () => {
    const text = runSheetSvg(fair.given, fair.times);
    const colours = [...text.matchAll(/#([0-9a-f]{3}|[0-9a-f]{6})\b/gi)].map(([, hex = '']) => hex);
    expect(colours.length).toBeGreaterThan(5);
    for (const hex of colours) expect(new Set(hex.length === 3 ? hex : hex.match(/../g)).size).toBe(1);
    expect(text).not.toMatch(/rgb|hsl|colou?r:/);
    const legend = readXml(text);
    const fills = all(legend).flatMap(({ attributes }) =>
      attributes['stroke-width'] === '1' ? [attributes['fill']] : [],
    );
    expect(fills).toEqual(expect.arrayContaining(['#000', 'url(#near)', '#fff']));
  });

  test('three days, two plans, two cooks, a clock that is put forward: days, cuts and both services', () => {
    const drawn = picture(fair.given, fair.times);
    expect(faults(drawn)).toEqual([]);
    expect(untold(fair.given, fair.times, drawn)).toEqual([]);
    const bands = drawn.words.filter((line) => /SERVE|left out|^(Sat|Sun|Mon) \d/.test(line));
    expect(bands).toEqual([
      'Sat 2027-03-27',
      '17:25 to Sun 07:50 left out, 13 h 25; goes on: A dough, prove',
      'Sun 2027-03-28',
      expect.stringMatching(/^08:2\d to 10:1\d left out/),
      '12:00  SERVE  A Fair bread, 30 loaves',
      expect.stringMatching(/left out/),
      'Mon 2027-03-29',
      '15:00  SERVE  B Fair tarts, 24 tarts',
    ]);
    expect(drawn.words).toContain('2 cooks');
  });

  test('loads that share an oven lie side by side', () => {
    const { nodes } = picture(fair.given, fair.times);
    const boxes = nodes.filter(
      ({ attributes }) => attributes['class'] === 'demand usable' && attributes['width'] !== '9',
    );
    expect(boxes).toHaveLength(2);
    const [one, other] = boxes.map(
      (node) => [number(node, 'x'), number(node, 'x') + number(node, 'width')] as const,
    );
    expect(Math.min(one?.[1] ?? 0, other?.[1] ?? 0)).toBeLessThanOrEqual(
      Math.max(one?.[0] ?? 0, other?.[0] ?? 0) + 0.2,
    );
  });

  test('many components share columns, with their titles where they begin, so that the letters stay large', () => {
    const names = Array.from({ length: 20 }, (_, place) => `part ${place}`);
    const given = workload({
      components: Object.fromEntries(
        names.map((name) => [
          name,
          { title: `The ${name} of it`, steps: [step('mix', { takes: '9 min', hands: 'busy' })] },
        ]),
      ),
    });
    const clock = (minute: number): string =>
      `2027-05-14 ${String(6 + Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;
    const times = timetable(
      given,
      '2027-05-14 11:30',
      Object.fromEntries(
        names.map((name, place): [string, Times] => [
          `${name}.mix`,
          [clock(place * 15), clock(place * 15 + 9)],
        ]),
      ),
    );
    const drawn = picture(given, times);
    expect(faults(drawn)).toEqual([]);
    expect(untold(given, times, drawn)).toEqual([]);
    for (const name of names) expect(drawn.words).toContain(`The ${name} of it`);
    expect(drawn.root.attributes['viewBox']).toBe('0 0 794 1123');
  });

  test('hostile names stay text', () => {
    const given = workload({
      title: HOSTILE,
      of: HOSTILE,
      components: {
        [HOSTILE]: {
          title: HOSTILE,
          steps: [step(HOSTILE, { action: HOSTILE, takes: '5 min', hands: 'busy', caution: HOSTILE })],
        },
      },
    });
    const id = given.components[0]?.steps[0]?.id ?? '';
    const drawn = picture(
      given,
      timetable(given, '2027-05-14 12:00', { [id]: ['2027-05-14 11:00', '2027-05-14 11:05'] }),
    );
    expect(drawn.nodes.map(({ name }) => name)).not.toContain('script');
    expect(faults(drawn)).toEqual([]);
    expect(drawn.words.some((line) => line.startsWith('</text><script>'))).toBe(true);
    expect(drawn.words.join('')).not.toMatch(/[\p{Cc}\p{Cf}]/u);
  });

  test('it asks for nothing from elsewhere, and is as large as a sheet of A4', () => {
    for (const text of [runSheetSvg(picnic, picnicTimes), runSheetSvg(fair.given, fair.times)]) {
      expect(text.replace('http://www.w3.org/2000/svg', '')).not.toMatch(
        /https?:|href|<script|<image|@import|@font-face|url\((?!#)/,
      );
      const { attributes } = readXml(text);
      const [wide, high] = [attributes['width'], attributes['height']].map((size) =>
        Number(size?.replace('mm', '')),
      );
      expect([Math.min(wide ?? 0, high ?? 0) <= 210.05, Math.max(wide ?? 0, high ?? 0) <= 297.05]).toEqual([
        true,
        true,
      ]);
      expect(
        Math.max((wide ?? 0) / 210, (high ?? 0) / 297, (wide ?? 0) / 297, (high ?? 0) / 210),
      ).toBeGreaterThan(0.99);
    }
  });

  test('a timetable without steps is a page with a title', () => {
    const drawn = picture(picnic, { service: picnicTimes.service, steps: [], settings: [] });
    expect(drawn.words).toContain('Harbour picnic');
    expect(faults(drawn)).toEqual([]);
  });

  test('one step of one piece, and two minutes of sixty steps', () => {
    const single = workload({ components: { tart: [step('fill', { takes: '20 s', hands: 'busy' })] } });
    const one = timetable(single, '2027-05-14 12:00', {
      'tart.fill': ['2027-05-14 11:59:40', '2027-05-14 12:00'],
    });
    expect(faults(picture(single, one))).toEqual([]);
    expect(untold(single, one, picture(single, one))).toEqual([]);
    const names = Array.from({ length: 60 }, (_, place) => `step ${place}`);
    const crowd = workload({
      components: { lane: names.map((name) => step(name, { takes: '2 s', hands: 'busy' })) },
    });
    const clock = (seconds: number): string =>
      `2027-05-14 11:0${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
    const times = timetable(
      crowd,
      '2027-05-14 11:10',
      Object.fromEntries(
        names.map((name, place): [string, Times] => [
          `lane.${name}`,
          [clock(place * 2), clock(place * 2 + 2)],
        ]),
      ),
    );
    const drawn = picture(crowd, times);
    expect(faults(drawn)).toEqual([]);
    expect(drawn.words.filter((line) => /^11:0\d step \d+$/.test(line))).toHaveLength(60);
  });

  test('whatever the lengths, names and days: well-formed, every step told, nothing over anything', () => {
    const name = fc.constantFrom(
      'mix',
      'bake blind',
      'stamp & cut',
      'x'.repeat(40),
      '折る 折る',
      'a very long name of a step that goes on',
    );
    const lane = fc.record({
      start: fc.integer({ min: 0, max: 3 * 1440 }),
      steps: fc.array(
        fc.record({
          name,
          wait: fc.integer({ min: 0, max: 700 }),
          long: fc.integer({ min: 1, max: 300 }),
          hands: fc.constantFrom('busy' as const, 'near' as const, 'free' as const),
        }),
        { minLength: 1, maxLength: 9 },
      ),
    });
    fc.assert(
      fc.property(
        fc.array(lane, { minLength: 1, maxLength: 7 }),
        fc.integer({ min: 1, max: 3 }),
        (lanes, cooks) => {
          const given = workload({
            title: 'Any plan',
            kitchen: { cooks, timeZone: 'Europe/Helsinki' },
            components: Object.fromEntries(
              lanes.map(({ steps }, place) => [
                `c${place}`,
                steps.map((one, index) => step(`${one.name} ${index}`, { takes: '1 min', hands: one.hands })),
              ]),
            ),
          });
          const base = Date.parse('2027-03-27T00:00Z');
          const moment = (minute: number): string =>
            new Date(base + minute * 60_000).toISOString().slice(0, 19).replace('T', ' ');
          const entries = lanes.flatMap(({ start, steps }, place) => {
            let now = start;
            return steps.map((one, index): [string, Times] => {
              const from = now + one.wait;
              now = from + one.long;
              return [`c${place}.${one.name} ${index}`, [moment(from), moment(now)]];
            });
          });
          const last =
            entries
              .map(([, [, end]]) => end)
              .toSorted()
              .at(-1) ?? moment(0);
          const times = timetable(given, last, Object.fromEntries(entries));
          const drawn = picture(given, times);
          expect(faults(drawn)).toEqual([]);
          expect(untold(given, times, drawn)).toEqual([]);
        },
      ),
      { seed: 7, numRuns: 60 },
    );
  });
});

describe('labels', () => {
  test('stay where they want to be, and where they crowd move apart to both sides', () => {
    expect(
      placed(
        [
          { want: 10, height: 10 },
          { want: 40, height: 10 },
        ],
        0,
        100,
      ),
    ).toEqual([10, 40]);
    expect(
      placed(
        [
          { want: 30, height: 10 },
          { want: 30, height: 10 },
        ],
        0,
        100,
      ),
    ).toEqual([25, 35]);
    expect(
      placed(
        [
          { want: 2, height: 10 },
          { want: 2, height: 10 },
        ],
        0,
        100,
      ),
    ).toEqual([0, 10]);
    expect(
      placed(
        [
          { want: 99, height: 10 },
          { want: 99, height: 10 },
        ],
        0,
        100,
      ),
    ).toEqual([80, 90]);
  });

  test('a text that is too wide is cut, and never wider than it may be', () => {
    expect(fitted('short', 100, { size: 10 })).toBe('short');
    expect(fitted('a rather long text', 50, { size: 10 })).toBe('a rathe\u2026');
    fc.assert(
      fc.property(
        fc.string({ unit: 'grapheme', maxLength: 60 }),
        fc.integer({ min: 20, max: 200 }),
        (words, width) => {
          expect(widthOf(fitted(words, width, { size: 10 }), { size: 10 })).toBeLessThanOrEqual(width);
        },
      ),
      { seed: 3 },
    );
  });
});
