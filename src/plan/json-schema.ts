import { z } from 'zod';
import { kitchenShape } from './kitchen-shape.ts';
import { planShape } from './shape.ts';

/** A JSON Schema (draft 2020-12), as plain data. */
export type JsonSchema = Readonly<Record<string, unknown>>;

/** The JSON Schema of plan files, for editors: completion, descriptions, and the slips that a shape can show. */
export const planJsonSchema = (): JsonSchema =>
  schemaOf(planShape, 'A plan for thirdhand: components, steps, yield.');

/** The JSON Schema of kitchen files. */
export const kitchenJsonSchema = (): JsonSchema =>
  schemaOf(kitchenShape, 'A kitchen for thirdhand: hands, ovens, hobs, cold shelves, tools.');

function schemaOf(shape: z.ZodType, description: string): JsonSchema {
  const schema = z.toJSONSchema(shape, {
    io: 'input',
    override: ({ zodSchema, jsonSchema }) => {
      // Zod leaves these out where a text is read into something else; they are meant for the text.
      const { examples, default: fallback } = z.globalRegistry.get(zodSchema) ?? {};
      if (Array.isArray(examples)) jsonSchema.examples = examples;
      if (fallback !== undefined) jsonSchema.default = fallback as NonNullable<typeof jsonSchema.default>;
    },
  });
  const { $schema, title, ...rest } = schema;
  return { $schema, title, description, ...rest };
}
