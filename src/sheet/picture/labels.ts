import type { EpochMs } from '../../units/index.ts';
import { segmentAt, yOf, type Axis, type Segment } from './axis.ts';
import { inLines, text, widthOf, type Type } from './letters.ts';
import { element, escaped, figure } from './xml.ts';

/** What is written beside the moment at which something begins. */
export interface Label {
  readonly at: EpochMs;
  /** `17:05` */
  readonly time: string;
  /** What begins here, in bold above the time, where the column has more than one thing in it. */
  readonly title?: string;
  /** Always written, in one line or two. */
  readonly name: string;
  /** Written as far as there is room below. */
  readonly more: readonly string[];
}

/** A column of labels beside a track of bars. */
export interface Beside {
  /** Where the track ends and the labels begin. */
  readonly track: number;
  readonly x: number;
  readonly width: number;
}

const NAME: Type = { size: 9.5 };
const TIME: Type = { size: 9.5, bold: true };
const TITLE: Type = { size: 9.5, bold: true };
const MORE: Type = { size: 8.5 };
/** From one line to the next, and between two labels. */
const [LINE, GAP] = [11, 1.5];

interface Written {
  readonly label: Label;
  readonly titles: readonly string[];
  readonly names: readonly string[];
  /** How far the name stands behind the time. */
  readonly indent: number;
  readonly height: number;
}

function written(label: Label, width: number): Written {
  const indent = widthOf(`${label.time} `, TIME);
  const names = inLines(label.name, width, NAME, 2, width - indent);
  const titles = inLines(label.title ?? '', width, TITLE, 3);
  return { label, titles, names, indent, height: (titles.length + names.length) * LINE + GAP };
}

/** How high a segment must be for the labels of one column that belong in it. */
export const heightFor = (labels: readonly Label[], width: number): number =>
  labels.reduce((height, label) => height + written(label, width).height, 0) + GAP;

/**
 * Tops for labels of given heights, each as near as can be to where it wants to be, in order and none over another,
 * between two bounds. Least squares: labels that crowd move apart to both sides (pool adjacent violators).
 */
export function placed(
  wanted: readonly { readonly want: number; readonly height: number }[],
  top: number,
  bottom: number,
): number[] {
  const pools: { sum: number; count: number }[] = [];
  let before = 0;
  const offsets = wanted.map(({ want, height }) => {
    const offset = before;
    before += height;
    pools.push({ sum: want - offset, count: 1 });
    for (;;) {
      const [last, earlier] = [pools.at(-1), pools.at(-2)];
      if (!last || !earlier || earlier.sum / earlier.count <= last.sum / last.count) break;
      pools.pop();
      earlier.sum += last.sum;
      earlier.count += last.count;
    }
    return offset;
  });
  const tops = pools.flatMap(({ sum, count }) =>
    Array.from({ length: count }, () => Math.max(top, Math.min(bottom - before, sum / count))),
  );
  return tops.map((moved, place) => moved + (offsets[place] ?? 0));
}

/** All labels of a column, each segment for itself, with a fine line from the track to each. */
export function drawLabels(axis: Axis, labels: readonly Label[], beside: Beside): string {
  return axis.segments
    .map((segment) => {
      const own = labels.filter(({ at }) => segmentAt(axis, at) === segment);
      return inSegment(segment, own, beside);
    })
    .join('');
}

function inSegment(segment: Segment, labels: readonly Label[], beside: Beside): string {
  const bottom = segment.bottom + segment.pad;
  const all = labels.map((label) => written(label, beside.width));
  // The line with the time stands at the bar's beginning, a title above it.
  const wanted = all.map(({ label, titles, height }) => ({
    want: yOf(segment, label.at) - titles.length * LINE,
    height,
  }));
  const tops = placed(wanted, segment.top + GAP, bottom);
  return all
    .map((one, place) => {
      const top = tops[place] ?? segment.top;
      const room = (tops[place + 1] ?? bottom) - top - one.height;
      return drawLabel(one, top, room, beside, yOf(segment, one.label.at));
    })
    .join('');
}

function drawLabel(
  { label, titles, names, indent, height }: Written,
  top: number,
  room: number,
  beside: Beside,
  at: number,
): string {
  const { track, x, width } = beside;
  const [name = '', ...others] = names;
  const base = top + NAME.size + titles.length * LINE;
  const middle = base - NAME.size + LINE * 0.55;
  const leader = element('path', {
    class: 'leader',
    d: `M${figure(track)} ${figure(at)}L${figure(track + 3)} ${figure(at)}L${figure(x - 2)} ${figure(middle)}`,
  });
  const more: string[] = [];
  for (const clause of label.more) {
    const lines = inLines(clause, width, MORE);
    if ((more.length + lines.length) * LINE > room) break;
    more.push(...lines);
  }
  const first = element(
    'text',
    { x, y: base, 'font-size': NAME.size, class: 'label' },
    `<tspan font-weight="bold">${escaped(label.time)}</tspan>${
      name === '' ? '' : `<tspan x="${figure(x + indent)}">${escaped(name)}</tspan>`
    }`,
  );
  return [
    leader,
    ...titles.map((words, place) =>
      text(x, top + NAME.size + place * LINE, words, TITLE, { class: 'label' }),
    ),
    first,
    ...others.map((words, place) => text(x, base + (place + 1) * LINE, words, NAME, { class: 'label' })),
    ...more.map((words, place) =>
      text(x, top + height - GAP + MORE.size + place * LINE, words, MORE, { class: 'more' }),
    ),
  ].join('');
}
