/** Far more than any reading takes. */
const LONGEST_LINE = 1024;

export interface LineStream {
  /** Takes what came. `line` hears of each whole line; `tooLong` of each that never ended within 1,024 bytes, once. */
  take(chunk: Buffer): void;
  /** The stream is over: what stands without a line's end is a line all the same. */
  end(): void;
}

/**
 * Cuts a stream of bytes into lines, holding no more than one line of it. Bytes that are no UTF-8 make their line a refused
 * one, and never reach anybody.
 */
export function lineStream(line: (text: string) => void, refused: () => void): LineStream {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let held = Buffer.alloc(0);
  let skipping = false;

  const give = (bytes: Buffer): void => {
    if (skipping) {
      skipping = false;
      return;
    }
    if (bytes.length > LONGEST_LINE) return refused();
    try {
      const text = decoder.decode(bytes);
      if (text.trim() !== '') line(text);
    } catch {
      refused();
    }
    return undefined;
  };

  return {
    take(chunk) {
      let from = 0;
      for (let end = chunk.indexOf(10, from); end >= 0; end = chunk.indexOf(10, from)) {
        const piece = chunk.subarray(from, end);
        give(held.length === 0 ? piece : Buffer.concat([held, piece]));
        held = Buffer.alloc(0);
        from = end + 1;
      }
      if (skipping || from >= chunk.length) return;
      const rest = chunk.subarray(from);
      if (held.length + rest.length > LONGEST_LINE) {
        held = Buffer.alloc(0);
        skipping = true;
        refused();
        return;
      }
      held = Buffer.concat([held, rest]);
    },
    end() {
      if (held.length > 0) give(held);
      held = Buffer.alloc(0);
      skipping = false;
    },
  };
}
