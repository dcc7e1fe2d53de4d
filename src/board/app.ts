import { Box, Text, useInput, type Key as InkKey } from 'ink';
import { createElement, memo, useSyncExternalStore, type ReactNode } from 'react';
import type { Key } from './pressed.ts';
import type { Ink, Line, Span } from './lines.ts';

/** What the drawn board reads from and reports to. */
export interface Frames {
  readonly subscribe: (listener: () => void) => () => void;
  /** The rows to draw; the same object for as long as nothing changed. */
  readonly frame: () => readonly Line[];
  readonly width: () => number;
  readonly key: (key: Key) => void;
  /** No colours; bold and inverse stay. */
  readonly colourless: boolean;
}

/** The colours, of the terminal's own sixteen. */
const COLOURS: Readonly<Record<Exclude<Ink, 'quiet'>, string>> = {
  good: 'green',
  care: 'yellow',
  bad: 'red',
  accent: 'cyan',
};

/** The whole board: a column of rows, each drawn again only when it has changed. */
export function Board({ frames }: { readonly frames: Frames }): ReactNode {
  const rows = useSyncExternalStore(frames.subscribe, frames.frame);
  useInput((input, key) => {
    for (const each of keysOf(input, key)) frames.key(each);
  });
  const { colourless } = frames;
  return createElement(
    Box,
    { flexDirection: 'column', width: frames.width(), height: rows.length },
    rows.map((row, index) => createElement(Row, { key: index, row, colourless })),
  );
}

const Row = memo(function Row({
  row,
  colourless,
}: {
  readonly row: Line;
  readonly colourless: boolean;
}): ReactNode {
  const stretches = row.map((span, index) => createElement(Stretch, { key: index, span, colourless }));
  return createElement(
    Box,
    { height: 1, flexShrink: 0 },
    createElement(Text, { wrap: 'truncate-end' }, row.length === 0 ? ' ' : stretches),
  );
});

function Stretch({ span, colourless }: { readonly span: Span; readonly colourless: boolean }): ReactNode {
  const { text, ink, bold = false, inverse = false } = span;
  const colour = colourless || ink === undefined || ink === 'quiet' ? {} : { color: COLOURS[ink] };
  return createElement(Text, { ...colour, bold, inverse, dimColor: !colourless && ink === 'quiet' }, text);
}

/** More signs than this at once are no presses of a hand but a paste, and none of them counts. */
const MOST_AT_ONCE = 12;

/** The board's keys in what the terminal sent. Letters lose their case; arrows and the like are no keys of ours. */
function keysOf(input: string, key: Partial<InkKey>): Key[] {
  if (key.return === true) return ['enter'];
  if (key.escape === true) return ['esc'];
  if (key.backspace === true || key.delete === true) return ['backspace'];
  if (key.ctrl === true) return input === 'c' ? ['ctrl-c'] : input === 'l' ? ['.'] : [];
  if (key.meta === true || key.tab === true) return [];
  const signs = Array.from(input);
  return signs.length > MOST_AT_ONCE
    ? []
    : signs.flatMap((sign) =>
        sign === '\r' || sign === '\n' ? ['enter'] : /[\p{Cc}\p{Cf}]/u.test(sign) ? [] : [sign.toLowerCase()],
      );
}
