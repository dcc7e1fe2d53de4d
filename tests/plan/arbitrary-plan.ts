import fc from 'fast-check';
import { stringify } from 'yaml';
import {
  formatDuration,
  formatTemperature,
  seconds,
  temperatureOf,
  type Temperature,
} from '../../src/units/index.ts';

/**
 * Plans made up together with what they mean: each arbitrary gives the words as they stand in a file (`words`) and
 * the part of the model that they must be read as (`means`), worked out without the reader.
 */
export interface Both<Words, Means> {
  readonly words: Words;
  readonly means: Means;
}
/** The yield of every made-up plan. */
const PIECES = 10;
type Fields = Both<Record<string, unknown>, Record<string, unknown>>;

/** Also left out: letters beyond U+FFFF, in the middle of which the library that writes these tests' YAML breaks lines. */
const UNSEEN = /[\p{C}\p{Zl}\p{Zp}\u{10000}-\u{10ffff}]/u;
const text = fc
  .string({ unit: 'grapheme', minLength: 1, maxLength: 40 })
  .map((value) => value.replaceAll(/\s+/gu, ' ').trim())
  .filter((value) => value !== '' && !UNSEEN.test(value));
/** Names that differ also where their random parts are alike. */
const name = (prefix: string) =>
  fc
    .string({
      unit: fc.constantFrom('a', 'b', 'x', 'Y', '0', '9', 'é', 'ж', 'ß', '餡', ' ', '-'),
      maxLength: 12,
    })
    .map((rest) => `${prefix}${rest}z`.replaceAll(/ +/g, ' '));

const length = (most: number) => fc.integer({ min: 1, max: most });
const inUnits = (value: number): fc.Arbitrary<string> => {
  const length = seconds(value);
  return fc.constantFrom(formatDuration(length), `${value} s`, `  ${value}s`, `${value} seconds`);
};
const span = (most: number) =>
  fc.tuple(fc.integer({ min: 0, max: most }), length(most)).map(([low, more]) => ({ low, high: low + more }));

const takes = span(20_000).chain(({ low, high }) =>
  fc
    .record({
      dash: fc.constantFrom(' - ', '-', ' to ', ' \u2013 '),
      from: inUnits(low),
      to: inUnits(high),
      usual: fc.option(fc.integer({ min: low, max: high }), { nil: undefined }),
    })
    .map(({ dash, from, to, usual }): Fields => ({
      words: { takes: `${from}${dash}${to}`, ...(usual !== undefined && { usually: `${usual} s` }) },
      means: {
        length: { kind: 'takes', range: { low, usual: usual ?? Math.round((low + high) / 2), high } },
        hands: 'free',
      },
    })),
);
const each = fc.integer({ min: 1, max: 600 }).map((per): Fields => ({
  words: { each: `${per} s` },
  means: {
    length: {
      kind: 'each',
      per,
      pieces: PIECES,
      range: { low: per * PIECES, usual: per * PIECES, high: per * PIECES },
    },
    hands: 'busy',
  },
}));
const rest = fc.oneof(
  span(80_000).map(({ low, high }): Fields => ({
    words: { rest: `${low} s - ${high} s` },
    means: { length: { kind: 'rest', atLeast: low, atMost: high }, hands: 'free' },
  })),
  length(80_000).map((atLeast): Fields => ({
    words: { rest: `at least ${formatDuration(seconds(atLeast))}` },
    means: { length: { kind: 'rest', atLeast }, hands: 'free' },
  })),
);
const temperature = (low: number, high: number): fc.Arbitrary<Temperature> =>
  fc
    .tuple(fc.integer({ min: low, max: high }), fc.constantFrom('C', 'F'))
    .map(([degrees, scale]) =>
      scale === 'C' ? temperatureOf(degrees, 'C') : temperatureOf(Math.round(degrees * 1.8 + 32) + 0, 'F'),
    );

const oven = fc
  .record({
    heat: fc.option(temperature(30, 400), { nil: undefined }),
    door: fc.constantFrom('shut', 'usable', 'ajar', undefined),
    shelves: fc.constantFrom(1, 2, undefined),
    oven: fc.constantFrom('deck', undefined),
  })
  .map(({ heat, door, shelves, oven: of }): Both<unknown, unknown> => ({
    words: {
      ...(heat ? { at: formatTemperature(heat) } : { off: true }),
      ...(door !== undefined && { door }),
      ...(shelves !== undefined && { shelves }),
      ...(of !== undefined && { oven: of }),
    },
    means: {
      ...(of !== undefined && { oven: of }),
      heat: heat ? { kind: 'at', temperature: heat } : { kind: 'off' },
      door: door ?? 'usable',
      shelves: shelves ?? 1,
    },
  }));

