import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts', 'test/**/*.test.tsx'],
    globalSetup: 'test/strip-once.ts',
    // Two workers: the suites start worker threads and browsers of their own.
    maxWorkers: 2,
    // The default of a second is too short where the machine has other work.
    expect: { poll: { timeout: 15_000 } },
    testTimeout: 180_000,
    hookTimeout: 180_000,
  },
})
