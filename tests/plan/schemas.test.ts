import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { kitchenJsonSchema, planJsonSchema } from '../../src/plan/index.ts';

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
