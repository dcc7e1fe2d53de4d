import { writeFileSync } from 'node:fs';
import { kitchenJsonSchema, planJsonSchema } from '../src/plan/index.ts';

/** Writes the JSON Schemas of the plan language into docs/; run it when a word of the language changes. */
for (const [file, schema] of [
  ['plan.schema.json', planJsonSchema()],
  ['kitchen.schema.json', kitchenJsonSchema()],
] as const) {
  writeFileSync(new URL(`../docs/${file}`, import.meta.url), `${JSON.stringify(schema, undefined, 2)}\n`);
  console.log(`docs/${file}`);
}
