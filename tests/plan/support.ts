import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import {
  loadWorkload,
  type Diagnostic,
  type LoadOptions,
  type SourceFile,
  type Step,
  type Workload,
} from '../../src/plan/index.ts';

// The same cases in every run; another seed finds others: SEED=7 npx vitest run tests/plan
fc.configureGlobal({ seed: Number(process.env['SEED'] ?? 1) });

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
export const sourceOf = (file: string, text: string): SourceFile => ({ file, bytes: bytesOf(text) });

const folder = (name: string): string => fileURLToPath(new URL(`../plans/${name}/`, import.meta.url));

/** Every file of a folder of test plans. */
export const plansIn = (name: string): SourceFile[] =>
  readdirSync(folder(name))
    .toSorted()
    .map((file) => ({ file, bytes: new Uint8Array(readFileSync(`${folder(name)}${file}`)) }));

const bench = plansIn('kitchens').find(({ file }) => file === 'bench.yaml');

/** Finds the test kitchens by name. */
const findTestKitchen = (name: string): SourceFile | undefined => (name === 'bench' ? bench : undefined);

export function load(
  files: SourceFile | readonly SourceFile[],
  options: Partial<LoadOptions> = {},
): ReturnType<typeof loadWorkload> {
  const given = 'bytes' in files ? [files] : files;
  return loadWorkload(given, { findKitchen: findTestKitchen, timeZone: 'UTC', ...options });
}

export const loadText = (text: string, options?: Partial<LoadOptions>): ReturnType<typeof loadWorkload> =>
  load(sourceOf('test.yaml', text), options);

/** The workload of a text that must be right. */
export function workloadOf(text: string, options?: Partial<LoadOptions>): Workload {
  const { workload, diagnostics } = loadText(text, options);
  if (!workload) throw new Error(diagnostics.map(told).join('\n'));
  return workload;
}

/** `code line:column` */
export const told = ({ code, place }: Diagnostic): string => `${code} ${place.line}:${place.column}`;

/** A plan on the test bench with these components, written as YAML indented by two. */
export const planWith = (components: string, head = ''): string =>
  `thirdhand: 1\ntitle: Test bake\nmakes: 10 buns\nkitchen: bench\n${head}components:\n${components}`;

/** A plan of one component "cream" with a first step "cook" and then these steps, each `name: { … }`. */
export const stepsPlan = (...steps: readonly string[]): string =>
  planWith(
    `  cream:\n    steps:\n${['cook: { takes: 9 min }', ...steps].map((step) => `      - ${step}\n`).join('')}`,
  );

/** The step that these attributes make, as the second of a component. */
export function stepWith(attributes: string, options?: Partial<LoadOptions>): Step {
  const step = workloadOf(stepsPlan(`stir: { ${attributes} }`, 'last: { rest: 0-1 h }'), options)
    .components[0]?.steps[1];
  if (!step) throw new Error('the step was lost');
  return step;
}
