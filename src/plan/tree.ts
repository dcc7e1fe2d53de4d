import {
  Composer,
  CST,
  isMap,
  isScalar,
  isSeq,
  Lexer,
  Parser,
  type ParsedNode,
  type Scalar,
  type YAMLMap,
  type YAMLParseError,
} from 'yaml';
import { problem, type Report } from './diagnostic.ts';
import type { Place } from './model.ts';
import { nothingSaid, type SourceText } from './source.ts';

/** A value as it stands in a file. YAML is known to this file alone. */
export type Node = ScalarNode | ListNode | MapNode;

interface ScalarNode {
  readonly kind: 'scalar';
  readonly value: string | number | boolean | null;
  /** As it was written, without quotes. */
  readonly written: string;
  readonly place: Place;
}

export interface ListNode {
  readonly kind: 'list';
  readonly items: readonly Node[];
  readonly place: Place;
}

export interface MapNode {
  readonly kind: 'map';
  /** In the order of the file; of a repeated key the first. */
  readonly entries: ReadonlyMap<string, MapEntry>;
  /** Written with braces. */
  readonly flow: boolean;
  readonly place: Place;
}

interface MapEntry {
  readonly keyPlace: Place;
  readonly value: Node;
}

/** Deeper nesting than a plan can need: top, components, component, steps, step, attributes, until and four more of any/all. */
const MAX_DEPTH = 32;
/** A plan of 2,000 short steps has some 40,000 tokens, a demo plan 3,000. A million would take a second to read. */
const MAX_TOKENS = 50_000;
/** The longest single token but for comments; texts that may stand in a plan are far shorter. */
const MAX_TOKEN_LENGTH = 10_000;
/** Token types that make a file more than plain words and values. */
const NOT_PLAIN: Readonly<Record<string, string>> = {
  anchor: 'an anchor (&)',
  alias: 'an alias (*)',
  tag: 'a tag (!)',
  'directive-line': 'a directive (%)',
};

/** Reads a file's text as one tree of plain values, or reports what is in the way and gives nothing. */
export function readTree(source: SourceText, report: Report): Node | undefined {
  const tokens = readTokens(source, report);
  if (!tokens) return undefined;
  const composer = new Composer({
    version: '1.2',
    schema: 'core',
    // The library compares each key with each other, which a hostile file can make slow; duplicates are found below.
    uniqueKeys: false,
    logLevel: 'silent',
    prettyErrors: false,
  });
  const [document] = composer.compose(tokens, true, source.text.length);
  const errors = document?.errors ?? [];
  // Of several complaints about one line the first is the cause.
  const lines = new Set<number>();
  for (const error of errors) {
    const place = source.placeOf(error.pos[0], Math.min(error.pos[1], source.text.length));
    if (!lines.has(place.line)) report(yamlProblem(error, place));
    lines.add(place.line);
  }
  if (errors.length > 0) return undefined;
  const root: ParsedNode | null = document?.contents ?? null;
  if (root !== null && !(isScalar(root) && root.value === null)) return convert(root, source, report);
  report(nothingSaid(source.file));
  return undefined;
}

/** Lexes and groups the text without recursion, and stops at whatever could grow without bound further on. */
function readTokens(source: SourceText, report: Report): CST.Token[] | undefined {
  const parser = new Parser();
  const tokens: CST.Token[] = [];
  const placeFrom = (start: number, length = 1): Place => source.placeOf(start, start + length);
  let [count, plain, insideScalar, documentEnded] = [0, true, false, false];
  for (const lexeme of new Lexer().lex(source.text)) {
    const start = parser.offset;
    count += 1;
    if (count > MAX_TOKENS || (lexeme.length > MAX_TOKEN_LENGTH && !lexeme.startsWith('#'))) {
      const what = count > MAX_TOKENS ? 'too many words and values' : 'too long a text';
      const message = `from here on this file has ${what} for a plan`;
      report(problem('too-large', placeFrom(start), message, 'split the plan'));
      return undefined;
    }
    const refused = insideScalar ? undefined : NOT_PLAIN[CST.tokenType(lexeme) ?? ''];
    if (refused !== undefined) {
      const message = `${refused} stands here; plans have none`;
      report(problem('not-plain', placeFrom(start, lexeme.length), message, plainHint(lexeme)));
      plain = false;
    }
    insideScalar = !insideScalar && lexeme === CST.SCALAR;
    for (const token of parser.next(lexeme)) {
      tokens.push(token);
      documentEnded ||= token.type === 'document';
    }
    if (parser.stack.length > MAX_DEPTH) {
      const message = 'values are nested too deep here';
      report(problem('too-deep', placeFrom(start), message, 'a plan needs no more than a dozen levels'));
      return undefined;
    }
    const [open] = parser.stack;
    if (documentEnded && open?.type === 'document') {
      const place = placeFrom(open.offset, 3);
      report(problem('several-documents', place, 'a second document begins here', 'one plan to a file'));
      return undefined;
    }
  }
  for (const token of parser.end()) tokens.push(token);
  return plain ? tokens : undefined;
}

