import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { parse } from 'yaml';
import { z } from 'zod';
import { kitchenJsonSchema, planJsonSchema } from '../../src/plan/index.ts';
import { hoursAndNights } from './arbitrary-kitchen.ts';
import { plan, writing } from './arbitrary-plan.ts';
import { planWith, plansIn } from './support.ts';

const inDocs = (name: string): string => readFileSync(new URL(`../../docs/${name}`, import.meta.url), 'utf8');

describe('the JSON Schemas in docs', () => {
  test.each([
    ['plan.schema.json', planJsonSchema],
    ['kitchen.schema.json', kitchenJsonSchema],
  ])('%s is current; if not: node scripts/write-schemas.ts', (name, schema) => {
    expect(inDocs(name)).toBe(`${JSON.stringify(schema(), undefined, 2)}\n`);
  });

  test('say what an editor shows: descriptions, examples, defaults, and which words exclude each other', () => {
    const plan = planJsonSchema() as { properties: Record<string, unknown>; $defs: Record<string, unknown> };
    expect(plan.properties['margin']).toMatchObject({
      type: 'string',
      default: '10 min',
      description: 'How long before service everything is to be ready.',
      examples: ['90 s', '6 min', '1 h 30 min', '2 d'],
    });
    expect(plan.$defs['step']).toMatchObject({
      additionalProperties: false,
      oneOf: [{ required: ['takes'] }, { required: ['each'] }, { required: ['rest'] }],
    });
    expect(plan.$defs['trigger']).toMatchObject({
      properties: { any: { items: { $ref: '#/$defs/trigger' } } },
    });
  });
});

describe('a reader that knows the JSON Schema alone', () => {
  // Zod reads JSON Schemas back, but not "required" within "oneOf"; the test above looks at those.
  const withoutOneOf = (schema: unknown): unknown =>
    JSON.parse(JSON.stringify(schema, (key, value: unknown) => (key === 'oneOf' ? undefined : value)));
  const accepts = (schema: unknown, value: unknown): boolean =>
    z.fromJSONSchema(withoutOneOf(schema) as Parameters<typeof z.fromJSONSchema>[0]).safeParse(value).success;

  test('accepts what the program accepts', () => {
    fc.assert(
      fc.property(plan, writing, ({ words }, write) => {
        expect(accepts(planJsonSchema(), parse(write(words)))).toBe(true);
      }),
      { numRuns: 20 },
    );
    fc.assert(
      fc.property(hoursAndNights, ({ words }) => {
        expect(accepts(kitchenJsonSchema(), { thirdhand: 1, kitchen: 'made up', ...words })).toBe(true);
      }),
      { numRuns: 20 },
    );
    const [bench] = plansIn('kitchens');
    const shown = [...inDocs('plan-language.md').matchAll(/^```yaml kitchen\n(.*?)^```$/gms)];
    const kitchens = [new TextDecoder().decode(bench?.bytes), ...shown.map(([, text = '']) => text)];
    expect(kitchens.length).toBeGreaterThan(5);
    expect(kitchens.filter((text) => !accepts(kitchenJsonSchema(), parse(text)))).toEqual([]);
  });

  test.each([
    ['an unknown set of cooling rules', 'rules: two stages'],
    ['an unknown word of an oven', 'ovens: { deck: { cool: 3 C/min } }'],
    ['a probe on a third scale', 'probes: { cream: { scale: K } }'],
    ['a broker without an address', 'broker: { user: bench }'],
  ])('refuses %s', (_what, words) => {
    const kitchen: unknown = parse(`thirdhand: 1\nkitchen: home\n${words}\n`);
    expect(accepts(kitchenJsonSchema(), kitchen)).toBe(false);
  });

  test.each([
    ['an unknown word', 'stir: { takes: 1 min, takez: 2 min }'],
    ['a name with a dot', 'st.ir: { takes: 1 min }'],
    ['two steps in one', 'stir: { takes: 1 min }, beat: { takes: 1 min }'],
    ['unknown hands', 'stir: { takes: 1 min, hands: both }'],
    ['one probe to be joined', 'stir: { takes: 1 min, until: { probes: [cream], reaches: 20 C } }'],
    ['half a shelf', 'stir: { takes: 1 min, oven: { at: 180 C, shelves: 0.5 } }'],
    ['a number for a length', 'stir: { takes: 1 }'],
    [
      'a trigger of a trigger of an unknown word',
      'stir: { takes: 1 min, until: { any: [{ all: [{ queue: x }] }] } }',
    ],
  ])('refuses %s', (_what, step) => {
    const value: unknown = parse(planWith(`  cream: { steps: [ { ${step} } ] }\n`));
    expect(accepts(planJsonSchema(), value)).toBe(false);
  });
});
