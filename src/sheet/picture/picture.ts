import type { Workload } from '../../plan/index.ts';
import type { Timetable } from '../../planner/index.ts';
import { epochMs, secondsBetween, type EpochMs } from '../../units/index.ts';
import { rundown, type Rundown } from '../rundown.ts';
import { BAND_HEIGHT, breachesOf, layAxis, segmentAt, spansBetween, type Axis, type Breach } from './axis.ts';
import { labelWidth, type Column } from './column.ts';
import { columnsOf, drawHeading, HEADING_HEIGHT } from './columns.ts';
import { drawBand, drawTicks, foot, head, legend, type Block } from './frame.ts';
import { heightFor } from './labels.ts';
import { svgOf } from './page.ts';
import { element, line } from './xml.ts';

/** A sheet of A4 in the picture's units (96 to the inch), and in millimetres. */
const [SHORT, LONG] = [794, 1123];
const [SHORT_MM, LONG_MM] = [210, 297];
const EDGE = 28;
const CLOCK = 40;
/** Units of the picture a minute: under this bars run into each other, over it is waste. */
const [FINEST, COARSEST] = [0.9, 9];
const MINUTE = 60_000;

const PAGES: readonly Page[] = [
  { width: SHORT, height: LONG, wide: SHORT_MM, high: LONG_MM },
  { width: LONG, height: SHORT, wide: LONG_MM, high: SHORT_MM },
];

/**
 * The timetable as a picture (SVG): one time axis from above to below; hands, components and ovens as columns beside it. Made to be
 * printed on A4, black on white; needs no fonts, pictures or scripts from elsewhere. A plan that does not fit on a page
 * gets a larger picture of the same shape or a longer one.
 */
export function runSheetSvg(workload: Workload, timetable: Timetable): string {
  const sheet = rundown(workload, timetable);
  const drafts = PAGES.flatMap((page) =>
    [false, true].map((shared) => draft(sheet, columnsOf(sheet, shared), page, shared)),
  );
  const best = drafts.reduce((one, other) => (merit(other) > merit(one) ? other : one));
  return drawn(sheet, best);
}

/** A minute so long on paper keeps most labels beside their bars; more is comfort. */
const COMFORTABLE = 2.6;

/** What a column for each component is worth: it is found sooner. */
const APART = 1.4;

/** How well a picture reads on paper: large letters first, then a column for each component, then a long axis. */
function merit({ printed, axis, shared }: Draft): number {
  const minute = (axis.segments[0]?.scale ?? 1) * 60 * printed;
  return (shared ? 1 : APART) * printed ** 2 * Math.min(1, minute / COMFORTABLE) ** 0.35;
}

interface Page {
  readonly width: number;
  readonly height: number;
  readonly wide: number;
  readonly high: number;
}

interface Placed {
  readonly column: Column;
  readonly x: number;
  readonly width: number;
}

/** A picture laid out on one page. */
interface Draft {
  readonly shared: boolean;
  readonly width: number;
  readonly height: number;
  /** How large it is on paper, as a part of its own size, and in millimetres. */
  readonly printed: number;
  readonly wide: number;
  readonly high: number;
  readonly columns: readonly Placed[];
  readonly head: Block;
  readonly legend: Block;
  readonly foot: Block;
  readonly axis: Axis;
}

function draft(sheet: Rundown, columns: readonly Column[], page: Page, shared: boolean): Draft {
  const least = columns.reduce((sum, column) => sum + column.least, 2 * EDGE + CLOCK);
  const width = Math.max(page.width, least);
  const inner = width - 2 * EDGE;
  const blocks = {
    head: head(sheet, inner),
    legend: legend(sheet, inner),
    foot: foot(sheet, inner),
  };
  const placed = placeColumns(columns, width - least);
  const top = EDGE + blocks.head.height + blocks.legend.height + HEADING_HEIGHT + 8;
  const below = 14 + blocks.foot.height + EDGE;
  const axis = axisFor(sheet, placed, top, (width * page.height) / page.width - below);
  const height = Math.max(axis.bottom + below, (width * page.height) / page.width);
  const printed = Math.min(page.width / width, page.height / height);
  const perUnit = page.wide / page.width;
  return {
    shared,
    width,
    height,
    printed,
    wide: width * printed * perUnit,
    high: height * printed * perUnit,
    columns: placed,
    ...blocks,
    axis,
  };
}

/** Columns side by side; those that can grow share what is left over. */
function placeColumns(columns: readonly Column[], over: number): Placed[] {
  const growing = columns.filter(({ grows }) => grows).length;
  let x = EDGE + CLOCK;
  return columns.map((column) => {
    const width = column.least + (column.grows ? over / growing : 0);
    const placed = { column, x, width };
    x += width;
    return placed;
  });
}

