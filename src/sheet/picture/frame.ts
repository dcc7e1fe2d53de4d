import { clockFrom, formatDuration, roughly, secondsBetween, wallClock } from '../../units/index.ts';
import { dayAndClock, dayOf } from '../clock.ts';
import { planLetter } from '../naming.ts';
import { readyHead, readyWords } from '../ready.ts';
import type { Rundown } from '../rundown.ts';
import { usedWords } from '../text.ts';
import { ticksOf, yOf, type Axis, type Band } from './axis.ts';
import { FILLS } from './bars.ts';
import { fitted, inLines, text, widthOf, type Type } from './letters.ts';
import { element, figure, line, rect } from './xml.ts';

const TITLE: Type = { size: 18, bold: true };
const LARGE: Type = { size: 12, bold: true };
const PLAIN: Type = { size: 10 };
const SMALL: Type = { size: 8.5 };
const SMALL_BOLD: Type = { size: 8.5, bold: true };
const TICK: Type = { size: 9 };

/** A part of the picture that is as high as it needs to be. */
export interface Block {
  readonly height: number;
  readonly draw: (x: number, y: number) => string;
}

/** Titles, what is made, when to begin. */
export function head({ plans, begin, timeZone }: Rundown, width: number): Block {
  const served = plans.map(({ makes, service }) => `${makes}, served ${dayAndClock(service, timeZone)}`);
  const lines =
    plans.length === 1
      ? plans.flatMap(({ title }, index) => [
          ...inLines(title, width, TITLE, 2).map((words) => ({ words, type: TITLE })),
          { words: served[index] ?? '', type: LARGE },
        ])
      : plans.map(({ title }, index) => ({
          words: `${planLetter(index)} ${title}: ${served[index]}`,
          type: LARGE,
        }));
  const beginning = begin
    ? [{ words: `Begin ${dayAndClock(begin.at, timeZone)}: ${begin.what}`, type: PLAIN }]
    : [];
  return stacked([...lines, ...beginning], width);
}

function stacked(lines: readonly { readonly words: string; readonly type: Type }[], width: number): Block {
  const tops: number[] = [];
  let height = 0;
  for (const { type } of lines) {
    tops.push(height);
    height += type.size * 1.4;
  }
  return {
    height,
    draw: (x, y) =>
      lines
        .map(({ words, type }, place) =>
          text(x, y + (tops[place] ?? 0) + type.size, fitted(words, width, type), type),
        )
        .join(''),
  };
}

/** Figures and fine lines at round times, from the axis through all columns. */
export function drawTicks(axis: Axis, timeZone: string, x: number, left: number, right: number): string {
  return axis.segments
    .flatMap((segment) =>
      ticksOf(segment, timeZone).map((moment) => {
        const y = yOf(segment, moment);
        const clock = wallClock(moment, timeZone);
        const roomy = y - 5 >= segment.top && y + 4 <= segment.bottom + segment.pad;
        const weight = clock.endsWith(':00') ? 'hour' : 'tick';
        return (
          line(left - 4, y, right, y, { class: weight }) +
          (roomy ? text(x, y + 3.5, clock, TICK, { class: 'clock' }) : '')
        );
      }),
    )
    .join('');
}

/** A band of words between two stretches of time. */
export function drawBand(band: Band, { plans, lanes, timeZone }: Rundown, x: number, right: number): string {
  const { top, height } = band;
  const width = right - x;
  switch (band.kind) {
    case 'day': {
      return (
        line(x, top + height - 4, right, top + height - 4, { class: 'day' }) +
        text(x, top + height - 8, dayOf(band.at, timeZone), LARGE, { class: 'band' })
      );
    }
    case 'service': {
      const served = plans.flatMap((plan, index) =>
        plan.service === band.at
          ? [`${plans.length > 1 ? `${planLetter(index)} ` : ''}${plan.title}, ${plan.makes}`]
          : [],
      );
      const words = `${wallClock(band.at, timeZone)}  SERVE  ${served.join('; ')}`;
      return (
        rect(x - 4, top + 2, width + 4, height - 4, { class: 'serve' }) +
        text(x, top + height / 2 + 4.3, fitted(words, width - 6, LARGE), LARGE, {
          class: 'served',
        })
      );
    }
    case 'cut': {
      const going = lanes.flatMap(({ label, steps }) =>
        steps
          .filter(({ at, end }) => at < band.to && end > band.at)
          .map(({ step }) => `${label}, ${step.name}`),
      );
      const length = roughly(secondsBetween(band.at, band.to));
      const words = `${wallClock(band.at, timeZone)} to ${clockFrom(band.to, band.at, timeZone)} left out, ${length}${going.length > 0 ? `; goes on: ${going.join('; ')}` : ''}`;
      return (
        torn(x, right, top + 5) +
        torn(x, right, top + height - 5) +
        text(x, top + height / 2 + 3.5, fitted(words, width, PLAIN), PLAIN, { class: 'band' })
      );
    }
  }
}

/** The edge of torn paper. */
function torn(x: number, right: number, y: number): string {
  let d = `M${figure(x)} ${figure(y)}`;
  for (let place = 1; x + place * 6 <= right; place += 1)
    d += `L${figure(x + place * 6)} ${figure(y + (place % 2) * 4 - 2)}`;
  return element('path', { class: 'torn', d });
}

