import { expect, test, vi } from 'vitest';
import { logLine } from '../../src/keeper/main.ts';

test('the log of a keeper holds nothing that could steer the terminal it is read on', () => {
  const write = vi.spyOn(process.stderr, 'write').mockReturnValue(true);
  try {
    logLine('no \u001b]0;x\u0007 run\nhere\u009b2J');
    const text = String(write.mock.calls[0]?.[0]);
    expect(text.replace(/^\S+ /, '')).toBe('no \u241b]0;x\u2407 run\n  here<U+009B>2J\n');
  } finally {
    write.mockRestore();
  }
});
