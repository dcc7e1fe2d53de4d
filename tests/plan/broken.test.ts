import { describe, expect, test } from 'vitest';
import { drawDiagnostic } from '../../src/plan/index.ts';
import { load, plansIn, told } from './support.ts';

/** What the first line of a broken plan says of it: `# expect code line:column; code line:column`. */
const expectation = (bytes: Uint8Array): string[] =>
  (/^# expect (.*)$/m.exec(new TextDecoder().decode(bytes))?.[1] ?? 'nothing').split('; ');

describe('broken plans', () => {
  const files = plansIn('broken');

  test('there are enough of them', () => {
    expect(files.length).toBeGreaterThanOrEqual(60);
  });

  test.each(files.map((source) => [source.file, source] as const))('%s', (_name, source) => {
    const { diagnostics, texts, workload } = load(source);
    expect(diagnostics.map(told)).toEqual(expectation(source.bytes));
    const isError = diagnostics.some(({ severity }) => severity === 'error');
    expect(workload === undefined).toBe(isError);
    for (const diagnostic of diagnostics) {
      expect(diagnostic.message).not.toBe('');
      expect(diagnostic.hint).not.toBe('');
      const drawn = drawDiagnostic(diagnostic, texts.get(diagnostic.place.file) ?? '');
      expect(drawn.split('\n').length).toBeGreaterThanOrEqual(2);
      expect(drawn).not.toMatch(/[^\P{C}\n\p{Cn}]|[\p{Zl}\p{Zp}]/u);
    }
  });
});
