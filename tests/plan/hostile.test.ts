import { describe, expect, test } from 'vitest';
import { loadWorkload } from '../../src/plan/index.ts';
import { bytesOf, load, planWith, told } from './support.ts';

const MIB = 1024 * 1024;
const HEAD = 'thirdhand: 1\ntitle: Test bake\nmakes: 10 buns\nkitchen: bench\ncomponents:\n';
/** As many repetitions as fit just under the size limit. */
const filled = (part: string, around: readonly [string, string] = ['', '']): Uint8Array =>
  bytesOf(`${around[0]}${part.repeat(Math.floor((MIB - 200) / part.length))}${around[1]}`);
const many = (count: number, line: (index: number) => string): string =>
  Array.from({ length: count }, (_, index) => line(index)).join('');
const utf16 = (text: string, littleEnd: boolean, mark: boolean): Uint8Array => {
  const letters = (mark ? '\ufeff' : '') + text;
  const bytes = new Uint8Array(letters.length * 2);
  const view = new DataView(bytes.buffer);
  for (let at = 0; at < letters.length; at += 1) view.setUint16(at * 2, letters.charCodeAt(at), littleEnd);
  return bytes;
};

/** Files that cannot stand in a folder as text, or are too big to: the bytes, and how the first problem begins. */
const HOSTILE: readonly (readonly [name: string, bytes: Uint8Array, first: string])[] = [
  ['nothing at all', bytesOf(''), 'empty-file 1:1'],
  ['blanks only', bytesOf(' \n\n\t\n'), 'empty-file 1:1'],
  ['comments only', bytesOf('# a plan\n  # to come\n'), 'empty-file 1:1'],
  ['a document that says nothing', bytesOf('---\n'), 'empty-file 1:1'],
  ['a byte over 1 MiB', new Uint8Array(MIB + 1).fill(0x20), 'too-large 1:1'],
  ['a byte order mark', bytesOf(`\ufeff${HEAD}`), 'wrong-encoding 1:1'],
  ['UTF-16, little end first, marked', utf16(HEAD, true, true), 'wrong-encoding 1:1'],
  ['UTF-16, big end first, marked', utf16(HEAD, false, true), 'wrong-encoding 1:1'],
  ['UTF-16, unmarked', utf16(HEAD, true, false), 'wrong-encoding 1:1'],
  [
    'a byte that is not UTF-8',
    new Uint8Array([...bytesOf('thirdhand: 1\ntitle: '), 0xff, 0x0a]),
    'wrong-encoding 2:8',
  ],
  ['a letter cut short', new Uint8Array([...bytesOf('a: b\nt: caf'), 0xc3]), 'wrong-encoding 2:7'],
  ['a letter spelled too long', new Uint8Array([...bytesOf('a: '), 0xc0, 0xaf]), 'wrong-encoding 1:4'],
  ['half a pair', new Uint8Array([...bytesOf('a: '), 0xed, 0xa0, 0x80]), 'wrong-encoding 1:4'],
  ['zeros', new Uint8Array(1000), 'wrong-encoding 1:1'],
  ['a picture', new Uint8Array([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]), 'wrong-encoding 1:1'],
  ['open brackets', filled('['), 'too-deep 1:32'],
  ['open braces', filled('{'), 'too-deep 1:32'],
  ['dashes', filled('- '), 'too-deep 1:63'],
  ['question marks', filled('? '), 'too-deep 1:63'],
  ['colons', filled(': '), 'too-deep 1:63'],
  ['maps in steps down', bytesOf(many(400, (depth) => `${' '.repeat(depth)}a:\n`)), 'too-deep 32:32'],
  ['an open quote', filled('a ', ['"', '']), 'too-large 1:1'],
  ['one long word', filled('a', ['thirdhand: 1\ntitle: ', '\n']), 'too-large 2:8'],
  ['one long line of words', filled('word ', ['title: ', '\n']), 'too-large 1:8'],
  ['keys without end', bytesOf(many(90_000, (key) => `k${key}: 1\n`)), 'too-large'],
  ['one key over and over', filled('a: 1\n'), 'too-large'],
  ['items without end', filled('- a\n'), 'too-large'],
  ['a flow list without end', filled('a,', ['[', ']']), 'too-large'],
  ['documents without end', filled('---\n'), 'several-documents 2:1'],
  ['anchors without end', filled('&a '), 'not-plain 1:1'],
  ['aliases without end', filled('- *a\n'), 'not-plain 1:3'],
  ['tags without end', filled('!t '), 'not-plain 1:1'],
  ['directives without end', filled('%x\n'), 'not-plain 1:1'],
  ['spaces without end', filled(' ', ['a', '']), 'too-large 1:2'],
  [
    'an alias bomb',
    bytesOf(`a: &a [x, x]\n${many(20, (depth) => `b${depth}: &b${depth} [*a, *a]\n`)}`),
    'not-plain 1:4',
  ],
  [
    '2,001 steps',
    bytesOf(`${HEAD}  cream:\n    steps:\n${many(2001, (step) => `      - s${step}: { takes: 1 min }\n`)}`),
    'too-large 5:1',
  ],
  [
    '201 components',
    bytesOf(`${HEAD}${many(201, (index) => `  c${index}: { steps: [ { a: { takes: 1 min } } ] }\n`)}`),
    'too-large 6:3',
  ],
  [
    'a thousand needs of nothing',
    bytesOf(
      `${HEAD}${many(100, (index) => `  c${index}: { steps: [ { a: { takes: 1 min, needs: [${'x, '.repeat(15)}] } } ] }\n`)}`,
    ),
    'unknown-component 6:47',
  ],
  [
    'a ring of two hundred components',
    bytesOf(
      `${HEAD}${many(200, (index) => `  c${index}: { steps: [ { a: { takes: 1 min, needs: c${(index + 1) % 200} } } ] }\n`)}`,
    ),
    'needs-cycle 6:46',
  ],
];

