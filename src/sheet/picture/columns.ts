import {
  clockFrom,
  epochMs,
  later,
  roughly,
  secondsBetween,
  wallClock,
  type EpochMs,
} from '../../units/index.ts';
import type { HandsSpan } from '../hands.ts';
import { planLetter } from '../naming.ts';
import type { ComponentLane, Rundown, StepEntry } from '../rundown.ts';
import { within, yOf, type Axis } from './axis.ts';
import { bar, waiting } from './bars.ts';
import { labelWidth, LEAD, MARGIN, type Column } from './column.ts';
import { drawLabels, type Label } from './labels.ts';
import { inLines, text, widthOf, type Type } from './letters.ts';
import { ovenColumn } from './oven-column.ts';

const BAR = 12;
const HEADING: Type = { size: 11, bold: true };
const UNDER: Type = { size: 8.5 };
export const HEADING_HEIGHT = 42;

/**
 * Hands first, then the components in the plans' order, then the ovens. With `shared`, components that are not at work at
 * one time stand in one column below each other, so that more of them fit on a page.
 */
export function columnsOf(sheet: Rundown, shared: boolean): Column[] {
  const groups = shared ? sharing(sheet.lanes) : sheet.lanes.map((lane) => [lane]);
  return [
    handsColumn(sheet),
    ...groups.map((lanes) => componentColumn(sheet, lanes, shared)),
    ...sheet.ovens.map((oven) => ovenColumn(oven, sheet)),
  ];
}

/** Time between two components of a column, so that the title of the second has room. */
const BETWEEN = 20 * 60;

/** Components in as few columns as can be: each goes below the first one that is over by then. */
function sharing(lanes: readonly ComponentLane[]): ComponentLane[][] {
  const groups: { lanes: ComponentLane[]; over: EpochMs }[] = [];
  for (const lane of lanes.toSorted((a, b) => beginOf(a) - beginOf(b))) {
    const group = groups.find(({ over }) => secondsBetween(over, beginOf(lane)) >= BETWEEN);
    if (group) {
      group.lanes.push(lane);
      group.over = overOf(lane);
    } else {
      groups.push({ lanes: [lane], over: overOf(lane) });
    }
  }
  return groups.map((group) => group.lanes);
}

const beginOf = ({ steps }: ComponentLane): EpochMs => steps[0]?.at ?? epochMs(0);
const overOf = ({ steps, usedBy }: ComponentLane): EpochMs =>
  later(steps.at(-1)?.end ?? epochMs(0), usedBy ?? epochMs(0));

/** A column's heading above `bottom`, cut to its width. */
export function drawHeading({ heading, under }: Column, x: number, width: number, bottom: number): string {
  const lines = inLines(heading, width - MARGIN, HEADING, under === '' ? 3 : 2);
  const small = inLines(under, width - MARGIN, UNDER, 1);
  const all = [
    ...lines.map((words) => ({ words, type: HEADING })),
    ...small.map((words) => ({ words, type: UNDER })),
  ];
  return all
    .map(({ words, type }, place) =>
      text(x, bottom - 6 - (all.length - 1 - place) * 12, words, type, { class: 'heading' }),
    )
    .join('');
}

function componentColumn(
  { timeZone, plans }: Rundown,
  lanes: readonly ComponentLane[],
  shared: boolean,
): Column {
  // A column of its own has its component's title above it; in a shared one titles stand where components begin.
  const alone = shared ? undefined : lanes[0];
  const titleOf = (lane: ComponentLane): string =>
    plans.length > 1 ? `${planLetter(lane.plan)} ${lane.title}` : lane.title;
  const labels = lanes.flatMap((lane) =>
    lane.steps.map((entry, place) => ({
      ...stepLabel(entry, timeZone),
      ...(!alone && place === 0 && { title: titleOf(lane) }),
    })),
  );
  return {
    heading: alone ? titleOf(alone) : '',
    under: alone?.usedBy === undefined ? '' : `used up ${wallClock(alone.usedBy, timeZone)}`,
    least: 112,
    grows: true,
    track: BAR,
    labels,
    draw: (axis, x, width) => {
      const beside = { track: x + BAR, x: x + BAR + LEAD, width: labelWidth({ track: BAR }, width) };
      return [...lanes.map((lane) => laneBars(axis, lane, x)), drawLabels(axis, labels, beside)].join('');
    },
  };
}

