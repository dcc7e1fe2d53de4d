import {
  cells,
  cutName,
  fill,
  type Axis,
  type LaneView,
  type OvenView,
  type Segment,
} from '../view/index.ts';
import { cutLine, fillLine, joinCells, line, type Ink, type Line, type Span } from './lines.ts';

/** How wide the columns left of the time axis are. */
export interface Columns {
  readonly width: number;
  readonly name: number;
  readonly step: number;
  /** What the figures count; 0 where there is no room. */
  readonly lead: number;
  readonly figures: number;
  /** 0 where there is no room for what the figures mean. */
  readonly meaning: number;
  readonly axis: number;
}

/** The columns for a screen `width` cells wide. */
export function columnsFor(width: number): Columns {
  const [name, step, lead, meaning] =
    width >= 160
      ? [18, 18, 5, 22]
      : width >= 100
        ? [11, 13, 5, 17]
        : width >= 72
          ? [9, 11, 5, 8]
          : width >= 50
            ? [8, 8, 5, 0]
            : [6, 7, 0, 0];
  const figures = 7;
  // number, mark and the spaces between
  const left = 3 + name + 3 + step + 1 + lead + figures + (meaning > 0 ? meaning + 1 : 0) + 2;
  return { width, name, step, lead, figures, meaning, axis: Math.max(8, width - left - 1) };
}

const leftWidth = (columns: Columns): number => columns.width - columns.axis - 1;

/** The row of round times over the axis. */
export function paintAxis(axis: Axis, columns: Columns): Line {
  const signs = Array.from({ length: axis.width }, () => ' ');
  for (const tick of axis.ticks)
    for (const [index, sign] of Array.from(tick.label).entries()) signs[tick.column + index] = sign;
  return [{ text: ' '.repeat(leftWidth(columns)) }, { text: signs.join(''), ink: 'quiet' }];
}

const INKS: Readonly<Record<LaneView['word'], Ink | undefined>> = {
  waits: 'quiet',
  runs: undefined,
  due: 'accent',
  out: 'care',
  done: 'quiet',
};

/** A component in one row: number, name, mark, step, clock, and its stretches on the axis. */
export function paintLane(lane: LaneView, axis: Axis, columns: Columns, selected: boolean): Line {
  const ink: Ink | undefined = lane.tone === 'bad' ? 'bad' : INKS[lane.word];
  const again = lane.attempt > 1 ? ` (${lane.attempt})` : '';
  const bold = lane.word === 'due' || lane.word === 'runs' || lane.word === 'out';
  const meaning = columns.meaning >= 12 ? lane.meaning : lane.brief;
  const left: Line = [
    { text: `${selected ? '▸' : ' '}${lane.number ?? ' '} `, inverse: selected },
    {
      text: fill(cutName(lane.name, columns.name - again.length) + again, columns.name),
      inverse: selected,
      bold,
    },
    { text: ` ${lane.mark} `, ink, bold },
    { text: `${fill(lane.step, columns.step)} `, ink, bold },
    { text: fill(lane.lead, columns.lead), ink },
    { text: fill(lane.figures, columns.figures, 'right'), ink: lane.tone === 'care' ? 'care' : ink, bold },
    { text: columns.meaning > 0 ? ` ${fill(meaning, columns.meaning)}` : '', ink },
  ];
  return [...fillLine(left, leftWidth(columns)), ...joinCells(laneCells(lane, axis, ink))];
}

/** Signs for how much of the cook a stretch takes: the fuller, the more. What is over is a thin line. */
const HANDS: Readonly<Record<Segment['hands'], string>> = { busy: '█', near: '▒', free: '░' };
const OVER = '─';

