import { parsed, unreadable, type Parsed } from './parsed.ts';

declare const secondsBrand: unique symbol;

/** A length of time in seconds, never negative unless a function says so; fractions down to a millisecond. */
export type Seconds = number & { readonly [secondsBrand]: true };

/** How long nature may take. Invariant: 0 <= low <= usual <= high. */
export interface DurationRange {
  readonly low: Seconds;
  readonly usual: Seconds;
  readonly high: Seconds;
}

/** How long something may be left: at least, and at most where there is a limit. */
export interface Window {
  readonly atLeast: Seconds;
  readonly atMost?: Seconds;
}

export const seconds = (value: number): Seconds => value as Seconds;
export const minutes = (value: number): Seconds => (value * 60) as Seconds;
export const hours = (value: number): Seconds => (value * 3600) as Seconds;

/** The longest time a plan may name: longer ones are slips of the pen. */
export const LONGEST: Seconds = seconds(400 * 86_400);

const UNIT_SECONDS: Readonly<Record<string, number>> = {
  s: 1,
  sec: 1,
  second: 1,
  seconds: 1,
  min: 60,
  minute: 60,
  minutes: 60,
  h: 3600,
  hour: 3600,
  hours: 3600,
  d: 86_400,
  day: 86_400,
  days: 86_400,
};
const FIGURE = String.raw`\d{1,9}(?:\.\d{1,3})?`;
const UNIT = String.raw`(?:seconds|second|sec|s|minutes|minute|min|hours|hour|h|days|day|d)`;
const LENGTH = String.raw`${FIGURE}\s*${UNIT}(?:\s*${FIGURE}\s*${UNIT}){0,3}`;
const LENGTH_ONLY = new RegExp(`^${LENGTH}$`);
const SHARED_UNIT = new RegExp(`^(${FIGURE})\\s*[-\u2013]\\s*(${FIGURE})\\s*(${UNIT})$`);
const TWO_LENGTHS = new RegExp(`^(${LENGTH})\\s*(?:-|\u2013|to)\\s*(${LENGTH})$`);
const PARTS = new RegExp(`(${FIGURE})\\s*(${UNIT})`, 'g');
const HINT = 'write a figure and a unit: 90 s, 6 min, 1 h 30 min, 3 h, 2 d';
const RANGE_HINT = 'write the short end first: 9-13 min, 45 min - 7 d';

/** Reads `90 s`, `6 min`, `1 h 30 min`, `1h30min`, `1.5 h`, `2 d`. */
export function parseDuration(text: string): Parsed<Seconds> {
  const trimmed = text.trim().toLowerCase();
  if (!LENGTH_ONLY.test(trimmed)) return unreadable(`"${text}" is not a length of time`, HINT);
  let total = 0;
  for (const [, figure = '', unit = ''] of trimmed.matchAll(PARTS))
    total += Number(figure) * (UNIT_SECONDS[unit] ?? 0);
  total = Math.round(total * 1000) / 1000;
  if (total > LONGEST) return unreadable(`"${text}" is over 400 days`, HINT);
  return parsed(seconds(total));
}

/** Reads one length or two (`9-13 min`, `45 min - 7 d`). One length is both ends. */
export function parseEnds(text: string): Parsed<{ readonly low: Seconds; readonly high: Seconds }> {
  const trimmed = text.trim().toLowerCase();
  const shared = SHARED_UNIT.exec(trimmed);
  const two = shared
    ? [`${shared[1]} ${shared[3]}`, `${shared[2]} ${shared[3]}`]
    : TWO_LENGTHS.exec(trimmed)?.slice(1, 3);
  const [lowText = trimmed, highText = trimmed] = two ?? [];
  const low = parseDuration(lowText);
  const high = parseDuration(highText);
  if (!low.ok)
    return two || LENGTH_ONLY.test(trimmed)
      ? low
      : unreadable(`"${text}" is not a length of time or a range`, `${HINT}; or a range: 9-13 min`);
  if (!high.ok) return high;
  if (low.value > high.value) return unreadable(`the range "${text}" runs backwards`, RANGE_HINT);
  return parsed({ low: low.value, high: high.value });
}

/** Reads what a rest allows: `3-20 h`, `45 min - 7 d`, `at least 3 h`, `at most 2 d`. A single figure is refused as unclear. */
export function parseWindow(text: string): Parsed<Window> {
  const trimmed = text.trim().toLowerCase();
  const bound = /^(at least|at most)\s+(.+)$/.exec(trimmed);
  if (bound) {
    const limit = parseDuration(bound[2] ?? '');
    if (!limit.ok) return limit;
    return parsed(
      bound[1] === 'at least' ? { atLeast: limit.value } : { atLeast: seconds(0), atMost: limit.value },
    );
  }
  const ends = parseEnds(text);
  if (!ends.ok) return ends;
  if (LENGTH_ONLY.test(trimmed)) {
    return unreadable(
      `a rest of "${text}" does not say whether that is the least or the most`,
      `write "at least ${text}" or a window such as "${text} - 2 d"`,
    );
  }
  return parsed({ atLeast: ends.value.low, atMost: ends.value.high });
}

const UNITS_DOWN: readonly (readonly [string, number])[] = [
  ['d', 86_400],
  ['h', 3600],
  ['min', 60],
  ['s', 1],
];

/** Writes a length exactly, so that {@link parseDuration} gives it back: `1 h 30 min`, `90 s` as `1 min 30 s`. */
export function formatDuration(length: Seconds): string {
  let rest = Math.round(length * 1000) / 1000;
  if (rest === 0) return '0 min';
  const parts: string[] = [];
  for (const [unit, size] of UNITS_DOWN) {
    const count = size === 1 ? Math.round(rest * 1000) / 1000 : Math.floor(rest / size);
    if (count > 0) parts.push(`${count} ${unit}`);
    rest -= count * size;
  }
  return parts.join(' ');
}

/** Writes a length for people, rounded to what matters at the bench: `40 s`, `12 min`, `3 h 05`, `2 d 4 h`. */
export function roughly(length: Seconds): string {
  const total = Math.round(length);
  if (total < 60) return `${total} s`;
  if (total < 600 && total % 60 !== 0) return `${Math.floor(total / 60)} min ${total % 60} s`;
  const wholeMinutes = Math.round(total / 60);
  if (wholeMinutes < 60) return `${wholeMinutes} min`;
  if (wholeMinutes < 24 * 60) {
    const minute = wholeMinutes % 60;
    return minute === 0
      ? `${wholeMinutes / 60} h`
      : `${Math.floor(wholeMinutes / 60)} h ${String(minute).padStart(2, '0')}`;
  }
  const wholeHours = Math.round(total / 3600);
  return wholeHours % 24 === 0
    ? `${wholeHours / 24} d`
    : `${Math.floor(wholeHours / 24)} d ${wholeHours % 24} h`;
}

/** Writes a countdown for a screen: `0:07`, `12:40`, `3:05:00`; with a minus sign once it has passed. */
export function countdown(length: number): string {
  const total = Math.floor(Math.abs(length));
  const sign = length < 0 && total > 0 ? '-' : '';
  const [hour, minute, second] = [Math.floor(total / 3600), Math.floor(total / 60) % 60, total % 60];
  const two = (figure: number): string => String(figure).padStart(2, '0');
  return hour > 0 ? `${sign}${hour}:${two(minute)}:${two(second)}` : `${sign}${minute}:${two(second)}`;
}
