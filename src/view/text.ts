import stringWidth from 'string-width';
import { daysBetween, wallClock, weekday, type EpochMs } from '../units/index.ts';

/** What could move the cursor, change direction or hide: controls, line separators, bidi marks, zero-width signs. */
const UNSAFE = /[\p{Cc}\p{Cf}\p{Cs}\p{Co}\u2028\u2029]+/gu;

/** Text that is safe on any terminal: nothing in it but visible signs and single spaces. */
export function clean(text: string): string {
  return text.replace(UNSAFE, ' ').replace(/\s+/gu, ' ').trim();
}

/** Signs of one cell each: those of Western languages, and the lines, blocks and marks of our screens. */
const ONE_CELL = /^[\x20-\x7e\u00a1-\u00ac\u00ae-\u02ff\u2010-\u2027\u2500-\u25fc\u25ff\u2714]*$/;

/** Cells the text takes on a terminal. Most texts are of the common signs, which need no table of all scripts. */
export const cells = (text: string): number => (ONE_CELL.test(text) ? text.length : stringWidth(text));

/** The text cut to at most `width` cells; what is cut is shown by a last `…`. */
export function cut(text: string, width: number): string {
  if (width <= 0) return '';
  if (cells(text) <= width) return text;
  let kept = '';
  let used = 0;
  for (const sign of Array.from(text)) {
    const wide = cells(sign);
    if (used + wide > width - 1) break;
    kept += sign;
    used += wide;
  }
  return `${kept.trimEnd()}…`;
}

/** A short last word of a name tells it from its namesakes. */
const TELLING = 3;

/** A name cut to at most `width` cells. A short last word is kept: `sponge for K` and `sponge for E` stay two names. */
export function cutName(name: string, width: number): string {
  const last = name.slice(name.lastIndexOf(' ') + 1);
  const room = width - cells(last) - 1;
  const keepsLast = cells(name) > width && cells(last) <= TELLING && last !== name && room > TELLING;
  return keepsLast ? `${cut(name.slice(0, -last.length - 1), room)} ${last}` : cut(name, width);
}

/** The text in exactly `width` cells: cut, or filled with spaces on the right (on the left for `right`). */
export function fill(text: string, width: number, align: 'left' | 'right' = 'left'): string {
  const fitting = cut(text, width);
  const gap = ' '.repeat(Math.max(0, width - cells(fitting)));
  return align === 'left' ? fitting + gap : gap + fitting;
}

/** The text broken into lines of at most `width` cells and at most `most` lines, the last one cut. */
export function wrap(text: string, width: number, most: number): string[] {
  const lines: string[] = [];
  let line = '';
  const words = text.split(' ').filter((word) => word !== '');
  for (const [index, word] of words.entries()) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (cells(longer) <= width) {
      line = longer;
    } else if (lines.length === most - 1) {
      line = cut([line, ...words.slice(index)].filter((part) => part !== '').join(' '), width);
      break;
    } else {
      if (line !== '') lines.push(line);
      line = cut(word, width);
    }
  }
  if (line !== '' && most > 0) lines.push(line);
  return lines;
}

/** A moment on the kitchen's clock, with the weekday where it is not today: `19:30`, `Sun 07:30`. */
export function clockWords(moment: EpochMs, now: EpochMs, timeZone: string): string {
  const time = wallClock(moment, timeZone);
  return daysBetween(now, moment, timeZone) === 0 ? time : `${weekday(moment, timeZone)} ${time}`;
}
