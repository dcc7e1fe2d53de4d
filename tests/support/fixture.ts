import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import * as esbuild from 'esbuild';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** A program of the tests, bundled as the product is, so that plain Node runs it. */
export interface Fixture {
  readonly file: string;
  readonly remove: () => void;
}

/** Bundles `tests/support/<name>.ts` for Node, production mode, into a folder of its own. */
export async function bundleFixture(name: string): Promise<Fixture> {
  const folder = mkdtempSync(join(tmpdir(), 'thirdhand-fixture-'));
  const file = join(folder, `${name}.mjs`);
  await esbuild.build({
    absWorkingDir: root,
    entryPoints: [`tests/support/${name}.ts`],
    outfile: file,
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: 'node24',
    jsx: 'automatic',
    logLevel: 'warning',
    define: { 'process.env.NODE_ENV': '"production"' },
    alias: { 'react-devtools-core': './scripts/empty-module.ts' },
    banner: {
      js: "import { createRequire as fixtureRequire } from 'node:module'; const require = fixtureRequire(import.meta.url); const __dirname = import.meta.dirname;",
    },
  });
  return { file, remove: () => rmSync(folder, { recursive: true, force: true }) };
}
