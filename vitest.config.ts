import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    globalSetup: ['tests/support/build.ts'],
    pool: 'threads',
    testTimeout: 20_000,
    env: { NODE_ENV: 'production', TZ: 'UTC' },
  },
});
