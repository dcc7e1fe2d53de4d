import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { drawDiagnostic, loadWorkload, type SourceFile, type Workload } from '../../src/plan/index.ts';

const PLANS = fileURLToPath(new URL('../../plans/', import.meta.url));
const REFUSED = fileURLToPath(new URL('./refused/', import.meta.url));

const read = (folder: string, file: string): SourceFile => ({
  file,
  bytes: new Uint8Array(readFileSync(folder + file)),
});

const namesIn = (folder: string): string[] =>
  readdirSync(folder)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => name.replace('.yaml', ''));

/** The plans and kitchens that ship with the program, and the plans that are to be refused. */
export const demoPlans = namesIn(PLANS);
export const demoKitchens = namesIn(`${PLANS}kitchens/`);
export const refusedPlans = namesIn(REFUSED);

export const planText = (name: string): string => readFileSync(`${PLANS}${name}.yaml`, 'utf8');
export const kitchenFile = (name: string): SourceFile => read(`${PLANS}kitchens/`, `${name}.yaml`);

/** A plan, read and checked, and all that was found wrong with it as a person sees it. */
export function loadDemo(name: string, yields?: number): { workload?: Workload; drawn: string[] } {
  const folder = refusedPlans.includes(name) ? REFUSED : PLANS;
  const { workload, diagnostics, texts } = loadWorkload([read(folder, `${name}.yaml`)], {
    findKitchen: kitchenFile,
    timeZone: 'UTC',
    ...(yields === undefined ? {} : { yields }),
  });
  const drawn = diagnostics.map((found) => drawDiagnostic(found, texts.get(found.place.file) ?? ''));
  return { ...(workload ? { workload } : {}), drawn };
}

/** The workload of a plan that is sound. */
export function demoWorkload(name: string): Workload {
  const { workload, drawn } = loadDemo(name);
  if (!workload) throw new Error(drawn.join('\n'));
  return workload;
}