const reading = fc
  .record({
    to: temperature(-20, 180),
    goal: fc.constantFrom('reaches', 'falls to', 'between'),
    lasting: fc.option(length(90), { nil: undefined }),
  })
  .map(({ to, goal, lasting }): Fields => ({
    words: {
      [goal]: goal === 'between' ? `${to.figure}-${to.figure + 2} ${to.scale}` : formatTemperature(to),
      ...(lasting !== undefined && { for: `${lasting} s` }),
    },
    means: {
      goal:
        goal === 'between'
          ? { kind: goal, low: to, high: temperatureOf(to.figure + 2, to.scale) }
          : { kind: goal, to },
      lasting: lasting ?? 10,
    },
  }));
const probe = fc
  .record({ which: name('p'), read: reading, boils: fc.boolean() })
  .map(({ which, read, boils }): Both<unknown, unknown> => {
    const isBoiling = boils && !('falls to' in read.words);
    return {
      words: { probe: which, ...read.words, ...(isBoiling && { 'sea level': true }) },
      means: { kind: 'probe', probe: which, ...read.means, ...(isBoiling && { fromBoiling: true }) },
    };
  });
const join = fc
  .record({
    probes: fc.uniqueArray(name('p'), { minLength: 2, maxLength: 4 }),
    read: reading,
    apart: fc.option(fc.integer({ min: 1, max: 20 }), { nil: undefined }),
  })
  .map(({ probes, read, apart }): Both<unknown, unknown> => ({
    words: { probes, ...read.words, ...(apart !== undefined && { apart: `${apart} C` }) },
    means: { kind: 'join', probes, ...read.means, ...(apart !== undefined && { apart }) },
  }));
const cue = text.map((what): Both<unknown, unknown> => ({
  words: { cue: what },
  means: { kind: 'cue', text: what },
}));
const trigger = (depth: number): fc.Arbitrary<Both<unknown, unknown>> =>
  depth === 0
    ? fc.oneof(cue, probe, join)
    : fc.oneof(
        cue,
        probe,
        join,
        fc
          .tuple(fc.constantFrom('any', 'all'), fc.array(trigger(depth - 1), { minLength: 1, maxLength: 3 }))
          .map(([kind, of]) => ({
            words: { [kind]: of.map(({ words }) => words) },
            means: { kind, of: of.map(({ means }) => means) },
          })),
      );

const CLAIMS: readonly Both<unknown, { item: string; count: number }>[] = [
  { words: 'hob', means: { item: 'hob', count: 1 } },
  { words: { item: 'tray', count: 3 }, means: { item: 'tray', count: 3 } },
  { words: { item: 'fridge shelf' }, means: { item: 'fridge shelf', count: 1 } },
  { words: 'mixer', means: { item: 'mixer', count: 1 } },
];

const step = fc.record({
  name: name('s'),
  length: fc.oneof(takes, each, rest),
  hands: fc.constantFrom('busy', 'near', 'free', undefined),
  waits: fc.option(span(5000), { nil: undefined }),
  uses: fc.subarray([...CLAIMS]),
  oven: fc.option(oven, { nil: undefined }),
  until: fc.option(trigger(4), { nil: undefined }),
  turn: fc.constantFrom('half-way', '1 s', undefined),
  around: fc.option(temperature(-20, 90), { nil: undefined }),
  action: fc.option(text, { nil: undefined }),
  caution: fc.option(text, { nil: undefined }),
});
const component = fc.record({
  name: name('c'),
  title: fc.option(text, { nil: undefined }),
  cooling: fc.constantFrom('cooked', 'ambient', undefined),
  probe: fc.option(name('p'), { nil: undefined }),
  depth: fc.option(fc.integer({ min: 2, max: 300 }), { nil: undefined }),
  keeps: fc.option(fc.constant(400 * 86_400), { nil: undefined }),
  steps: fc.uniqueArray(step, { minLength: 1, maxLength: 5, selector: (made) => made.name }),
  /** Which earlier components its last step needs. */
  needs: fc.array(fc.nat(3), { maxLength: 3 }),
});

type Made<A> = A extends fc.Arbitrary<infer Value> ? Value : never;

const said = (fields: Record<string, unknown>): Record<string, unknown> =>
  Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));

