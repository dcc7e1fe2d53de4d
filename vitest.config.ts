import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    globalSetup: ['tests/support/build.ts'],
    pool: 'threads',
    // By default one core is left free, which on a machine of two is half of them.
    maxWorkers: '100%',
    testTimeout: 20_000,
    env: { NODE_ENV: 'production', TZ: 'UTC' },
  },
});
