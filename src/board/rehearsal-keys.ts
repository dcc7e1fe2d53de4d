import type { Key } from './pressed.ts';
import type { Control } from './rehearsing.ts';

/** What a key asks of a rehearsal; none of them does anything on a live board. */
export function controlFor(key: Key): Control | undefined {
  switch (key) {
    case '0':
      return { kind: 'stop or go' };
    case '-':
      return { kind: 'slower' };
    // One key on many keyboards, with and without shift.
    case '+':
    case '=':
      return { kind: 'faster' };
    case 'enter':
      return { kind: 'on' };
    case 'backspace':
      return { kind: 'back' };
    default:
      return undefined;
  }
}
