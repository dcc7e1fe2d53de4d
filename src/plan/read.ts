import { z } from 'zod';
import type {
  ClockTime,
  DayHours,
  Temperature,
  TemperatureChange,
  TemperatureRange,
  Window,
} from '../units/index.ts';
import { problem, type DiagnosticCode, type Report } from './diagnostic.ts';
import type { Place } from './model.ts';
import { nearest, suggest } from './nearest.ts';
import type { ListNode, MapNode, Node } from './tree.ts';
import type { Makes } from './words.ts';

/** Values that are read from one text. */
type Leaf =
  | string
  | number
  | boolean
  | undefined
  | Temperature
  | TemperatureRange
  | TemperatureChange
  | Window
  | ClockTime
  | DayHours
  | Makes
  | { readonly low: number; readonly high: number };

/**
 * What reading gives for a schema's output: the same, but what could not be read is left out, and an item that could
 * not be read is a hole, so that the others keep their numbers. Records become maps, in the order of the file.
 */
export type Read<T> = T extends Leaf
  ? T
  : T extends readonly (infer Item)[]
    ? readonly (Read<Item> | undefined)[]
    : string extends keyof T
      ? ReadonlyMap<string, Read<T[keyof T]>>
      : { readonly [Key in keyof T]?: Read<T[Key]> | undefined };

/**
 * Reads a node by a schema and reports everything that is wrong with it. Zod alone stops an object at its first
 * wrong field; here each word is read by its own part of the schema, so that one slip never hides the next.
 */
export function readAs<Schema extends z.ZodType>(
  node: Node,
  schema: Schema,
  report: Report,
): Read<z.output<Schema>> | undefined {
  // The walk below builds exactly what the schema puts out, less what is reported; a property test compares the two.
  return read(node, schema, report) as Read<z.output<Schema>> | undefined;
}

function read(node: Node, schema: z.core.$ZodType, report: Report): unknown {
  if (schema instanceof z.ZodOptional || schema instanceof z.ZodLazy)
    return read(node, schema.unwrap(), report);
  if (schema instanceof z.ZodUnion) return read(node, fitting(node, schema.options), report);
  if (schema instanceof z.ZodObject) return readObject(node, schema, report);
  if (schema instanceof z.ZodRecord) return readRecord(node, schema, report);
  if (schema instanceof z.ZodArray) return readArray(node, schema, report);
  return readLeaf(node, schema, report);
}

/** The member of a union that a node of this kind is meant for. */
function fitting(node: Node, options: readonly z.core.$ZodType[]): z.core.$ZodType {
  const wanted = options.find((option) => {
    if (node.kind === 'list') return option instanceof z.ZodArray;
    const isMapping = option instanceof z.ZodObject || option instanceof z.ZodRecord;
    return node.kind === 'map' ? isMapping : !isMapping && !(option instanceof z.ZodArray);
  });
  const [first] = options;
  if (!first) throw new Error('a union without members');
  return wanted ?? first;
}

const NOTHING: MapNode['entries'] = new Map();

/** Nothing after a word is an empty map or list; anything else that is not one is reported. */
function entriesOf(node: Node, schema: z.core.$ZodType, report: Report): MapNode['entries'] | undefined {
  if (node.kind === 'map') return node.entries;
  if (isNothing(node)) return NOTHING;
  report(
    problem(
      'wrong-kind',
      node.place,
      `${titleOf(schema)} is wanted here, not ${whatIs(node)}`,
      `for example: ${exampleOf(schema)}`,
    ),
  );
  return undefined;
}

function readObject(node: Node, schema: z.ZodObject, report: Report): unknown {
  const entries = entriesOf(node, schema, report);
  if (!entries) return undefined;
  const found: Record<string, unknown> = {};
  const known = Object.keys(schema.shape);
  for (const [word, { keyPlace, value }] of entries) {
    const part = Object.hasOwn(schema.shape, word) ? schema.shape[word] : undefined;
    if (!part) report(unknownWord(word, keyPlace, known, node, value));
    else found[word] = read(value, part, report);
  }
  for (const [word, part] of Object.entries(schema.shape)) {
    if (entries.has(word) || part instanceof z.ZodOptional) continue;
    const place = firstPlace(node);
    report(problem('missing', place, `"${word}" is missing`, `write ${word}: ${exampleOf(part)}`));
  }
  return found;
}

