import { fileURLToPath } from 'node:url';
import * as esbuild from 'esbuild';

const root = fileURLToPath(new URL('..', import.meta.url));

/**
 * Bundles the program into `dist/thirdhand.js`, and beside it the threads that work out new timetables, look ahead and play many rehearsals, which
 * need less and are begun in a moment.
 *
 * React and Ink choose their production code by NODE_ENV when they load, so it is fixed here; Ink's optional
 * development tools are replaced by an empty module, and CommonJS dependencies get a `require` of their own.
 */
export async function build(): Promise<void> {
  await esbuild.build({
    absWorkingDir: root,
    entryPoints: {
      thirdhand: 'src/cli/main.ts',
      'replan-worker': 'src/keeper/replan-worker.ts',
      'forecast-worker': 'src/keeper/forecast-worker.ts',
      'many-worker': 'src/cli/many-worker.ts',
    },
    outdir: 'dist',
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: 'node24',
    jsx: 'automatic',
    minifySyntax: true,
    legalComments: 'none',
    logLevel: 'warning',
    // The program fetches nothing. Where `fetch` is there, the layout engine decodes itself through it, which loads an
    // HTTP client at every start (some 27 ms).
    define: { 'process.env.NODE_ENV': '"production"', fetch: 'undefined' },
    // One finds its helpers for macOS and Windows beside its own files; the other is large and rarely wanted. Both stay packages of their own.
    external: ['node-notifier', 'mqtt'],
    alias: { 'react-devtools-core': './scripts/empty-module.ts' },
    banner: {
      js: "import { createRequire as thirdhandRequire } from 'node:module'; const require = thirdhandRequire(import.meta.url);",
    },
  });
}

if (process.argv[1] === fileURLToPath(import.meta.url)) await build();