const plainHint = (lexeme: string): string =>
  lexeme.startsWith('%')
    ? 'leave the line out'
    : 'write it out in full; a text that begins with this character needs quotes';

function yamlProblem(error: YAMLParseError, place: Place) {
  const unclosed = / end with an? (.)/.exec(error.message) ?? /closing (.)quote/.exec(error.message);
  if (unclosed) {
    const message = 'a bracket or quote that was opened before this is not closed';
    return problem('bad-yaml', place, message, `close it with ${unclosed[1]}`);
  }
  const [message, hint] = YAML_WORDS[error.code] ?? [error.message, 'see the examples of the plan language'];
  return problem('bad-yaml', place, message, hint);
}

const INDENT = 'lines that belong together begin in the same column; use spaces, not tabs';
const QUOTE = 'put a text with special characters in double quotes';
const YAML_WORDS: Partial<Record<YAMLParseError['code'], readonly [message: string, hint: string]>> = {
  BAD_DQ_ESCAPE: ['this backslash sequence means nothing', 'write a backslash as \\\\'],
  BAD_INDENT: ['this line is not indented as its neighbours are', INDENT],
  BAD_SCALAR_START: ['a text cannot begin with this character', QUOTE],
  BLOCK_AS_IMPLICIT_KEY: ['a second ":" on one line', 'put a text that has ": " in it in double quotes'],
  BLOCK_IN_FLOW: ['an indented block inside braces', 'close the brace first'],
  MISSING_CHAR: ['something is missing here: a comma, a colon, or a space after one', QUOTE],
  MULTILINE_IMPLICIT_KEY: ['a word before ":" runs over two lines', 'is a ":" missing on the line before?'],
  TAB_AS_INDENT: ['a tab indents this line', INDENT],
  UNEXPECTED_TOKEN: ['this does not belong here', `${QUOTE}; close each bracket you open`],
  BAD_COLLECTION_TYPE: ['brackets do not match', 'close { with } and [ with ]'],
  KEY_OVER_1024_CHARS: ['a word before ":" is over 1024 characters long', 'is a quote missing?'],
};

function convert(node: ParsedNode, source: SourceText, report: Report): Node {
  const place = source.placeOf(node.range[0], node.range[1]);
  if (isMap(node)) return convertMap(node as YAMLMap.Parsed, place, source, report);
  if (isSeq(node)) {
    return {
      kind: 'list',
      items: node.items.map((item) => convert(item as ParsedNode, source, report)),
      place,
    };
  }
  if (isScalar(node)) return convertScalar(node, place);
  throw new Error('an alias was let through');
}

function convertMap(node: YAMLMap.Parsed, place: Place, source: SourceText, report: Report): MapNode {
  const entries = new Map<string, MapEntry>();
  for (const pair of node.items) {
    const keyPlace = source.placeOf(pair.key.range[0], pair.key.range[1]);
    if (!isScalar(pair.key)) {
      report(problem('bad-yaml', keyPlace, 'a word is wanted before ":", not a list or a map', QUOTE));
      continue;
    }
    const key = convertScalar(pair.key, keyPlace).written;
    const first = entries.get(key);
    if (first) {
      const message = `"${key}" stands here a second time; the first is on line ${first.keyPlace.line}`;
      report(problem('duplicate-key', keyPlace, message, 'keep one of them'));
      continue;
    }
    const value = pair.value === null ? undefined : convert(pair.value, source, report);
    const nothing =
      value === undefined || (value.kind === 'scalar' && value.written === '' && value.value === null);
    entries.set(key, { keyPlace, value: nothing ? emptyAt(keyPlace) : value });
  }
  return { kind: 'map', entries, flow: node.flow === true, place };
}

const emptyAt = (place: Place): ScalarNode => ({ kind: 'scalar', value: null, written: '', place });

function convertScalar(node: Scalar, place: Place): ScalarNode {
  const { value } = node;
  const known = typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean';
  return {
    kind: 'scalar',
    value: known ? value : null,
    written: typeof value === 'string' ? value : (node.source ?? ''),
    place,
  };
}

/** The place of something inside a node; of the nearest thing around it where it is not there. */
export function placeWithin(node: Node, ...path: readonly (string | number)[]): Place {
  let at = node;
  let place = node.place;
  for (const part of path) {
    const inner: Node | undefined =
      at.kind === 'map'
        ? at.entries.get(String(part))?.value
        : at.kind === 'list'
          ? at.items[Number(part)]
          : undefined;
    if (!inner) return place;
    [at, place] = [inner, inner.place];
  }
  return place;
}

/** The place of a word itself, not of its value. */
export const keyPlaceIn = (node: Node, key: string): Place =>
  (node.kind === 'map' ? node.entries.get(key)?.keyPlace : undefined) ?? node.place;
