import stringWidth from 'string-width';
import type { Place } from './model.ts';

/** Every kind of problem a plan or kitchen file can have. Tests and tools go by these, never by the wording. */
export type DiagnosticCode =
  // The file as bytes and characters.
  | 'unreadable-file'
  | 'wrong-encoding'
  | 'bad-character'
  | 'empty-file'
  | 'too-large'
  | 'too-deep'
  // The file as YAML.
  | 'bad-yaml'
  | 'duplicate-key'
  | 'several-documents'
  | 'not-plain'
  // The words of the language and their values.
  | 'wrong-version'
  | 'missing'
  | 'unknown-word'
  | 'wrong-kind'
  | 'bad-name'
  | 'bad-text'
  | 'bad-figure'
  | 'bad-length'
  | 'bad-temperature'
  | 'bad-rate'
  | 'bad-clock-time'
  | 'bad-time-zone'
  | 'bad-hours'
  | 'bad-yield'
  // What the words mean together.
  | 'duplicate-name'
  | 'no-components'
  | 'no-steps'
  | 'bad-step'
  | 'step-length'
  | 'usually'
  | 'bad-wait'
  | 'bad-oven'
  | 'bad-turn'
  | 'bad-probe'
  | 'bad-broker'
  | 'bad-trigger'
  | 'no-effect'
  | 'unknown-component'
  | 'unknown-step'
  | 'needs-itself'
  | 'needs-cycle'
  | 'bad-hold'
  | 'keeps-too-short'
  | 'bad-showing'
  | 'air-time'
  // The plan against its kitchen.
  | 'no-kitchen'
  | 'unknown-kitchen'
  | 'kitchens-differ'
  | 'preferences-differ'
  | 'unknown-item'
  | 'unknown-oven'
  | 'no-rules'
  | 'too-many';

/**
 * One problem: what kind, where, what is wrong, and what would be right; both texts are safe to show. A plan with an error
 * gives no workload.
 */
export interface Diagnostic {
  readonly code: DiagnosticCode;
  readonly severity: 'error' | 'warning';
  readonly place: Place;
  readonly message: string;
  readonly hint: string;
}

/** Takes a problem that was found; the finder goes on. */
export type Report = (diagnostic: Diagnostic) => void;

export const problem = (
  code: DiagnosticCode,
  place: Place,
  message: string,
  hint: string,
  severity: Diagnostic['severity'] = 'error',
): Diagnostic => ({ code, severity, place, message: tell(message), hint: tell(hint) });

/** Messages quote what they are about, which can be as long as a hostile file likes, and hold what steers a terminal. */
const MAX_MESSAGE = 300;
const tell = (text: string): string =>
  visible(text.length > MAX_MESSAGE ? `${text.slice(0, MAX_MESSAGE - 1)}…` : text);

/** The problem of a file that could not be read at all; `reason` in words: "it is a directory". */
export function fileDiagnostic(file: string, reason: string): Diagnostic {
  return problem('unreadable-file', startOf(file), `cannot read this file: ${reason}`, 'give a YAML file');
}

/** The very beginning of a file: the place of what concerns the whole of it. */
export const startOf = (file: string): Place => ({ file, line: 1, column: 1, endLine: 1, endColumn: 1 });

const UNSEEN = /[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Co}\p{Cs}]/gu;

/** Makes every control, format and invisible character visible, so that shown text can never steer a terminal. */
export function visible(text: string): string {
  return text.replace(UNSEEN, (character) => {
    const code = character.codePointAt(0) ?? 0;
    if (code < 0x20) return String.fromCodePoint(0x2400 + code);
    if (code === 0x7f) return '\u2421';
    return `<U+${code.toString(16).toUpperCase().padStart(4, '0')}>`;
  });
}

/** How much of a source line is shown beside a problem. */
const SHOWN_WIDTH = 100;
const SHOWN_BEFORE = 40;

/**
 * Draws a diagnostic for people: `file:line:column: error: message [code]`, the source line with carets under
 * the range, and the hint. `text` is the file's text as it was read (see `Loaded.texts`), for the line.
 */
export function drawDiagnostic(diagnostic: Diagnostic, text: string): string {
  const { place, severity, message, code, hint } = diagnostic;
  const head = `${visible(place.file)}:${place.line}:${place.column}: ${severity}: ${visible(message)} [${code}]`;
  return [head, ...drawLine(place, lineOf(text, place.line)), `  hint: ${visible(hint)}`].join('\n');
}

function drawLine(place: Place, line: string): string[] {
  if (line.trim() === '') return [];
  const start = place.column - 1;
  const from = start > SHOWN_WIDTH - SHOWN_BEFORE ? start - SHOWN_BEFORE : 0;
  const to = Math.min(line.length, from + SHOWN_WIDTH);
  const end = place.endLine === place.line ? Math.min(place.endColumn - 1, to) : to;
  const before = shown(line.slice(from, start));
  const lead = from > 0 ? '…' : '';
  const gutter = `  ${place.line} | `;
  const carets = '^'.repeat(Math.max(1, stringWidth(shown(line.slice(start, end).trimEnd()))));
  return [
    `${gutter}${lead}${shown(line.slice(from, to))}${to < line.length ? '…' : ''}`,
    `${' '.repeat(gutter.length + lead.length + stringWidth(before))}${carets}`,
  ];
}

const shown = (part: string): string => visible(part.replaceAll('\t', ' '));

function lineOf(text: string, line: number): string {
  let start = 0;
  for (let count = 1; count < line; count += 1) {
    const next = text.indexOf('\n', start);
    if (next < 0) return '';
    start = next + 1;
  }
  const end = text.indexOf('\n', start);
  return text.slice(start, end < 0 ? text.length : end).replace(/\r$/, '');
}

/** Orders problems by file (as the files were given), then by place. */
export function sortDiagnostics(found: readonly Diagnostic[], files: readonly string[]): Diagnostic[] {
  const rank = new Map(files.map((file, index) => [file, index]));
  const rankOf = (diagnostic: Diagnostic): number => rank.get(diagnostic.place.file) ?? files.length;
  return found.toSorted(
    (a, b) => rankOf(a) - rankOf(b) || a.place.line - b.place.line || a.place.column - b.place.column,
  );
}