describe('hostile files', () => {
  test.each(HOSTILE)('%s', (_name, bytes, first) => {
    let quickest = Number.POSITIVE_INFINITY;
    let found: string[] = [];
    // The time of this thread alone, and the quickest of some runs: what else the machine does is not the file's doing.
    for (let run = 0; run < 5 && quickest >= 100; run += 1) {
      const began = process.threadCpuUsage();
      found = load({ file: 'hostile.yaml', bytes }).diagnostics.map(told);
      const { user, system } = process.threadCpuUsage(began);
      quickest = Math.min(quickest, (user + system) / 1000);
    }
    expect(found[0]?.slice(0, first.length)).toBe(first);
    expect(found.length).toBeLessThanOrEqual(101);
    expect(quickest).toBeLessThan(100);
  });

  test('2,000 steps are a plan', () => {
    const steps = many(2000, (step) => `      - s${step}: { takes: 1 min }\n`);
    expect(
      load({ file: 'long.yaml', bytes: bytesOf(planWith(`  cream:\n    steps:\n${steps}`)) }).workload,
    ).toBeDefined();
  });

  test('several plans have no more than 2,000 steps together', () => {
    const steps = many(1100, (step) => `      - s${step}: { takes: 1 min }\n`);
    const bytes = bytesOf(planWith(`  cream:\n    steps:\n${steps}`));
    const { diagnostics } = load([
      { file: 'a.yaml', bytes },
      { file: 'b.yaml', bytes },
    ]);
    expect(diagnostics.map(told)).toEqual(['too-large 1:1']);
  });

  test('a file with very many problems says so, and no more', () => {
    const text = planWith(many(150, (index) => `  c${index}: { steps: [ { a: { takes: soon } } ] }\n`));
    const { diagnostics } = load({ file: 'bad.yaml', bytes: bytesOf(text) });
    expect(diagnostics).toHaveLength(101);
    expect(diagnostics.at(-1)).toMatchObject({
      code: 'too-large',
      message: 'reading stopped after 100 problems',
    });
  });

  test('what a problem quotes is harmless, also where it is not drawn', () => {
    const wild = String.raw`"\e]0;x\a\x9b2J\u202e"`;
    const text = `${wild}: 1\nthirdhand: 1\ntitle: ${wild}\nmakes: ${wild}\nkitchen: ${wild}\ncomponents: { ${wild}: { steps: [ { ${wild}: { hands: ${wild}, takes: ${wild}, needs: ${wild} } } ] } }\n`;
    const { diagnostics } = load({ file: 'wild.yaml', bytes: bytesOf(text) });
    expect(diagnostics.length).toBeGreaterThan(6);
    expect(diagnostics.map(({ message, hint }) => message + hint).join('')).not.toMatch(/[\p{Cc}\p{Cf}]/u);
  });

  test('a hostile file name is made safe for a name, and a kitchen is never looked for outside its folder', () => {
    const asked: string[] = [];
    const findKitchen = (name: string): undefined => {
      asked.push(name);
      return undefined;
    };
    const text = planWith('  a: { steps: [ { b: { takes: 1 min } } ] }\n').replace('bench', '../secret');
    const { diagnostics } = loadWorkload([{ file: 'x.yaml', bytes: bytesOf(text) }], {
      findKitchen,
      timeZone: 'UTC',
    });
    expect(diagnostics.map(told)).toEqual(['bad-name 4:10']);
    expect(asked).toEqual([]);
  });
});