/** What the marks mean, in lines as wide as the picture; of the marks of ovens only those that are in it. */
export function legend({ ovens }: Rundown, width: number): Block {
  const doors = new Set(ovens.flatMap(({ demands }) => demands.map(({ door }) => door)));
  const kinds = new Set(ovens.flatMap(({ course }) => course.map(({ kind }) => kind)));
  const items = [
    { sign: swatch('busy'), words: 'busy: both hands' },
    { sign: swatch('near'), words: 'near: stay in earshot' },
    { sign: swatch('free'), words: 'free: no hands' },
    { sign: (x: number, y: number) => line(x + 5, y, x + 5, y + 10, { class: 'wait' }), words: 'waiting' },
    { sign: undefined, words: '! take care' },
    ...(['shut', 'usable', 'ajar'] as const)
      .filter((door) => doors.has(door))
      .map((door) => ({ sign: boxed(door), words: DOOR_WORDS[door] })),
    ...(kinds.size > 0 ? [{ sign: curve('holds'), words: 'temperature of the oven' }] : []),
    ...(kinds.has('off') ? [{ sign: curve('off'), words: 'off: falling, at a guess' }] : []),
  ];
  let [x, row] = [0, 0];
  const placed = items.map((item) => {
    const wide = (item.sign ? 15 : 0) + widthOf(item.words, SMALL) + 14;
    if (x > 0 && x + wide > width) [x, row] = [0, row + 1];
    const at = { ...item, x, row };
    x += wide;
    return at;
  });
  return {
    height: (row + 1) * 14 + 4,
    draw: (left, top) =>
      placed
        .map(({ sign, words, x: at, row: line }) => {
          const y = top + line * 14;
          return (
            (sign?.(left + at, y) ?? '') +
            text(left + at + (sign ? 15 : 0), y + 8.5, words, SMALL, { class: 'more' })
          );
        })
        .join(''),
  };
}

const DOOR_WORDS = {
  shut: 'in the oven, door stays shut',
  usable: 'in the oven, door as needed',
  ajar: 'in the oven, door ajar',
} as const;

const swatch =
  (hands: keyof typeof FILLS) =>
  (x: number, y: number): string =>
    rect(x, y, 10, 10, { fill: FILLS[hands], stroke: '#000', 'stroke-width': 1 });
const boxed =
  (door: string) =>
  (x: number, y: number): string =>
    rect(x + 1, y, 9, 10, { class: `demand ${door}` });
const curve =
  (kind: string) =>
  (x: number, y: number): string =>
    element('path', { class: `course ${kind}`, d: `M${figure(x)} ${figure(y + 5)}H${figure(x + 11)}` });

/** What is to stand ready for each stretch of work, and what keeps how long, in as many columns as fit. */
export function foot(sheet: Rundown, width: number): Block {
  const { stretches, limits, timeZone } = sheet;
  const keeps = limits.filter((limit) => limit.kind === 'use');
  const cards = [
    ...stretches.map((stretch) => ({
      title: readyHead(stretch, timeZone),
      lines: readyWords(stretch, timeZone).map(({ what, words }) => `${what}: ${words}`),
    })),
    ...keeps.map((limit) => ({
      title: `${limit.label} keeps ${formatDuration(limit.keeps)}`,
      lines: [usedWords(limit, timeZone)],
    })),
  ];
  const count = Math.max(1, Math.min(4, cards.length, Math.floor(width / 230)));
  const each = (width - (count - 1) * 14) / count;
  const columns = inColumns(
    cards.map(({ title, lines }) => [
      ...inLines(title, each, SMALL_BOLD).map((words) => ({ words, type: SMALL_BOLD, indent: 0 })),
      ...lines.flatMap((words) =>
        inLines(words, each - 8, SMALL).map((one, place) => ({
          words: one,
          type: SMALL,
          indent: place === 0 ? 0 : 8,
        })),
      ),
    ]),
    count,
  );
  return {
    height: Math.max(0, ...columns.map(({ height }) => height)),
    draw: (x, y) =>
      columns
        .flatMap(({ parts }, place) =>
          parts.map((part) =>
            text(x + place * (each + 14) + part.indent, y + part.y + 8.5, part.words, part.type, {
              class: 'foot',
            }),
          ),
        )
        .join(''),
  };
}

interface Part {
  readonly words: string;
  readonly type: Type;
  readonly indent: number;
}

const [PART, APART] = [11, 5];

/** Cards in their order down one column after the other, in the least height that holds them. */
function inColumns(
  cards: readonly (readonly Part[])[],
  count: number,
): { readonly height: number; readonly parts: readonly (Part & { readonly y: number })[] }[] {
  const heights = cards.map((parts) => parts.length * PART + APART);
  let most = Math.max(0, ...heights);
  const columnsFor = (limit: number): number => {
    let [columns, height] = [1, 0];
    for (const own of heights) {
      if (height + own > limit) [columns, height] = [columns + 1, 0];
      height += own;
    }
    return columns;
  };
  while (columnsFor(most) > count) most += PART;
  const columns: { height: number; parts: (Part & { y: number })[] }[] = [{ height: 0, parts: [] }];
  cards.forEach((parts, place) => {
    if ((columns.at(-1)?.height ?? 0) + (heights[place] ?? 0) > most) columns.push({ height: 0, parts: [] });
    const column = columns.at(-1);
    if (!column) return;
    parts.forEach((part, row) => column.parts.push({ ...part, y: column.height + row * PART }));
    column.height += heights[place] ?? 0;
  });
  return columns;
}
