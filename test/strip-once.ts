// Set up once before all suites: strips the types of the worker threads' sources into Node's compile cache, which the
// suites' threads then read. Node strips types with WebAssembly, and V8 of Node 24 can end the whole process (SIGTRAP
// or SIGSEGV) when several threads do so at once while others end. The command line uses such a cache anyway.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

const ENTRIES = ['render-worker', 'chain-helper', 'playback-worker'].map(
  (name) => new URL(`../app/workers/${name}.ts`, import.meta.url).href,
)

/** Loads the sources in threads, one after another, because only what a thread has loaded is in its cache. */
const LOADING = `
  const { Worker } = require('node:worker_threads')
  const load = async () => {
    for (const entry of ${JSON.stringify(ENTRIES)}) {
      const source = 'import(' + JSON.stringify(entry) + ').then(() => process.exit(0))'
      await new Promise((resolve, reject) => {
        new Worker(source, { eval: true, workerData: {} }).on('exit', resolve).on('error', reject)
      })
    }
  }
  load()
`

const cache = mkdtempSync(join(tmpdir(), 'takeloft-stripped-'))

/** Called by vitest before all suites. */
export function setup(): void {
  // Inherited by the processes of the suites.
  process.env.NODE_COMPILE_CACHE = cache
  execFileSync(process.execPath, ['-e', LOADING], { stdio: 'inherit' })
}

/** Called by vitest after all suites. */
export function teardown(): void {
  rmSync(cache, { recursive: true, force: true })
}