/** A whole map is too much to point at: its first word, or its first character. */
function firstPlace(node: Node): Place {
  if (node.kind !== 'map' || node.flow)
    return { ...node.place, endLine: node.place.line, endColumn: node.place.column + 1 };
  const [first] = node.entries.values();
  return first?.keyPlace ?? node.place;
}

function unknownWord(word: string, place: Place, known: readonly string[], around: Node, value: Node) {
  const text = nearest(word, known) === undefined ? brokenText(word, around, value) : undefined;
  const hint =
    text === undefined
      ? suggest(word, known, 'leave it out')
      : `within braces a text with a comma in it needs quotes: "${text}"`;
  return problem('unknown-word', place, `"${word}" is not a word that can stand here`, hint);
}

/** The text that a comma within braces has broken in two: `{ cue: stiff, glossy peaks }` has a word "glossy peaks" with nothing after it. */
function brokenText(word: string, around: Node, value: Node): string | undefined {
  if (around.kind !== 'map' || !around.flow || !isNothing(value)) return undefined;
  const keys = [...around.entries.keys()];
  const before = around.entries.get(keys[keys.indexOf(word) - 1] ?? '')?.value;
  return before?.kind === 'scalar' && before.value !== null ? `${before.written}, ${word}` : undefined;
}

function readRecord(node: Node, schema: z.ZodRecord, report: Report): unknown {
  const entries = entriesOf(node, schema, report);
  if (!entries) return undefined;
  const most = limitOf(schema, 'maxProperties');
  if (most === 1 && entries.size !== 1) {
    report(severalInOne(node, [...entries.keys()]));
    return undefined;
  }
  if (entries.size > most) {
    report(
      problem(
        'too-large',
        firstPlace(node),
        `${entries.size} stand here; at most ${most} can`,
        'split the plan',
      ),
    );
    return undefined;
  }
  const found = new Map<string, unknown>();
  for (const [key, { keyPlace, value }] of entries) {
    const isName = checkLeaf(key, schema.keyType, keyPlace, report) !== undefined;
    const inner = read(value, schema.valueType, report);
    if (isName && inner !== undefined) found.set(key, inner);
  }
  return found;
}

/** The commonest slip in a list of steps: what belongs to a step is not indented further than its name. */
function severalInOne(node: Node, keys: readonly string[]) {
  const [message, hint] =
    keys.length === 0
      ? ['a step without a name', 'write - whip: { takes: 5 min }']
      : [
          `one step has several names here: ${keys.slice(0, 5).join(', ')}`,
          'begin each step with its own "- "; indent what belongs to a step further than its name',
        ];
  return problem('bad-step', firstPlace(node), message, hint);
}

function readArray(node: Node, schema: z.ZodArray, report: Report): unknown {
  if (isNothing(node)) return [];
  if (node.kind !== 'list') {
    const message = `${titleOf(schema)} is wanted here, not ${whatIs(node)}`;
    report(problem('wrong-kind', node.place, message, 'begin each item with "- ", or write [one, two]'));
    return undefined;
  }
  const most = limitOf(schema, 'maxItems');
  if (node.items.length > most) {
    report(
      problem(
        'too-large',
        startOfList(node),
        `a list of ${node.items.length}; at most ${most} can stand here`,
        'split the step, or name fewer',
      ),
    );
    return undefined;
  }
  return node.items.map((item) => read(item, schema.element, report));
}

const startOfList = ({ place }: ListNode): Place => ({
  ...place,
  endLine: place.line,
  endColumn: place.column + 1,
});

function readLeaf(node: Node, schema: z.core.$ZodType, report: Report): unknown {
  if (node.kind !== 'scalar' || isNothing(node)) {
    const [code, found]: [DiagnosticCode, string] =
      node.kind === 'scalar' ? ['missing', 'nothing'] : ['wrong-kind', whatIs(node)];
    const place = node.kind === 'scalar' ? node.place : firstPlace(node);
    report(
      problem(
        code,
        place,
        `${titleOf(schema)} is wanted here, not ${found}`,
        `for example: ${exampleOf(schema)}`,
      ),
    );
    return undefined;
  }
  // Where text is wanted, what YAML takes for a number or for true is read as it is written: "title: 1984".
  const isText = schema instanceof z.ZodPipe || schema instanceof z.ZodEnum;
  return checkLeaf(isText ? node.written : node.value, schema, node.place, report);
}