/** When something is turned in the oven, where it can be: between the start and the shortest length. */
function turned({ oven: demand, turn, length: { means } }: Made<typeof step>): number | undefined {
  if (!demand || turn === undefined) return undefined;
  const made = means['length'] as { range?: { low: number; usual: number }; atLeast?: number };
  const [low, usual] = [made.range?.low ?? made.atLeast ?? 0, made.range?.usual ?? made.atLeast ?? 0];
  const at = turn === '1 s' ? 1 : Math.round(usual / 2);
  return at > 0 && at < low ? at : undefined;
}

function assembleStep(
  made: Made<typeof step>,
  id: string,
  isFirst: boolean,
  needs: readonly string[],
): Fields {
  const waits = isFirst ? undefined : made.waits;
  const turn = turned(made);
  const around = made.oven ? undefined : made.around;
  return {
    words: said({
      ...made.length.words,
      hands: made.hands,
      after: waits && `${waits.low} s`,
      within: waits && `${waits.high} s`,
      needs: needs.length === 1 ? needs[0] : needs.length > 0 ? needs : undefined,
      uses: made.uses.length > 0 ? made.uses.map(({ words }) => words) : undefined,
      oven: made.oven?.words,
      turn: turn && made.turn,
      around: around && formatTemperature(around),
      until: made.until?.words,
      do: made.action,
      caution: made.caution,
    }),
    means: said({
      id: `${id}.${made.name}`,
      component: id,
      name: made.name,
      action: made.action ?? made.name,
      length: made.length.means['length'],
      hands: made.hands ?? made.length.means['hands'],
      within: waits?.high,
      after: waits?.low ?? 0,
      uses: made.uses.map(({ means }) => means),
      holds: [],
      oven: made.oven?.means,
      turn,
      around: around?.celsius,
      until: made.until?.means,
      caution: made.caution,
    }),
  };
}

function assemble(components: readonly Made<typeof component>[]): Both<Record<string, unknown>, unknown[]> {
  const words: Record<string, unknown> = {};
  const means = components.map((made, index) => {
    const needed = [
      ...new Set(made.needs.flatMap((number) => (number < index ? (components[number] ?? []) : []))),
    ];
    const steps = made.steps.map((one, at) => {
      const isLast = at === made.steps.length - 1;
      const needs = isLast ? needed.map(({ name: other }) => other) : [];
      const { words: said, means: meant } = assembleStep(one, made.name, at === 0, needs);
      const lasts = isLast ? needed.map((other) => `${other.name}.${other.steps.at(-1)?.name}`) : [];
      return { words: { [one.name]: said }, means: { ...meant, needs: lasts } };
    });
    const { title, cooling, keeps, probe: stands, depth } = made;
    words[made.name] = said({
      title,
      cooling,
      probe: stands,
      depth: depth === undefined ? undefined : `${depth} mm`,
      keeps: keeps === undefined ? undefined : '400 d',
      steps: steps.map((one) => one.words),
    });
    return said({
      id: made.name,
      name: made.name,
      title: title ?? made.name,
      plan: 0,
      keeps,
      cooling,
      probe: stands,
      depth,
      steps: steps.map((one) => one.means),
    });
  });
  return { words, means };
}

/** The components of a plan on the test bench, and what they mean in the model, places left out. */
export const plan: fc.Arbitrary<Both<Record<string, unknown>, unknown[]>> = fc
  .uniqueArray(component, { minLength: 1, maxLength: 4, selector: (made) => made.name })
  .map(assemble);

/** Writes a plan as a person or a program might: in braces or indented, on long or short lines, quoted or not. */
export const writing = fc
  .record({
    collectionStyle: fc.constantFrom<'any' | 'block' | 'flow'>('any', 'block', 'flow'),
    defaultStringType: fc.constantFrom<'PLAIN' | 'QUOTE_DOUBLE' | 'QUOTE_SINGLE' | 'BLOCK_FOLDED'>(
      'PLAIN',
      'QUOTE_DOUBLE',
      'QUOTE_SINGLE',
      'BLOCK_FOLDED',
    ),
    lineWidth: fc.constantFrom(0, 30, 80),
    indent: fc.constantFrom(2, 4),
    indentSeq: fc.boolean(),
  })
  .map(
    (style) =>
      (components: Record<string, unknown>, head: Record<string, unknown> = { kitchen: 'bench' }): string =>
        stringify(
          { thirdhand: 1, title: 'Made up', makes: `${PIECES} buns`, ...head, components },
          { ...style, defaultKeyType: 'PLAIN', aliasDuplicateObjects: false },
        ),
  );
