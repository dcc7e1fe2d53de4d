import type { StepId, Workload } from '../../plan/index.ts';
import type { Timetable } from '../../planner/index.ts';
import { epochMs, later, secondsBetween, wallClock, type EpochMs } from '../../units/index.ts';
import { dayAndClock, dayOf } from '../clock.ts';
import { rundown, type Rundown, type StepEntry } from '../rundown.ts';
import {
  BAND_HEIGHT,
  breachesOf,
  layAxis,
  spansBetween,
  ticksOf,
  yOf as along,
  type Axis,
  type Segment,
} from './axis.ts';
import { FILLS } from './bars.ts';
import { fitted, inLines, text, widthOf, type Type } from './letters.ts';
import { svgOf } from './page.ts';
import { element, figure, line, rect } from './xml.ts';

/** When something happens: in one of ten rehearsals before `low`, in half before `usual`, in nine of ten before `high`. */
interface MomentBand {
  readonly low?: EpochMs;
  readonly usual?: EpochMs;
  readonly high?: EpochMs;
}

/** When a step starts and ends over many rehearsals. */
interface StepBands {
  readonly step: StepId;
  readonly start: MomentBand;
  readonly end: MomentBand;
}

const EDGE = 28;
const NAMES = 168;
const ROW = 20;
const HEAD_ROW = 18;
const AXIS_ROOM = 30;
/** A sheet of A4 lying, in units of the picture; where it is too narrow for the time there is, the picture grows. */
const WIDTH = 1123;
const MM = 297 / 1123;
/** Units a minute: finer runs together, coarser is waste. */
const [FINEST, COARSEST] = [0.8, 12];
const ROUND = 300_000;

const TITLE: Type = { size: 18, bold: true };
const PLAIN: Type = { size: 10 };
const BOLD: Type = { size: 10.5, bold: true };
const SMALL: Type = { size: 8.5 };

const STYLE = `text{fill:#000}
.span,.torn{fill:none;stroke:#000}
.span{stroke-width:1.3}
.told{stroke:#000;stroke-width:1}
.hour{stroke-width:.6;stroke:#aaa}
.tick{stroke-width:.4;stroke:#ddd}
.row{stroke-width:.4;stroke:#ddd}
.day{stroke:#000;stroke-width:1.4}
.serve{stroke:#000;stroke-width:4}
.torn{stroke-width:.8}`;

/**
 * When each step happens, over many rehearsals, as a picture (SVG): time from left to right, a row for each step. The bar is the
 * usual case; the line above it spans the starts and the line below it the ends of eight rehearsals in ten; ticks are what was
 * told. Black on white, on lying A4 where that is enough.
 *
 * @param notes how the bands were got, for the foot.
 */
export function bandsSvg(
  workload: Workload,
  timetable: Timetable,
  bands: readonly StepBands[],
  notes: readonly string[],
): string {
  const sheet = rundown(workload, timetable);
  const found = new Map(bands.map((own) => [own.step, own]));
  const axis = axisOf(sheet, bands);
  const width = Math.max(WIDTH, axis.bottom + EDGE);
  const head = heads(sheet, width);
  const legend = legendAt(head.bottom + 6, width);
  const top = legend.bottom + AXIS_ROOM;
  const rows = rowsOf(sheet, found, axis, top);
  const foot = notes
    .flatMap((note) => inLines(note, width - 2 * EDGE, SMALL))
    .map((words, place) => text(EDGE, rows.bottom + 24 + place * 11, words, SMALL));
  const height = Math.max((WIDTH * 210) / 297, rows.bottom + 30 + foot.length * 11 + EDGE);
  const content = [
    head.drawn,
    legend.drawn,
    ...axis.segments.map((segment) => ticks(segment, sheet, top, rows.bottom)),
    ...axis.bands.map((band) => breach(band, sheet, top, rows.bottom)),
    rows.drawn,
    ...foot,
  ];
  const title = `Rehearsals: ${sheet.plans.map((plan) => plan.title).join('; ')}`;
  return svgOf({ title, style: STYLE, width, height, wide: width * MM, high: height * MM }, content);
}

