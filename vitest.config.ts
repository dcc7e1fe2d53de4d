import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    globalSetup: ['tests/support/build.ts'],
    pool: 'forks',
    // Processes, since two threads cannot both have pseudo-terminals; on all cores, where by default one is left free.
    maxWorkers: '100%',
    // One process does many files, which are pure or put back what they touch: starting one for each took a quarter of the time.
    isolate: false,
    testTimeout: 20_000,
    env: { NODE_ENV: 'production', TZ: 'UTC' },
  },
});
