/** What came of a piece of a stream: the lines it completed, or that the stream is not one of lines we take. */
export type Lines =
  | { readonly ok: true; readonly lines: readonly string[] }
  | { readonly ok: false; readonly why: string };

const NEWLINE = 0x0a;

/**
 * Cuts a stream of bytes into lines of UTF-8. Keeps at most `longest` bytes of an unfinished line, so that
 * whoever never ends a line costs no memory; after it has once said no, the stream is to be given up.
 */
export function lineReader(longest: number): (chunk: Buffer | string) => Lines {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let parts: Buffer[] = [];
  let held = 0;
  return (piece) => {
    const chunk = typeof piece === 'string' ? Buffer.from(piece) : piece;
    const lines: string[] = [];
    let from = 0;
    for (let at = chunk.indexOf(NEWLINE); at >= 0; at = chunk.indexOf(NEWLINE, from)) {
      const length = held + at - from;
      if (length > longest) return { ok: false, why: `a line is longer than ${longest} bytes` };
      try {
        lines.push(decoder.decode(Buffer.concat([...parts, chunk.subarray(from, at)], length)));
      } catch {
        return { ok: false, why: 'a line is not UTF-8' };
      }
      parts = [];
      held = 0;
      from = at + 1;
    }
    const rest = chunk.subarray(from);
    held += rest.length;
    if (held > longest) return { ok: false, why: `a line is longer than ${longest} bytes` };
    if (rest.length > 0) parts.push(rest);
    return { ok: true, lines };
  };
}