/** The time axis from left to right; of a picture that lies, what the axis calls its top is at the left. */
function axisOf(sheet: Rundown, bands: readonly StepBands[]): Axis {
  const left = EDGE + NAMES;
  if (!sheet.begin || sheet.end === undefined) return { segments: [], bands: [], top: left, bottom: left };
  const moments = bands.flatMap(({ start, end }) => [start.low, end.high].filter((own) => own !== undefined));
  const first = Math.min(sheet.begin.at, ...moments);
  const last = moments.reduce(later, sheet.end);
  const span = {
    from: epochMs(Math.floor((first - 60_000) / ROUND) * ROUND),
    to: epochMs(Math.ceil((last + 60_000) / ROUND) * ROUND),
  };
  const breaches = breachesOf(sheet, span.from, span.to);
  const active = spansBetween(breaches, span.from, span.to).reduce(
    (sum, { from, to }) => sum + secondsBetween(from, to),
    0,
  );
  const gaps = breaches.reduce((sum, { kind }) => sum + BAND_HEIGHT[kind], 0);
  const room = WIDTH - EDGE - left - gaps;
  const scale = Math.min(COARSEST, Math.max(FINEST, (room / Math.max(1, active)) * 60)) / 60;
  return layAxis(breaches, span, { top: left, scale, padOf: () => 0 });
}

interface Drawn {
  readonly drawn: string;
  readonly bottom: number;
}

function heads({ plans, timeZone, begin }: Rundown, width: number): Drawn {
  const title = plans.map((plan) => plan.title).join('; ');
  const served = plans
    .map(({ makes, service }) => `${makes}, served ${dayAndClock(service, timeZone)}`)
    .join('; ');
  const begun = begin ? `; planned to begin ${dayAndClock(begin.at, timeZone)}` : '';
  const lines = [
    text(EDGE, EDGE + 18, fitted(`${title}: when each step happens`, width - 2 * EDGE, TITLE), TITLE),
    text(EDGE, EDGE + 36, fitted(`${served}${begun}`, width - 2 * EDGE, PLAIN), PLAIN),
  ];
  return { drawn: lines.join(''), bottom: EDGE + 40 };
}

function legendAt(top: number, width: number): Drawn {
  const swatch = (hands: keyof typeof FILLS) => (x: number, y: number) =>
    rect(x, y + 1, 14, 7, { fill: FILLS[hands], stroke: '#000', 'stroke-width': 1 });
  const items = [
    { sign: swatch('busy'), words: 'usual case: busy' },
    { sign: swatch('near'), words: 'near' },
    { sign: swatch('free'), words: 'no hands' },
    { sign: (x: number, y: number) => spanLine(x, x + 14, y + 2), words: 'above: starts, eight in ten' },
    { sign: (x: number, y: number) => spanLine(x, x + 14, y + 8), words: 'below: ends, eight in ten' },
    {
      sign: (x: number, y: number) => line(x + 7, y, x + 7, y + 10, { class: 'told' }),
      words: 'as the timetable told it',
    },
  ];
  let [x, row] = [EDGE, 0];
  const drawn = items.map(({ sign, words }) => {
    const wide = 19 + widthOf(words, SMALL) + 16;
    if (x > EDGE && x + wide > width - EDGE) [x, row] = [EDGE, row + 1];
    const own = sign(x, top + row * 14) + text(x + 19, top + row * 14 + 8.5, words, SMALL);
    x += wide;
    return own;
  });
  return { drawn: drawn.join(''), bottom: top + (row + 1) * 14 };
}

/** A line with an end at each side. */
const spanLine = (from: number, to: number, y: number): string =>
  element('path', {
    class: 'span',
    d: `M${figure(from)} ${figure(y - 2)}V${figure(y + 2)}M${figure(from)} ${figure(y)}H${figure(to)}M${figure(to)} ${figure(y - 2)}V${figure(y + 2)}`,
  });

