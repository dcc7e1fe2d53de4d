import { problem, startOf, type Diagnostic, type Report } from './diagnostic.ts';
import type { Place } from './model.ts';

/** A file as the cli layer read it: its path as the user gave it, and its bytes. */
export interface SourceFile {
  readonly file: string;
  readonly bytes: Uint8Array;
}

/** A file's text, and where in it things stand. */
export interface SourceText {
  readonly file: string;
  readonly text: string;
  /** The place of a range of UTF-16 offsets; `end` is just past it. */
  readonly placeOf: (start: number, end: number) => Place;
}

/** A plan is some hundred lines; a file beyond this is something else. */
const MAX_BYTES = 1024 * 1024;

const BYTE_ORDER_MARK = [0xef, 0xbb, 0xbf];
const SAVE_AS_UTF8 = 'save the file as plain UTF-8 text, without a byte order mark';
/**
 * Characters that are not seen, or that steer a terminal: controls, format characters (bidirectional overrides, zero
 * width), separators that some programs take for line ends. Tabs and line ends are YAML's own to judge.
 */
const UNSEEN = /(?!\r\n)[^\P{C}\t\n\p{Cn}]|[\p{Zl}\p{Zp}]/u;

/** Reads a file's bytes as text. Nothing is given where the text could not be trusted with any further reading. */
export function readText(source: SourceFile, report: Report): SourceText | undefined {
  const { file, bytes } = source;
  const whole = startOf(file);
  if (bytes.length > MAX_BYTES) {
    report(problem('too-large', whole, 'this file is over 1 MiB', 'a plan is a few hundred lines of text'));
    return undefined;
  }
  if (looksWide(bytes)) {
    report(
      problem('wrong-encoding', whole, 'this file is UTF-16 or UTF-32, or no text at all', SAVE_AS_UTF8),
    );
    return undefined;
  }
  if (BYTE_ORDER_MARK.every((byte, index) => bytes[index] === byte)) {
    report(problem('wrong-encoding', whole, 'this file begins with a byte order mark', SAVE_AS_UTF8));
    return undefined;
  }
  const text = decode(source, report);
  if (text === undefined) return undefined;
  const read = sourceText(file, text);
  const unseen = UNSEEN.exec(text);
  if (unseen) {
    const place = read.placeOf(unseen.index, unseen.index + unseen[0].length);
    const code = (unseen[0].codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0');
    report(problem('bad-character', place, `an unseen character, U+${code}, stands here`, 'delete it'));
    return undefined;
  }
  if (isBlank(text)) {
    report(nothingSaid(file));
    return undefined;
  }
  return read;
}

/** UTF-16 and UTF-32 begin with a mark of their own, or have a NUL in nearly every letter. */
function looksWide(bytes: Uint8Array): boolean {
  const [first, second] = bytes;
  if ((first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff)) return true;
  const head = bytes.subarray(0, 64);
  return head.length >= 4 && head.filter((byte) => byte === 0).length >= head.length / 4;
}

function decode(source: SourceFile, report: Report): string | undefined {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(source.bytes);
  } catch {
    const place = placeOfBadByte(source);
    report(problem('wrong-encoding', place, 'from here on this file is not UTF-8 text', SAVE_AS_UTF8));
    return undefined;
  }
}

/** Goes line by line: a line end is one byte in UTF-8, and no other letter has that byte in it. */
function placeOfBadByte({ file, bytes }: SourceFile): Place {
  const strict = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
  let line = 1;
  for (let start = 0; start <= bytes.length; line += 1) {
    const end = bytes.indexOf(0x0a, start);
    const row = bytes.subarray(start, end < 0 ? bytes.length : end);
    try {
      strict.decode(row);
    } catch {
      const column = new TextDecoder().decode(row).indexOf('\uFFFD') + 1;
      return { file, line, column, endLine: line, endColumn: column + 1 };
    }
    if (end < 0) break;
    start = end + 1;
  }
  return startOf(file);
}

/** The problem of a file with nothing but blanks and comments in it. */
export const nothingSaid = (file: string): Diagnostic =>
  problem('empty-file', startOf(file), 'this file says nothing', 'begin with the line "thirdhand: 1"');

/** A line that begins with neither a blank nor a comment says something. */
const isBlank = (text: string): boolean => !/^[^\S\n]*[^\s#]/m.test(text);

/** The text of a file that may be shown beside a problem, whatever its bytes are. */
export function showableText({ bytes }: SourceFile): string {
  return new TextDecoder().decode(bytes.subarray(0, MAX_BYTES));
}

export function sourceText(file: string, text: string): SourceText {
  const lineStarts = [0];
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) lineStarts.push(at + 1);
  const pointOf = (offset: number): { line: number; column: number } => {
    let [low, high] = [0, lineStarts.length - 1];
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((lineStarts[middle] ?? 0) <= offset) low = middle;
      else high = middle - 1;
    }
    return { line: low + 1, column: offset - (lineStarts[low] ?? 0) + 1 };
  };
  const placeOf = (start: number, end: number): Place => {
    const [from, to] = [pointOf(start), pointOf(Math.max(start, end))];
    return { file, line: from.line, column: from.column, endLine: to.line, endColumn: to.column };
  };
  return { file, text, placeOf };
}
