import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { drawDiagnostic, type Diagnostic, type Workload } from '../../src/plan/index.ts';
import { readAs } from '../../src/plan/read.ts';
import { planShape } from '../../src/plan/shape.ts';
import { sourceText } from '../../src/plan/source.ts';
import { readTree } from '../../src/plan/tree.ts';
import { hoursAndNights } from './arbitrary-kitchen.ts';
import { plan, writing } from './arbitrary-plan.ts';
import { load, plansIn, sourceOf, told } from './support.ts';

/** A workload's components without the places, which say where and not what. */
const meaningOf = ({ components }: Workload): unknown =>
  JSON.parse(JSON.stringify(components, (key, value: unknown) => (key === 'place' ? undefined : value)));

describe('the language round trip', () => {
  test('a plan means the same however it is written', () => {
    fc.assert(
      fc.property(plan, writing, ({ words, means }, write) => {
        const text = write(words);
        const { workload, diagnostics } = load(sourceOf('made-up.yaml', text));
        expect(diagnostics.map((found) => `${told(found)} ${found.message}`)).toEqual([]);
        expect(workload && meaningOf(workload)).toEqual(means);
      }),
      { numRuns: 150 },
    );
  });

  test('a kitchen has the same hours, and a plan the same preferences, however they are written', () => {
    const components = { buns: { steps: [{ bake: { takes: '9 min' } }] } };
    const prefer = fc.shuffledSubarray(['fresh', 'day', 'oven'], { minLength: 1 });
    fc.assert(
      fc.property(hoursAndNights, prefer, writing, ({ words, means }, preferred, write) => {
        const one = preferred.length === 1 ? preferred[0] : preferred;
        const text = write(components, { prefer: one, kitchen: { cooks: 1, ...words } });
        const { workload, diagnostics } = load(sourceOf('made-up.yaml', text));
        expect(diagnostics.map((found) => `${told(found)} ${found.message}`)).toEqual([]);
        expect(workload?.plans[0]?.prefer).toEqual(preferred);
        const { hours, nights } = workload?.kitchen ?? {};
        expect({ ...(hours && { hours }), ...(nights && { nights }) }).toEqual(means);
        expect(JSON.parse(JSON.stringify(workload))).toEqual(workload);
      }),
      { numRuns: 200 },
    );
  });

  test('reading word by word gives what the schema gives for the whole', () => {
    fc.assert(
      fc.property(plan, writing, ({ words }, write) => {
        const text = write(words);
        const problems: Diagnostic[] = [];
        const tree = readTree(sourceText('made-up.yaml', text), (found) => problems.push(found));
        const read = tree && readAs(tree, planShape, (found) => problems.push(found));
        expect(problems).toEqual([]);
        expect(withoutMaps(read)).toEqual(planShape.parse(parse(text)));
      }),
      { numRuns: 100 },
    );
  });
});

function withoutMaps(value: unknown): unknown {
  if (value instanceof Map) return withoutMaps(Object.fromEntries(value));
  if (Array.isArray(value)) return value.map(withoutMaps);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, withoutMaps(inner)]));
}

/** What is wrong with the answer to some bytes. Any bytes get one, with every problem at a place that the file has, safe to show. */
function faultsOf(bytes: Uint8Array): string[] {
  const { workload, diagnostics, texts } = load({ file: 'any.yaml', bytes });
  const text = texts.get('any.yaml') ?? '';
  const lines = text.split('\n');
  const failed = diagnostics.some(({ severity }) => severity === 'error');
  const faults = diagnostics.flatMap((diagnostic) => {
    const { line, column, endLine, endColumn } = diagnostic.place;
    const isThere = line >= 1 && line <= lines.length && column >= 1;
    const isOnLine = column <= (lines[line - 1]?.length ?? 0) + 1;
    const goesForward = endLine > line || (endLine === line && endColumn >= column);
    const isSafe = !/[^\P{C}\n\p{Cn}]|[\p{Zl}\p{Zp}]/u.test(drawDiagnostic(diagnostic, text));
    return isThere && isOnLine && goesForward && isSafe ? [] : [JSON.stringify(diagnostic)];
  });
  return failed === (workload === undefined)
    ? faults
    : [...faults, 'a workload with errors, or none without'];
}
const faultsOfText = (text: string): string[] => faultsOf(new TextEncoder().encode(text));

const SEEDS = [...plansIn('odd'), ...plansIn('broken')].map(({ bytes }) => new TextDecoder().decode(bytes));
const PARTS = [
  '{¦}¦[¦]¦:¦: ¦- ¦,¦"¦\'¦\n¦  ¦\t¦#¦&a ¦*a¦!t ¦|¦>¦---\n¦%¦.¦-¦?',
  'hours: 6:00-22:00¦monday: none¦other days: 22:00-6:00¦nights: allowed¦prefer: [day, fresh]',
  'takes: 9 min¦each: 8 s¦rest: 1-4 h¦oven: { at: 180 C }¦until:¦any: [¦needs: ¦cream¦9',
  'null¦~¦.inf¦.nan¦1e999¦0x7fffffff¦\u202e¦\u001b[2J¦\u0000¦\ufeff¦__proto__',
].flatMap((parts) => parts.split('¦'));
const edit = fc.record({
  at: fc.nat(),
  cut: fc.integer({ min: 0, max: 30 }),
  put: fc.constantFrom('', ...PARTS),
});
const mutated = fc
  .tuple(fc.constantFrom(...SEEDS), fc.array(edit, { minLength: 1, maxLength: 8 }))
  .map(([seed, edits]) =>
    edits.reduce((text, { at, cut, put }) => {
      const from = text.length === 0 ? 0 : at % text.length;
      return `${text.slice(0, from)}${put}${text.slice(from + cut)}`;
    }, seed),
  );

describe('any input', () => {
  test('of random bytes is answered', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
        expect(faultsOf(bytes)).toEqual([]);
      }),
      { numRuns: 500 },
    );
  });

  test('of random words and marks is answered', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...PARTS), { maxLength: 60 }), (parts) => {
        expect(faultsOfText(parts.join(''))).toEqual([]);
      }),
      { numRuns: 1000 },
    );
  });

  test('of plans changed at random is answered', () => {
    fc.assert(
      fc.property(mutated, (text) => {
        expect(faultsOfText(text)).toEqual([]);
      }),
      { numRuns: 1500 },
    );
  });

  test('of bytes changed at random in a plan is answered', () => {
    const seed = new TextEncoder().encode(SEEDS[0]);
    const change = fc.tuple(fc.nat(seed.length - 1), fc.nat(255));
    fc.assert(
      fc.property(fc.array(change, { minLength: 1, maxLength: 4 }), (changes) => {
        const bytes = Uint8Array.from(seed);
        for (const [at, byte] of changes) bytes[at] = byte;
        expect(faultsOf(bytes)).toEqual([]);
      }),
      { numRuns: 500 },
    );
  });
});
