import { daysBetween, epochMs, plus, wallClock, weekday, type EpochMs } from '../units/index.ts';

/** The time axis that components and ovens share: column 0 begins at `from`, each column is `cell` seconds. */
export interface Axis {
  readonly width: number;
  readonly from: EpochMs;
  readonly to: EpochMs;
  /** Seconds a column. */
  readonly cell: number;
  readonly nowColumn: number;
  /** The column of each service that lies on the axis. */
  readonly services: readonly number[];
  /** Round local times; labels never touch each other. */
  readonly ticks: readonly { readonly column: number; readonly label: string }[];
}

const MINUTE = 60;
const HOUR = 3600;
/** Seconds a column may stand for: fine enough that the service lies near the end, coarse enough to stand still a while. */
const CELLS = [
  ...Array.from({ length: 20 }, (_, index) => (index + 1) * 15),
  ...Array.from({ length: 25 }, (_, index) => (index + 6) * MINUTE),
  ...Array.from({ length: 18 }, (_, index) => (index + 7) * 5 * MINUTE),
  ...Array.from({ length: 22 }, (_, index) => (index + 3) * HOUR),
];
const TICKS = [
  MINUTE,
  2 * MINUTE,
  5 * MINUTE,
  10 * MINUTE,
  15 * MINUTE,
  20 * MINUTE,
  30 * MINUTE,
  HOUR,
  2 * HOUR,
  3 * HOUR,
  6 * HOUR,
  12 * HOUR,
  24 * HOUR,
];
/** A label `18:40` and room to breathe. */
const TICK_ROOM = 9;
/** How much of the axis lies before now. */
const BEHIND = 0.12;

/** The axis from a bit before `now` to `until` (the last service, or later where things run late). */
export function axisOf(
  now: EpochMs,
  until: EpochMs,
  services: readonly EpochMs[],
  width: number,
  timeZone: string,
): Axis {
  const columns = Math.max(8, Math.floor(width));
  const ahead = Math.max((until - now) / 1000, 10 * MINUTE);
  const room = Math.max(4, Math.floor(columns * (1 - BEHIND)) - 2);
  const cell = CELLS.find((seconds) => seconds * room >= ahead) ?? Math.ceil(ahead / room);
  // The beginning moves a whole column at a time, so that the picture stands still in between.
  const behind = Math.max(1, columns - room - 2) * cell;
  const from = epochMs(Math.floor((now / 1000 - behind) / cell) * cell * 1000);
  const to = plus(from, columns * cell);
  const column = (moment: EpochMs): number => Math.floor((moment - from) / 1000 / cell);
  return {
    width: columns,
    from,
    to,
    cell,
    nowColumn: Math.min(columns - 1, column(now)),
    services: [...new Set(services.map(column))].filter((at) => at >= 0 && at < columns),
    ticks: ticksOf(from, to, cell, columns, timeZone),
  };
}

/** The column in which a moment lies, held within the axis (0 to its width). */
export function columnOf(axis: Axis, moment: EpochMs): number {
  const at = Math.floor((moment - axis.from) / 1000 / axis.cell);
  return Math.min(axis.width, Math.max(0, at));
}

/** Columns from a start up to but not including an end, at least one; nothing where it lies off the axis. */
export function span(
  axis: Axis,
  start: EpochMs,
  end: EpochMs,
): { readonly from: number; readonly to: number } | undefined {
  if (end < axis.from || start >= axis.to) return undefined;
  const from = columnOf(axis, start);
  const to = Math.min(axis.width, Math.max(from + 1, columnOf(axis, end)));
  return from >= axis.width ? undefined : { from, to };
}

const secondOfDay = (moment: EpochMs, timeZone: string): number => {
  const [hour = 0, minute = 0, second = 0] = wallClock(moment, timeZone, 'second').split(':').map(Number);
  return hour * HOUR + minute * MINUTE + second;
};

function ticksOf(from: EpochMs, to: EpochMs, cell: number, width: number, timeZone: string): Axis['ticks'] {
  const step = TICKS.find((seconds) => seconds / cell >= TICK_ROOM) ?? 24 * HOUR;
  const ticks: { column: number; label: string }[] = [];
  let day = from;
  let free = 0;
  const past = (moment: EpochMs): number => secondOfDay(moment, timeZone) % step;
  const onRound = (moment: EpochMs): EpochMs => {
    if (past(moment) === 0) return moment;
    const next = plus(moment, step - past(moment));
    // Over a change of the clocks the next round time comes sooner or later than that.
    const over = past(next);
    const sooner = plus(next, -over);
    return over === 0 || sooner > moment ? sooner : plus(next, step - over);
  };
  for (let at = onRound(from), turns = 0; at < to && turns < width; at = onRound(plus(at, 1)), turns += 1) {
    const column = Math.floor((at - from) / 1000 / cell);
    const newDay = daysBetween(day, at, timeZone) !== 0;
    const label = newDay ? `${weekday(at, timeZone)} ${wallClock(at, timeZone)}` : wallClock(at, timeZone);
    if (column < free || column + label.length > width) continue;
    ticks.push({ column, label });
    free = column + label.length + 1;
    day = at;
  }
  return ticks;
}