function laneCells(lane: LaneView, axis: Axis, ink: Ink | undefined): Span[] {
  const row = emptyRow(axis);
  const running = lane.tone === 'bad' ? 'bad' : 'accent';
  for (const [index, segment] of lane.segments.entries()) {
    const sign = segment.state === 'past' ? OVER : HANDS[segment.hands];
    const colour: Ink | undefined =
      segment.state === 'running' ? running : ink === 'quiet' ? 'quiet' : undefined;
    const next = lane.segments[index + 1];
    const long = segment.to - segment.from;
    for (let at = segment.from; at < segment.to; at += 1) row[at] = { text: sign, ink: colour };
    // A gap of half a cell, so that steps that follow each other can be told apart.
    if (segment.state !== 'past' && long > 1 && next?.from === segment.to)
      row[segment.to - 1] = { text: segment.hands === 'busy' ? '▌' : ' ', ink: colour };
    if (segment.state !== 'past') writeInside(row, segment, segment.step, colour);
  }
  return row;
}

/** Writes a label into a stretch with a space to either side, where all of it fits and a bit of the stretch is left. */
function writeInside(
  row: Span[],
  stretch: { from: number; to: number },
  label: string,
  ink: Ink | undefined,
): void {
  const long = stretch.to - stretch.from;
  const wide = cells(label);
  if (wide !== Array.from(label).length || long < wide + 4) return;
  const start = stretch.from + Math.floor((long - wide) / 2);
  for (const [index, sign] of Array.from(` ${label} `).entries())
    row[start - 1 + index] = { text: sign, ink };
}

function emptyRow(axis: Axis): Span[] {
  const row: Span[] = Array.from({ length: axis.width }, () => ({ text: ' ' }));
  for (const at of axis.services) row[at] = { text: '┊' };
  row[axis.nowColumn] = { text: '│', ink: 'accent' };
  return row;
}

const STEPS_UP = ['▁', '▃', '▅', '▇'];

/** An oven in one row: what it does, its door, and the heat it is asked to have as a line of steps. */
export function paintOvenRow(oven: OvenView, axis: Axis, columns: Columns): Line {
  const signs = emptyRow(axis);
  for (const { from, to, level } of oven.asked) {
    const top = oven.levels.length - 1;
    const single = oven.levels[0] === 'off' ? 0 : 2;
    const height = top < 1 ? single : Math.round((level / top) * (STEPS_UP.length - 1));
    for (let at = from; at < to; at += 1) signs[at] = { text: STEPS_UP[height] ?? '▁' };
    writeInside(signs, { from, to }, (oven.levels[level] ?? '').replace(/ [CF]$/, ''), undefined);
  }
  for (const demand of oven.demands)
    for (let at = demand.from; at < demand.to; at += 1) {
      const sign = signs[at];
      if (sign && demand.state !== 'past')
        signs[at] = { ...sign, ink: demand.state === 'running' ? 'accent' : 'care' };
    }
  markClashes(signs, oven);
  const room = leftWidth(columns) - 3;
  return [{ text: '  ' }, ...fillLine(ovenWords(oven, columns, room), room), ...joinCells(signs)];
}

/** What a screen shows where two demands cannot both be met. */
function markClashes(row: Span[], oven: OvenView, level?: number): void {
  for (const { from, to, ...clash } of oven.clashes)
    if (level === undefined || clash.level === undefined || clash.level === level)
      for (let at = from; at < to; at += 1) row[at] = { text: '╳', ink: 'bad', bold: true };
}

function ovenWords(oven: OvenView, columns: Columns, room: number): Line {
  const ajar = oven.lock && oven.door !== 'shut';
  const right = ajar
    ? `${oven.door.toUpperCase()}: shut it`
    : oven.lock
      ? `keep shut ${oven.lock.left}`
      : `door ${oven.door}`;
  return cutLine(
    [
      { text: fill(oven.name, columns.name), bold: true },
      { text: `   ${fill(oven.short, Math.max(0, room - columns.name - 3 - right.length - 2))} ` },
      { text: right, bold: oven.door === 'open', ink: oven.door === 'open' ? 'care' : undefined },
    ],
    room,
  );
}

/** How many rows {@link paintOvenTall} takes. */
export const tallRows = (oven: OvenView): number => Math.max(3, oven.levels.length);