function laneBars(axis: Axis, { steps, usedBy }: ComponentLane, x: number): string {
  const waits = steps.flatMap((entry, place) => {
    const next = steps[place + 1]?.at ?? usedBy;
    return next !== undefined && next > entry.end ? [waiting(axis, entry.end, next, x + BAR / 2)] : [];
  });
  return [...waits, ...steps.map(({ at, end, step }) => bar(axis, at, end, x, BAR, step.hands))].join('');
}

function stepLabel({ at, end, step, place, heat, limit, until }: StepEntry, timeZone: string): Label {
  const where = heat === undefined ? (place === 'bench' ? [] : [place]) : [`${place}, ${heat}`];
  const must =
    limit === undefined
      ? []
      : [limit.within === 0 ? 'at once' : `start by ${clockFrom(limit.latest, at, timeZone)}`];
  return {
    at,
    // A step with a caution has its mark at the time, where it is in the same place for all.
    time: `${wallClock(at, timeZone)}${step.caution === undefined ? '' : '!'}`,
    name: step.name,
    more: [
      ...(step.action === step.name ? [] : [step.action]),
      ...where,
      ...must,
      ...(end > at
        ? [`to ${clockFrom(end, at, timeZone)}${until === undefined ? '' : `; until ${until}`}`]
        : []),
      ...(step.caution === undefined ? [] : [`! ${step.caution}`]),
    ],
  };
}

/** One track for each cook, black while busy, and one for what is near. */
function handsColumn({ hands, cooks }: Rundown): Column {
  const most = hands.reduce((peak, { busy }) => Math.max(peak, busy), cooks);
  const each = most > 3 ? 8 : 14;
  const track = most * each + 10;
  const gaps = hands.filter(
    ({ busy, near, at, end }) => busy + near === 0 && secondsBetween(at, end) >= 20 * 60,
  );
  return {
    heading: 'Hands',
    under: cooks === 1 ? 'one cook' : `${cooks} cooks`,
    least: track + LEAD + 44,
    grows: false,
    track,
    labels: [],
    draw: (axis, x) =>
      [
        ...hands.flatMap((span) => handsBars(axis, span, x, each, x + most * each + 2)),
        ...gaps.map((gap) => freeWords(axis, gap, x + track + 4)),
      ].join(''),
  };
}

function handsBars(
  axis: Axis,
  { at, end, busy, near }: HandsSpan,
  x: number,
  each: number,
  nearX: number,
): string[] {
  return [
    ...Array.from({ length: busy }, (_, cook) => bar(axis, at, end, x + cook * each, each - 1, 'busy')),
    ...(near > 0 ? [bar(axis, at, end, nearX, 8, 'near')] : []),
  ];
}

const FREE: Type = { size: 8.5 };

/** How long the hands are free, where there is room to say so and nothing of it is cut out. */
function freeWords(
  axis: Axis,
  { at, end }: { readonly at: EpochMs; readonly end: EpochMs },
  x: number,
): string {
  const segment = axis.segments.find(({ from, to }) => from <= at && end <= to);
  const part = segment && within(segment, at, end);
  if (!segment || !part) return '';
  const [top, bottom] = [yOf(segment, at), yOf(segment, end)];
  if (bottom - top < 26) return '';
  const middle = (top + bottom) / 2;
  const long = roughly(secondsBetween(at, end));
  return (
    text(x, middle - 2, 'free', FREE, { class: 'more' }) +
    (widthOf(long, FREE) > 44 ? '' : text(x, middle + 9, long, FREE, { class: 'more' }))
  );
}
