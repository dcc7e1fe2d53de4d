import type { PlanWords } from './components.ts';
import { problem, sortDiagnostics, type Diagnostic, type Report } from './diagnostic.ts';
import { readAs } from './read.ts';
import { MAX_STEPS, planShape } from './shape.ts';
import { readText, showableText, type SourceFile } from './source.ts';
import { readTree, type MapNode, type Node } from './tree.ts';

/** What reading gives: all problems of all files, and beside it the value where none of them is an error. */
export interface Loaded {
  /** By file and place. */
  readonly diagnostics: readonly Diagnostic[];
  /** The text of each file that was read, for drawing the diagnostics. */
  readonly texts: ReadonlyMap<string, string>;
}

/** The files of one load, and where their problems go. */
export interface Reading {
  readonly report: Report;
  readonly texts: Map<string, string>;
}

/** A file with more problems than this is not a plan with slips in it, and each costs time to explain. */
const MAX_PROBLEMS = 100;

/** Thrown and caught here alone: no reading goes on after too many problems. */
class Enough extends Error {}

/** Does the work of one load, gathers its problems, and gives its value where none of them is an error. */
export function gather<Value>(
  work: (reading: Reading) => Value | undefined,
): Loaded & { readonly value?: Value } {
  const found: Diagnostic[] = [];
  const texts = new Map<string, string>();
  const report: Report = (diagnostic) => {
    found.push(diagnostic);
    if (found.length >= MAX_PROBLEMS) throw new Enough();
  };
  let value: Value | undefined;
  try {
    value = work({ report, texts });
  } catch (error) {
    if (!(error instanceof Enough)) throw error;
    value = undefined;
  }
  const diagnostics = sortDiagnostics(found, [...texts.keys()]);
  const last = diagnostics.at(-1);
  if (last && found.length >= MAX_PROBLEMS) {
    const message = `reading stopped after ${MAX_PROBLEMS} problems`;
    diagnostics.push(problem('too-large', last.place, message, 'mend these first'));
  }
  const failed = diagnostics.some(({ severity }) => severity === 'error');
  return { diagnostics, texts, ...(value !== undefined && !failed && { value }) };
}

/** Reads a file as far as its tree of values. */
export function treeOf(file: SourceFile, reading: Reading): Node | undefined {
  reading.texts.set(file.file, showableText(file));
  const text = readText(file, reading.report);
  return text && readTree(text, reading.report);
}

/** A plan file as read word by word. */
export interface PlanReading {
  /** The file's name without its ending, unique in the load. */
  readonly name: string;
  readonly file: string;
  /** The plan's place among the files that were given. */
  readonly index: number;
  readonly tree: MapNode;
  readonly words: PlanWords;
}

/** Words that a kitchen file begins with and a plan does not know. */
const KITCHEN_WORDS = new Set(['cooks', 'near', 'ovens', 'hobs', 'cold', 'tools']);

export function readPlan(
  file: SourceFile,
  index: number,
  name: string,
  reading: Reading,
): PlanReading | undefined {
  const { report } = reading;
  const tree = treeOf(file, reading);
  if (!tree) return undefined;
  if (tree.kind !== 'map') {
    const what = tree.kind === 'list' ? 'a list' : 'a single value';
    report(
      problem(
        'wrong-kind',
        tree.place,
        `a plan begins with words, not with ${what}`,
        'begin with "thirdhand: 1"',
      ),
    );
    return undefined;
  }
  const kitchenWord = [...tree.entries.keys()].find((word) => KITCHEN_WORDS.has(word));
  if (kitchenWord !== undefined && !tree.entries.has('components')) {
    const place = tree.entries.get(kitchenWord)?.keyPlace ?? tree.place;
    report(problem('wrong-kind', place, 'this is a kitchen, not a plan', 'give the kitchen with --kitchen'));
    return undefined;
  }
  if (stepCount(tree) > MAX_STEPS) {
    const place = tree.entries.get('components')?.keyPlace ?? tree.place;
    report(problem('too-large', place, `the plan has over ${MAX_STEPS} steps`, 'split the plan'));
    return undefined;
  }
  const words = readAs(tree, planShape, report);
  return words && { name, file: file.file, index, tree, words };
}

/** How many steps a plan's tree has, before anything is known of them. */
export function stepCount(tree: MapNode): number {
  const components = tree.entries.get('components')?.value;
  let count = 0;
  for (const { value } of components?.kind === 'map' ? components.entries.values() : []) {
    const steps = value.kind === 'map' ? value.entries.get('steps')?.value : undefined;
    if (steps?.kind === 'list') count += steps.items.length;
  }
  return count;
}

/** Names for plans: of each file its name without its ending, of equal ones the second with -2, the third with -3. */
export function uniqueNames(files: readonly SourceFile[]): string[] {
  const taken = new Set<string>();
  return files.map(({ file }) => {
    const base = plainName(file);
    let name = base;
    for (let count = 2; taken.has(name); count += 1) name = `${base}-${count}`;
    taken.add(name);
    return name;
  });
}

/** A file's name without folders and ending, kept to what a name may have in it. */
function plainName(file: string): string {
  const last = file.split(/[/\\]/).at(-1) ?? '';
  const kept = last
    .replace(/\.ya?ml$/i, '')
    .replaceAll(/[^\p{L}\p{M}\p{N} -]+/gu, '-')
    .slice(0, 60)
    .replaceAll(/^[ -]+|[ -]+$/g, '');
  return kept === '' ? 'plan' : kept;
}
