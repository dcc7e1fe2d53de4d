import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { kitchenJsonSchema, planJsonSchema, readKitchen } from '../../src/plan/index.ts';
import { loadText, sourceOf, told } from './support.ts';

const page = readFileSync(new URL('../../docs/plan-language.md', import.meta.url), 'utf8');
const examples = [...page.matchAll(/^```yaml *(\w*)\n(.*?)^```$/gms)].map(
  ([, kind = '', text = ''], index) => ({
    kind,
    text,
    name: `${index + 1} (${kind}): ${text.split('\n')[0]}`,
  }),
);

const indented = (text: string, by: number): string => text.replaceAll(/^(?=.)/gm, ' '.repeat(by));
const HEAD = 'thirdhand: 1\ntitle: An example\nmakes: 24 pieces\nkitchen: page\ncomponents:\n';
/** Makes a whole plan of a piece, as the page says: steps stand in a component after a first step. */
const WHOLE: Readonly<Record<string, (text: string) => string>> = {
  plan: (text) => text,
  components: (text) => `${HEAD}${indented(text, 2)}`,
  steps: (text) => `${HEAD}  piece:\n    steps:\n      - begin: { takes: 1 min }\n${indented(text, 6)}`,
};
const kitchen = sourceOf('page.yaml', examples.find(({ kind }) => kind === 'kitchen')?.text ?? '');

describe('the page about the plan language', () => {
  test('has examples of every kind', () => {
    expect(new Set(examples.map(({ kind }) => kind))).toEqual(
      new Set(['plan', 'components', 'steps', 'kitchen', '']),
    );
    expect(examples.length).toBeGreaterThanOrEqual(15);
  });

  test.each(examples.filter(({ kind }) => kind in WHOLE))('example $name', ({ kind, text }) => {
    const { diagnostics, workload } = loadText(WHOLE[kind]?.(text) ?? '', {
      findKitchen: (name) => (name === 'page' ? kitchen : undefined),
    });
    expect(diagnostics.map((found) => `${told(found)} ${found.message}`)).toEqual([]);
    expect(workload).toBeDefined();
  });

  test('its first kitchen is that of the examples', () => {
    expect(readKitchen(kitchen, 'UTC')).toMatchObject({ diagnostics: [], kitchen: { name: 'page' } });
  });

  test.each(examples.filter(({ kind }) => kind === 'kitchen'))('example $name', ({ text }) => {
    const { diagnostics, kitchen: read } = readKitchen(sourceOf('kitchen.yaml', text), 'UTC');
    expect(diagnostics.map((found) => `${told(found)} ${found.message}`)).toEqual([]);
    expect(read).toBeDefined();
  });

  test('the line for editors is a comment in a plan', () => {
    const line = examples.find(({ kind }) => kind === '')?.text ?? '';
    expect(line).toMatch(/^# yaml-language-server: \$schema=\S+plan\.schema\.json\n$/);
  });

  const words = [...new Set([planJsonSchema(), kitchenJsonSchema()].flatMap((schema) => wordsOf(schema)))];
  test('there are words to look for', () => {
    expect(words.length).toBeGreaterThan(50);
  });

  test.each(words)('explains "%s", and shows it in an example', (word) => {
    expect(new RegExp(`\`${word}[\`:]`).test(page)).toBe(true);
    const isShown = examples.some(({ text }) =>
      new RegExp(`(?:^|[{,:[ ])${word}(?:[:, }\\]]|$)`, 'm').test(text),
    );
    expect(isShown).toBe(true);
  });
});

/** Every word and every fixed value that a JSON Schema knows. */
function wordsOf(schema: unknown): string[] {
  if (typeof schema !== 'object' || schema === null) return [];
  return Object.entries(schema).flatMap(([key, value]): string[] => {
    if (key === 'examples' || key === 'default') return [];
    const here =
      key === 'properties' ? Object.keys(value as object) : key === 'enum' ? (value as string[]) : [];
    return [...here, ...wordsOf(value)];
  });
}