/** The axis from `top`, ending at `bottom` where that leaves it legible. */
function axisFor(sheet: Rundown, columns: readonly Placed[], top: number, bottom: number): Axis {
  const span = spanOf(sheet);
  const breaches = span ? breachesOf(sheet, span.from, span.to) : [];
  if (!span) return { segments: [], bands: [], top, bottom: top };
  const active = spansBetween(breaches, span.from, span.to).reduce(
    (sum, { from, to }) => sum + secondsBetween(from, to),
    0,
  );
  const bands = breaches.reduce((sum, { kind }) => sum + BAND_HEIGHT[kind], 0);
  const laid = (room: number): Axis => {
    const scale = Math.min(COARSEST, Math.max(FINEST, (room / Math.max(1, active)) * 60)) / 60;
    return layAxis(breaches, span, { top, scale, padOf: padOf(breaches, span, scale, columns) });
  };
  const room = bottom - top - bands;
  const first = laid(room);
  // Labels in short stretches take more height than their time: what they take is taken off the rest.
  return first.bottom <= bottom ? first : laid(room - (first.bottom - bottom));
}

function spanOf({ begin, end }: Rundown): { readonly from: EpochMs; readonly to: EpochMs } | undefined {
  if (!begin || end === undefined) return undefined;
  const round = 5 * MINUTE;
  return {
    from: epochMs(Math.floor((begin.at - MINUTE) / round) * round),
    to: epochMs(Math.max(end, begin.at + MINUTE)),
  };
}

/** How much higher a stretch of time must be than its time alone, for the labels of the fullest column. */
function padOf(
  breaches: readonly Breach[],
  span: { readonly from: EpochMs; readonly to: EpochMs },
  scale: number,
  columns: readonly Placed[],
): (from: EpochMs, to: EpochMs, height: number) => number {
  const bare = layAxis(breaches, span, { top: 0, scale, padOf: () => 0 });
  return (from, _to, height) => {
    const needed = columns.map(({ column, width }) =>
      heightFor(
        column.labels.filter(({ at }) => segmentAt(bare, at)?.from === from),
        labelWidth(column, width),
      ),
    );
    return Math.max(4, Math.max(0, ...needed) - height);
  };
}

const STYLE = `text{fill:#000}
.edge,.leader,.wait,.torn,.course,.day,.hour,.tick,.guide{fill:none;stroke:#000}
.edge{stroke-width:1}
.leader{stroke-width:.5;stroke:#555}
.wait{stroke-width:1.4;stroke-dasharray:1.4 3}
.hour{stroke-width:.6;stroke:#aaa}
.tick{stroke-width:.4;stroke:#ddd}
.guide{stroke-width:.5;stroke:#999;stroke-dasharray:4 3}
.column{stroke-width:.6;stroke:#999}
.day{stroke-width:2}
.torn{stroke-width:.8}
.course{stroke-width:2.2}
.course.off{stroke-width:1.4;stroke-dasharray:5 3}
.demand{fill:#e4e4e4;stroke:#000}
.demand.shut{stroke-width:2}
.demand.usable{stroke-width:.7}
.demand.ajar{stroke-width:1;stroke-dasharray:2 2;fill:#fff}
.knob,.serve{fill:#000}
.served{fill:#fff}
.label,.more,.clock{paint-order:stroke;stroke:#fff;stroke-width:2;stroke-linejoin:round}`;

function drawn(sheet: Rundown, { width, height, wide, high, columns, axis, ...blocks }: Draft): string {
  const right = width - EDGE;
  const legendTop = EDGE + blocks.head.height + 2;
  const content = [
    blocks.head.draw(EDGE, EDGE),
    blocks.legend.draw(EDGE, legendTop),
    ...columns.map(({ column, x, width: own }) => drawHeading(column, x, own, axis.top - 10)),
    drawTicks(axis, sheet.timeZone, EDGE, EDGE + CLOCK, right),
    ...columns
      .slice(1)
      .flatMap(({ x }) =>
        axis.segments.map(({ top, bottom, pad }) =>
          line(x - 6, top, x - 6, bottom + pad, { class: 'column' }),
        ),
      ),
    ...columns.map(({ column, x, width: own }) => element('g', { class: 'lane' }, column.draw(axis, x, own))),
    ...axis.bands.map((band) => drawBand(band, sheet, EDGE, right)),
    blocks.foot.draw(EDGE, axis.bottom + 14),
  ];
  const title = `Run sheet: ${sheet.plans.map((plan) => plan.title).join('; ')}`;
  return svgOf({ title, style: STYLE, width, height, wide, high }, content);
}