function rowsOf({ lanes }: Rundown, found: ReadonlyMap<StepId, StepBands>, axis: Axis, top: number): Drawn {
  const parts: string[] = [];
  let y = top + 4;
  for (const { title, steps } of lanes) {
    parts.push(text(EDGE, y + 12, fitted(title, NAMES - 10, BOLD), BOLD));
    y += HEAD_ROW;
    for (const entry of steps) {
      const bands = found.get(entry.step.id);
      parts.push(
        text(EDGE + 8, y + 12.5, fitted(entry.step.name, NAMES - 18, PLAIN), PLAIN),
        line(EDGE, y + ROW, axis.bottom, y + ROW, { class: 'row' }),
        bands ? stepRow(axis, entry, bands, y) : '',
      );
      y += ROW;
    }
    y += 4;
  }
  return { drawn: parts.join('\n'), bottom: y };
}

/** Starts above, the usual case in the middle, ends below; what was told as ticks on both. */
function stepRow(
  axis: Axis,
  { at, end, step }: StepEntry,
  { start, end: over }: StepBands,
  y: number,
): string {
  const usual =
    start.usual === undefined || over.usual === undefined
      ? ''
      : bar(axis, start.usual, later(start.usual, over.usual), y + 5.8, FILLS[step.hands]);
  return [
    usual,
    spanOf(axis, start, y + 3),
    spanOf(axis, over, y + 15),
    told(axis, at, y + 0.5, y + 5.5),
    told(axis, end, y + 12.5, y + 17.5),
  ].join('');
}

const BAR = 6.5;

function bar(axis: Axis, from: EpochMs, to: EpochMs, y: number, fill: string): string {
  const [left, right] = [acrossOf(axis, from), acrossOf(axis, to)];
  return rect(left, y, Math.max(1, right - left), BAR, { fill, stroke: '#000', 'stroke-width': 1 });
}

const spanOf = (axis: Axis, { low, high }: MomentBand, y: number): string =>
  low === undefined || high === undefined ? '' : spanLine(acrossOf(axis, low), acrossOf(axis, high), y);

function told(axis: Axis, moment: EpochMs, top: number, bottom: number): string {
  const x = acrossOf(axis, moment);
  return line(x, top, x, bottom, { class: 'told' });
}

/** Where a moment lies; one that is left out lies in the gap. */
function acrossOf({ segments, top, bottom }: Axis, moment: EpochMs): number {
  const segment = segments.find(({ to }) => moment <= to);
  if (!segment) return bottom;
  if (moment >= segment.from) return along(segment, moment);
  const before = segments[segments.indexOf(segment) - 1];
  return before ? (before.bottom + segment.top) / 2 : top;
}

function ticks(segment: Segment, { timeZone }: Rundown, top: number, bottom: number): string {
  let free = segment.top;
  return ticksOf(segment, timeZone, 34)
    .map((moment) => {
      const x = along(segment, moment);
      const clock = wallClock(moment, timeZone);
      const wide = widthOf(clock, SMALL);
      const isRoomy = x - wide / 2 >= free && x + wide / 2 <= segment.bottom + 2;
      if (isRoomy) free = x + wide / 2 + 4;
      return (
        line(x, top - 2, x, bottom, { class: clock.endsWith(':00') ? 'hour' : 'tick' }) +
        (isRoomy ? text(x - wide / 2, top - 5, clock, SMALL) : '')
      );
    })
    .join('');
}

/** A new day, a service, or time that is left out, as a stripe from above to below. */
function breach(band: Axis['bands'][number], { timeZone }: Rundown, top: number, bottom: number): string {
  const middle = band.top + band.height / 2;
  switch (band.kind) {
    case 'day':
      return (
        line(middle, top - 14, middle, bottom, { class: 'day' }) +
        text(middle - 8, top - 18, dayOf(band.at, timeZone), SMALL)
      );
    case 'service':
      return (
        line(middle, top - 2, middle, bottom, { class: 'serve' }) +
        text(middle - 34, top - 18, `SERVE ${wallClock(band.at, timeZone)}`, { ...SMALL, bold: true })
      );
    case 'cut':
      return torn(band.top + 6, top, bottom) + torn(band.top + band.height - 6, top, bottom);
  }
}

/** The edge of torn paper, from above to below. */
function torn(x: number, top: number, bottom: number): string {
  let d = `M${figure(x)} ${figure(top)}`;
  for (let place = 1; top + place * 6 <= bottom; place += 1)
    d += `L${figure(x + (place % 2) * 4 - 2)} ${figure(top + place * 6)}`;
  return element('path', { class: 'torn', d });
}
