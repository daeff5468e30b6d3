import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts', 'test/**/*.test.tsx'],
    globalSetup: 'test/strip-once.ts',
    // Two workers: the suites start worker threads and browsers of their own.
    maxWorkers: 2,
    testTimeout: 180_000,
    hookTimeout: 180_000,
  },
})
