import { describe, expect, test } from 'vitest';
import { drawDiagnostic, visible, type Diagnostic } from '../../src/plan/index.ts';
import { loadText, planWith } from './support.ts';

const drawn = (line: string, column: number, endColumn: number, rest: Partial<Diagnostic> = {}): string => {
  const place = { file: 'tea.yaml', line: 2, column, endLine: 2, endColumn };
  const diagnostic: Diagnostic = {
    code: 'bad-text',
    severity: 'error',
    place,
    message: 'not so',
    hint: 'but so',
    ...rest,
  };
  return drawDiagnostic(diagnostic, `first\n${line}\nthird`);
};

describe('a drawn problem', () => {
  test('has its place, the line with carets, and the hint', () => {
    expect(drawn('makes: forty', 8, 13)).toBe(
      [
        'tea.yaml:2:8: error: not so [bad-text]',
        '  2 | makes: forty',
        '             ^^^^^',
        '  hint: but so',
      ].join('\n'),
    );
  });

  test('of a whole file', () => {
    const { diagnostics, texts } = loadText(planWith('  a: { steps: [ { b: { takes: 13-9 min } } ] }\n'));
    expect(diagnostics.map((found) => drawDiagnostic(found, texts.get('test.yaml') ?? ''))).toEqual([
      [
        'test.yaml:6:31: error: the range "13-9 min" runs backwards [bad-length]',
        '  6 |   a: { steps: [ { b: { takes: 13-9 min } } ] }',
        '                                    ^^^^^^^^',
        '  hint: write the short end first: 9-13 min, 45 min - 7 d',
      ].join('\n'),
    ]);
  });

  test('lets no escape, bidirectional override or zero-width character through', () => {
    const drawing = drawn('\u001b[2Jti\u202etle: \u200bx', 5, 7, {
      message: 'a\u001b]0;b\u0007',
      hint: 'c\r\nd\u009b',
      place: { file: 'e\u001bf', line: 2, column: 5, endLine: 2, endColumn: 7 },
    });
    expect(drawing).toBe(
      [
        'e␛f:2:5: error: a␛]0;b␇ [bad-text]',
        '  2 | ␛[2Jti<U+202E>tle: <U+200B>x',
        '          ^^',
        '  hint: c␍␊d<U+009B>',
      ].join('\n'),
    );
  });

  test('has its carets right after wide letters and tabs', () => {
    expect(drawn('\t餡: x', 5, 6)).toContain('  2 |  餡: x\n           ^\n');
  });

  test('shows of a long line what is around the place', () => {
    const drawing = drawn(`${'a'.repeat(500)}b${'c'.repeat(500)}`, 501, 502);
    const [, line = '', carets = ''] = drawing.split('\n');
    expect(line).toBe(`  2 | …${'a'.repeat(40)}b${'c'.repeat(59)}…`);
    expect(line.indexOf('b')).toBe(carets.indexOf('^'));
  });

  test('shows a line from its beginning only while the place is well within what is shown', () => {
    expect(drawn('a'.repeat(200), 61, 62)).toContain('\n  2 | aaa');
    expect(drawn('a'.repeat(200), 62, 63)).toContain('\n  2 | …aaa');
  });

  test('runs to the end of the line where the range goes on below', () => {
    const place = { file: 't', line: 2, column: 3, endLine: 3, endColumn: 2 };
    expect(drawn('  abc  ', 0, 0, { place })).toContain('\n        ^^^\n');
  });

  test.each([0, 3, 99])('at a place where there is no text: line %i', (line) => {
    const place = { file: 't', line, column: 70, endLine: line, endColumn: 90 };
    expect(drawn('x', 0, 0, { place }).split('\n').length).toBeGreaterThanOrEqual(2);
  });

  test('a warning says so', () => {
    expect(drawn('x', 1, 2, { severity: 'warning' })).toContain('tea.yaml:2:1: warning: not so');
  });
});

test.each([
  ['plain, with ½ and °', 'plain, with ½ and °'],
  ['\u0000\u001f\u007f', '␀␟␡'],
  ['\u0085\u2028\ufeff\u{e0041}', '<U+0085><U+2028><U+FEFF><U+E0041>'],
  ['👩‍🍳', '👩<U+200D>🍳'],
])('visible(%j)', (text, shown) => {
  expect(visible(text)).toBe(shown);
});
