// `npm test`, `npm run test:slow` and `npm run test:all`: runs the quick set, the rest, or both, passes further arguments to
// vitest, and reports at the end which tests were skipped and which external tools were missing.

import { existsSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { configDefaults } from 'vitest/config'
import { parseCLI, type Reporter, startVitest } from 'vitest/node'
import { buildWindowIfNeeded } from '../app/scripts/build-window.ts'
import { type Crash, crashesIn } from './crashed-suites.ts'
import { SKIPPED_MARK } from './require-tool.ts'
import { HASHED_FILE, HASHED_KINDS } from './unharmed-takes.ts'

/** Not in the quick set: browser tests and slow tests. With CI=true one that fails is run again, and named at the end. */
const SLOW_TESTS = ['test/window/**/*.test.ts', 'test/**/*.slow.test.ts']

const [set, ...words] = process.argv.slice(2)
if (set !== 'quick' && set !== 'slow' && set !== 'all') {
  console.error('Usage: node test/run.ts quick|slow|all [vitest arguments]')
  process.exit(2)
}

/** What the tests reported as missing, without duplicates. */
const missing = new Set<string>()
/** Number of skipped tests by file. */
const skipped = new Map<string, number>()
/** Tests that failed, and passed when they were run again. */
const flaky: string[] = []
const listener: Reporter = {
  onUserConsoleLog({ content }) {
    for (const line of content.split('\n')) {
      const [, what] = line.split(SKIPPED_MARK)
      if (what !== undefined) missing.add(what.split(';')[0].trim())
    }
  },
  onTestRunEnd(modules) {
    for (const module of modules) {
      const count = [...module.children.allTests('skipped')].length
      if (count > 0) skipped.set(module.relativeModuleId, count)
      for (const test of module.children.allTests('passed'))
        if (test.diagnostic()?.flaky) flaky.push(`${module.relativeModuleId}: ${test.fullName}`)
    }
  },
}

// Built once before all suites, so that no two of them build it at the same time.
await buildWindowIfNeeded((message) => console.log(message))

const hashedFile = join(tmpdir(), `takeloft-hashed-${process.pid}`)
process.env[HASHED_FILE] = hashedFile

const { filter, options } = parseCLI(['vitest', 'run', ...words])

/** @returns the crashes, or null when something else failed or nothing did */
async function runSuites(files: string[]): Promise<Crash[] | null> {
  const vitest = await startVitest('test', files, {
    ...options,
    watch: false,
    ...(set === 'slow' ? { include: SLOW_TESTS, retry: process.env.CI === 'true' ? 1 : 0 } : {}),
    exclude: [...configDefaults.exclude, ...(set === 'quick' ? SLOW_TESTS : [])],
    reporters: ['default', listener],
  })
  const errors = vitest.state.getUnhandledErrors()
  const crashes = vitest.state.getCountOfFailedTests() > 0 || errors.length === 0 ? null : crashesIn(errors)
  await vitest.close()
  return crashes
}

const crashes = await runSuites(filter)
if (crashes !== null) {
  process.exitCode = 0
  await runSuites(crashes.map(({ file }) => file))
  for (const { signal, file } of crashes)
    console.log(`CRASHED: ${signal} ended the process of ${file}, and it was run a second time.`)
}

for (const name of flaky) console.log(`FAILED ONCE, and passed when it was run again: ${name}`)

const hashed = existsSync(hashedFile) ? readFileSync(hashedFile, 'utf8').trim().split('\n') : []
rmSync(hashedFile, { force: true })
const [takes, inputs, outputs] = HASHED_KINDS.map((kind) =>
  hashed.reduce((sum, line) => sum + (line.startsWith(`${kind} `) ? Number(line.slice(kind.length)) : 0), 0),
)
console.log(
  `${takes} takes, ${inputs} inputs and ${outputs} files that went out in bounces, deliveries and archives were hashed after their tests; a test fails if one has changed.`,
)

if (set === 'quick')
  console.log(
    `Not in the quick set (run "npm run test:slow" or "npm run test:all"): ${SLOW_TESTS.join(', ')}`,
  )
if (missing.size + skipped.size > 0) {
  const line = '!'.repeat(100)
  console.log(
    [
      line,
      'SKIPPED, so not everything was checked:',
      ...[...skipped].map(([file, count]) => `  ${count} tests of ${file}`),
      ...[...missing].map((what) => `  because ${what}`),
      line,
    ].join('\n'),
  )
}