function checkLeaf(value: unknown, schema: z.core.$ZodType, place: Place, report: Report): unknown {
  const result = z.core.safeParse(schema, value);
  if (result.success) return result.data;
  const [issue] = result.error.issues;
  if (issue?.code === 'custom') {
    const { code, hint } = issue.params as { code: DiagnosticCode; hint: string };
    report(problem(code, place, issue.message, hint));
  } else if (issue?.code === 'invalid_value' && schema instanceof z.ZodEnum) {
    const words = schema.options.map(String);
    const message = `"${String(value)}" cannot stand here; ${words.join(', ')} can`;
    const near = nearest(String(value), words);
    const hint = near === undefined ? `for example: ${exampleOf(schema)}` : `did you mean "${near}"?`;
    report(problem('unknown-word', place, message, hint));
  } else if (schema instanceof z.ZodLiteral) {
    const [wanted] = schema.values;
    const code = wanted === 1 ? 'wrong-version' : 'wrong-kind';
    const hint = wanted === 1 ? 'this program reads version 1' : 'leave the word out where it does not hold';
    report(problem(code, place, `only ${String(wanted)} can stand here`, hint));
  } else {
    const isBoolean = schema instanceof z.ZodBoolean;
    const message = isBoolean ? 'true or false is wanted here' : (issue?.message ?? 'this cannot stand here');
    report(
      problem(isBoolean ? 'wrong-kind' : 'bad-figure', place, message, `for example: ${exampleOf(schema)}`),
    );
  }
  return undefined;
}

const isNothing = (node: Node): boolean => node.kind === 'scalar' && node.value === null;

const whatIs = (node: Node): string =>
  node.kind === 'scalar' ? 'a single value' : node.kind === 'list' ? 'a list' : 'words with values';

const metaOf = (schema: z.core.$ZodType): Record<string, unknown> => z.globalRegistry.get(schema) ?? {};

function limitOf(schema: z.core.$ZodType, which: 'maxItems' | 'maxProperties'): number {
  const limit = metaOf(schema)[which];
  return typeof limit === 'number' ? limit : Number.POSITIVE_INFINITY;
}

function titleOf(schema: z.core.$ZodType): string {
  const { title } = metaOf(schema);
  if (typeof title === 'string') return title;
  if (schema instanceof z.ZodEnum) return `one of ${schema.options.join(', ')}`;
  if (schema instanceof z.ZodBoolean) return 'true or false';
  return schema instanceof z.ZodArray
    ? 'a list'
    : schema instanceof z.ZodRecord
      ? 'names with values'
      : 'a value';
}

function exampleOf(schema: z.core.$ZodType): string {
  const { examples } = metaOf(schema);
  if (Array.isArray(examples) && examples.length > 0) return inBraces(examples[0]);
  if (schema instanceof z.ZodOptional || schema instanceof z.ZodLazy) return exampleOf(schema.unwrap());
  if (schema instanceof z.ZodArray) return `[ ${exampleOf(schema.element)} ]`;
  if (schema instanceof z.ZodRecord) return `{ name: ${exampleOf(schema.valueType)} }`;
  if (schema instanceof z.ZodUnion) return schema.options[0] ? exampleOf(schema.options[0]) : '…';
  if (schema instanceof z.ZodEnum) return String(schema.options[0]);
  if (schema instanceof z.ZodLiteral) return String([...schema.values][0]);
  return schema instanceof z.ZodBoolean ? 'true' : '{ … }';
}

/** An example as it would stand in a file: `{ probe: cream, falls to: 5 C }`. */
function inBraces(example: unknown): string {
  if (Array.isArray(example)) return `[ ${example.map(inBraces).join(', ')} ]`;
  if (typeof example !== 'object' || example === null) return String(example);
  return `{ ${Object.entries(example)
    .map(([word, value]) => `${word}: ${inBraces(value)}`)
    .join(', ')} }`;
}
