import { closeSync, constants, existsSync, fstatSync, openSync, readdirSync, readSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { fileDiagnostic, type Diagnostic, type SourceFile } from '../plan/index.ts';

/** The plans that come with the program. The bundle stands in `dist`, the sources in `src/cli`. */
const PLANS_FOLDER = [new URL('../plans/', import.meta.url), new URL('../../plans/', import.meta.url)]
  .map((url) => fileURLToPath(url))
  .find((folder) => existsSync(folder));

/** One byte more than a plan may have, so that a larger one is seen to be larger without being read whole. */
const READ_AT_MOST = 1024 * 1024 + 1;
const NAME = /^[\p{L}\p{N}][\p{L}\p{N} _-]{0,63}$/u;

/** Reads a file that may be anything: a folder, a pipe, something unreadable or huge. Never waits, never reads on for ever. */
export function readSource(file: string): SourceFile | Diagnostic {
  let handle: number | undefined;
  try {
    handle = openSync(file, constants.O_RDONLY | constants.O_NONBLOCK);
    const about = fstatSync(handle);
    if (about.isDirectory()) return fileDiagnostic(file, 'this is a folder, not a file');
    if (!about.isFile()) return fileDiagnostic(file, 'this is not an ordinary file');
    const buffer = Buffer.alloc(Math.min(READ_AT_MOST, about.size + 1));
    let length = 0;
    for (let read = 1; read > 0 && length < buffer.length; length += read) {
      read = readSync(handle, buffer, length, buffer.length - length, length);
    }
    return { file, bytes: new Uint8Array(buffer.subarray(0, length)) };
  } catch (error) {
    return fileDiagnostic(file, reasonOf(error));
  } finally {
    if (handle !== undefined) closeSync(handle);
  }
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EACCES: 'this file may not be read by you',
  EPERM: 'this file may not be read by you',
  ENOTDIR: 'there is no such file',
  ELOOP: 'its links go round in a circle',
  ENAMETOOLONG: 'that name is too long for a file',
};

/** Why the operating system refused, in words. */
export function reasonOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';
  return REASONS[code] ?? (error instanceof Error ? error.message : String(error));
}

/** A file as it was named on the command line, or the demo plan of that name where there is no such file. */
export function resolvePlan(named: string): string {
  if (existsSync(named) || PLANS_FOLDER === undefined || !NAME.test(named)) return named;
  const demos = [PLANS_FOLDER, join(PLANS_FOLDER, DEMONSTRATIONS)].map((folder) =>
    join(folder, `${named}.yaml`),
  );
  return demos.find((file) => existsSync(file)) ?? named;
}

/** In it are the demo plans that carry a demonstration. */
const DEMONSTRATIONS = 'demonstrations';

/** The names of the demo plans that carry a demonstration. */
export const demoDemonstrations = (): readonly string[] =>
  PLANS_FOLDER === undefined ? [] : namesIn(join(PLANS_FOLDER, DEMONSTRATIONS));

/** The demo plans' names, without those that carry a demonstration. */
export const demoPlans = (): readonly string[] => (PLANS_FOLDER === undefined ? [] : namesIn(PLANS_FOLDER));

/** The names of the kitchens that come with the program. */
export const demoKitchens = (): readonly string[] =>
  PLANS_FOLDER === undefined ? [] : namesIn(join(PLANS_FOLDER, 'kitchens'));

const namesIn = (folder: string): readonly string[] =>
  readdirSync(folder)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => basename(name, '.yaml'))
    .toSorted();

/** Finds a kitchen by its name: beside the plan, in a `kitchens` folder beside it, or among those that come with the program. */
export function findKitchenNear(
  planFiles: readonly string[],
): (name: string) => SourceFile | Diagnostic | undefined {
  return (name) => {
    if (!NAME.test(name)) return undefined;
    const folders = [
      ...planFiles.map((file) => dirname(file)),
      ...(PLANS_FOLDER === undefined ? [] : [PLANS_FOLDER]),
    ];
    const found = folders
      .flatMap((folder) => [join(folder, `${name}.yaml`), join(folder, 'kitchens', `${name}.yaml`)])
      .find((file) => existsSync(file) && !planFiles.includes(file));
    return found === undefined ? undefined : readSource(found);
  };
}
