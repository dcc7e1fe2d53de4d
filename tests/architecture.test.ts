import { readdirSync, readFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';

const root = fileURLToPath(new URL('..', import.meta.url));

/** Layers from the ground up. A folder imports only from rows above its own; neighbours in a row never import each other. */
const LAYERS: readonly (readonly string[])[] = [
  ['units'],
  ['plan'],
  ['heat'],
  ['planner'],
  ['bench'],
  ['rehearsal', 'sheet', 'view'],
  ['journal', 'feed', 'herald'],
  ['keeper'],
  ['board'],
  ['cli'],
];
const FIRST_IMPURE_ROW = LAYERS.findIndex((row) => row.includes('journal'));
const PURE_PACKAGES = new Set([
  'zod',
  'yaml',
  'xstate',
  'temporal-polyfill',
  'string-width',
  'ical-generator',
]);
/** Words that reach outside: a clock, a process, chance, or the network. */
const IMPURE_WORDS =
  /\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bperformance\.|\bprocess\.|\bsetTimeout\b|\bsetInterval\b|\bTemporal\.Now\b|\bfetch\(|\bglobalThis\b|\bcrypto\b/;

const rowOf = (folder: string): number => LAYERS.findIndex((row) => row.includes(folder));
const withoutComments = (text: string): string =>
  text.replace(/\/\*[\s\S]*?\*\//g, ' ').replace(/(^|[^:])\/\/.*$/gm, '$1');

/** Every breach of the layer rule in one source file, in words. Type-only imports count: left out, they hide knots. */
function breaches(file: string, source: string): string[] {
  const folder = file.split('/')[0] ?? '';
  const row = rowOf(folder);
  if (row < 0) return [`${file}: the folder "${folder}" is in no layer`];
  const found: string[] = [];
  const code = withoutComments(source);
  const imports = /(?<![\w'"])(?:from|import|require\()\s*\(?\s*['"]([^'"]+)['"]/g;
  for (const [, target = ''] of code.matchAll(imports)) {
    if (target.startsWith('.')) {
      const other = join(file, '..', target).split(sep)[0] ?? '';
      if (other !== folder && rowOf(other) >= row)
        found.push(`${file}: ${folder} may not import ${other} (${target})`);
    } else if (row < FIRST_IMPURE_ROW && !PURE_PACKAGES.has(target.split('/')[0] ?? '')) {
      found.push(`${file}: the pure folder ${folder} may not import ${target}`);
    }
  }
  if (row < FIRST_IMPURE_ROW) {
    const word = IMPURE_WORDS.exec(code);
    if (word) found.push(`${file}: the pure folder ${folder} may not use ${word[0]}`);
  }
  return found;
}

function sources(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name));
}

describe('layers', () => {
  const files = sources(join(root, 'src'));

  test('every source file keeps to its layer', () => {
    expect(files.length).toBeGreaterThan(20);
    const found = files.flatMap((file) =>
      breaches(relative(join(root, 'src'), file).split(sep).join('/'), readFileSync(file, 'utf8')),
    );
    expect(found).toEqual([]);
  });

  test.each([
    ['an upward import', 'plan/a.ts', "import { x } from '../bench/index.ts';"],
    ['an upward type import', 'plan/a.ts', "import type { X } from '../planner/index.ts';"],
    ['a neighbour', 'view/a.ts', "export { x } from '../sheet/index.ts';"],
    ['a lazy import', 'units/a.ts', "const x = await import('../plan/index.ts');"],
    ['a file system in the pure part', 'bench/a.ts', "import { readFileSync } from 'node:fs';"],
    ['a clock in the pure part', 'bench/a.ts', 'export const now = Date.now();'],
    ['chance in the pure part', 'rehearsal/a.ts', 'export const x = Math.random();'],
    ['an unknown folder', 'stuff/a.ts', 'export const x = 1;'],
  ])('a planted violation is caught: %s', (_name, file, source) => {
    expect(breaches(file, source)).toHaveLength(1);
  });

  test('a downward import and a mention in a comment are fine', () => {
    const source =
      "import { x } from '../units/index.ts'; // not Date.now()\n/* Math.random */ export const y = x;";
    expect(breaches('plan/a.ts', source)).toEqual([]);
  });

  test('source files stay small enough to be one concept', () => {
    const long = files.filter((file) => readFileSync(file, 'utf8').split('\n').length > 450);
    expect(long.map((file) => relative(root, file))).toEqual([]);
  });
});
