import { visible } from '../plan/index.ts';
import { wrapped } from '../sheet/index.ts';

/** Where a command's words go. */
export interface Out {
  /** A text for people, on standard output. */
  readonly print: (text: string) => void;
  /** A value for programs, on standard output, as JSON. */
  readonly json: (value: unknown) => void;
  /** A file for another program, on standard output as it is: whoever makes it keeps it free of what steers a terminal. */
  readonly document: (text: string) => void;
  /** A text for people, on standard error. */
  readonly warn: (text: string) => void;
}

/** What a stream needs to be written to. */
export type Write = (text: string) => unknown;

/** What is not seen, or steers a terminal, and what JSON leaves as it is: C1 controls, format characters, line separators. */
const UNSEEN_IN_JSON = /[\u007f-\u009f\p{Cf}\u2028\u2029]/gu;

/**
 * A command's words, on the way to a terminal. File names, options and old journals may hold control characters; none of
 * them gets through, whatever was printed.
 */
export function outTo(stdout: Write, stderr: Write): Out {
  return {
    print: (text) => void stdout(`${seen(text)}\n`),
    json: (value) => void stdout(`${JSON.stringify(value, null, 2).replace(UNSEEN_IN_JSON, escaped)}\n`),
    document: (text) => void stdout(text),
    warn: (text) => void stderr(`${seen(text)}\n`),
  };
}

/** A text with everything made visible but its line ends. */
export const seen = (text: string): string => text.split('\n').map(visible).join('\n');

/** A report whose lines break between words where they are wider than the terminal; as it is where there is none. */
export function fitted(
  text: string,
  columns = process.stdout.isTTY ? process.stdout.columns : Infinity,
): string {
  return text
    .split('\n')
    .flatMap((line) => {
      if (line.length <= columns) return [line];
      const [indent = ''] = /^ */.exec(line) ?? [];
      return wrapped(line.trim(), indent, `${indent}  `, columns);
    })
    .join('\n');
}

const escaped = (character: string): string =>
  character
    .split('')
    .map((unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, '0')}`)
    .join('');