/**
 * An oven as a drawing: one row for each heat it is asked for, the hottest on top, joined where the knob is turned,
 * with every demand written on its line. Beside it what the oven does, and its door.
 */
export function paintOvenTall(oven: OvenView, axis: Axis, columns: Columns): Line[] {
  const count = tallRows(oven);
  const grid = Array.from({ length: count }, () => emptyRow(axis));
  const rowOf = (level: number): number => oven.levels.length - 1 - level;
  for (const asked of oven.asked) {
    const row = grid[rowOf(asked.level)];
    if (row) for (let at = asked.from; at < asked.to; at += 1) row[at] = { text: '─' };
  }
  for (const demand of oven.demands) drawDemand(grid[rowOf(demand.level)], demand);
  for (const [index, asked] of oven.asked.entries()) {
    const next = oven.asked[index + 1];
    if (next && next.from === asked.to && next.level !== asked.level)
      join(grid, next.from, rowOf(asked.level), rowOf(next.level));
  }
  for (const [index, row] of grid.entries()) markClashes(row, oven, oven.levels.length - 1 - index);
  for (const demand of oven.demands) nameDemand(grid[rowOf(demand.level)], demand, oven);
  const lock = oven.lock;
  const words: Line[] = [
    [{ text: fill(oven.name, columns.name), bold: true }, { text: `   ${oven.stands}` }],
    line(`${' '.repeat(columns.name)}   ${oven.reckoned ?? ''}`),
    [
      { text: `${' '.repeat(columns.name)}   ` },
      {
        text: !lock
          ? `door ${oven.door}`
          : oven.door === 'shut'
            ? `keep shut ${lock.left} more`
            : `${oven.door.toUpperCase()}: shut it, ${lock.left} more`,
        bold: lock !== undefined || oven.door === 'open',
        ink: oven.door === 'open' ? 'care' : undefined,
      },
      { text: oven.openings > 0 ? `, opened early ${oven.openings}x` : '' },
    ],
  ];
  const label = 8;
  return grid.map((row, index) => [
    { text: '   ' },
    ...fillLine(words[index] ?? [], leftWidth(columns) - label - 3),
    { text: `${fill(oven.levels[oven.levels.length - 1 - index] ?? '', label - 1, 'right')} `, ink: 'quiet' },
    ...joinCells(row),
  ]);
}

/** Joins two levels with an upright line at a column where the knob is turned. */
function join(grid: Span[][], at: number, from: number, to: number): void {
  const down = to > from;
  const start = grid[from];
  const end = grid[to];
  if (start) start[at] = { text: down ? '╮' : '╯' };
  if (end) end[at] = { text: down ? '╰' : '╭' };
  for (let between = Math.min(from, to) + 1; between < Math.max(from, to); between += 1) {
    const row = grid[between];
    if (row) row[at] = { text: '│' };
  }
}

const demandInk = (state: OvenView['demands'][number]['state']): Ink | undefined =>
  state === 'running' ? 'accent' : state === 'past' ? 'quiet' : undefined;

function drawDemand(row: Span[] | undefined, demand: OvenView['demands'][number]): void {
  const sign = { text: demand.state === 'past' ? '─' : '━', ink: demandInk(demand.state) };
  if (row) for (let at = demand.from; at < demand.to; at += 1) row[at] = sign;
}

/** Writes the demand's step and door on its line, clear of a clash. */
function nameDemand(row: Span[] | undefined, demand: OvenView['demands'][number], oven: OvenView): void {
  if (!row || demand.state === 'past') return;
  let { from, to } = demand;
  for (const clash of oven.clashes) {
    if (clash.from <= from && clash.to > from) from = clash.to;
    else if (clash.from > from && clash.from < to) to = clash.from;
  }
  const door = demand.door === 'usable' ? '' : `, ${demand.door}`;
  const label = [`${demand.step}${door}`, demand.step].find((text) => cells(text) + 4 <= to - from);
  if (label !== undefined) writeInside(row, { from, to }, label, demandInk(demand.state));
}
