#!/usr/bin/env node
// Starts the command line. Plain JavaScript, because it has to run on any Node version: where that version
// cannot run TypeScript, it starts the installed Node instead, or reports that a newer one is needed.

import { spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { setFlagsFromString } from 'node:v8'

/** They render on every processor, and their hot code runs in the kernels. */
const RENDERING_VERBS = ['bounce', 'process', 'verify']

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP']

// Until the program is loaded and handles signals itself.
for (const signal of SIGNALS) process.on(signal, endCancelled)

const [major, minor] = process.versions.node.split('.').map(Number)
if (major > 22 || (major === 22 && minor >= 18)) {
  // Optimizing the code around the kernels as early as usual (after 3000 calls) takes more processor time
  // than it saves over a song. Set before the cache below, whose entries are valid only for the same flags.
  if (RENDERING_VERBS.includes(process.argv[2])) setFlagsFromString('--invocation-count-for-turbofan=100000')
  // Most of the start-up time is type stripping and compiling, which Node can cache for the next start.
  try {
    const { cacheCompiledCode } = await import('../compile-cache.mjs')
    cacheCompiledCode()
    // Loaded first, so that an interrupt while the rest is loading is handled in the same way.
    const { takeChargeOfEnding } = await import('./talk.ts')
    takeChargeOfEnding()
    for (const signal of SIGNALS) process.off(signal, endCancelled)
    await import('./main.ts')
  } catch (error) {
    process.stderr.write(sentenceOf(error))
    process.exitCode = 2
  }
} else {
  const name = process.platform === 'win32' ? 'node.exe' : 'node'
  const pinned = fileURLToPath(new URL(`../../../node_modules/node/bin/${name}`, import.meta.url))
  if (existsSync(pinned)) {
    const run = spawn(pinned, [fileURLToPath(import.meta.url), ...process.argv.slice(2)], {
      stdio: 'inherit',
    })
    // A signal to this process is meant for the one it has started.
    for (const signal of SIGNALS) {
      process.off(signal, endCancelled)
      process.on(signal, () => run.kill(signal))
    }
    run.on('error', (error) => {
      process.stderr.write(`Takeloft could not be started: ${error.message}\n`)
      process.exitCode = 2
    })
    run.on('exit', (status, signal) => {
      // The signal arrived before the started process could handle it.
      if (SIGNALS.includes(signal)) endCancelled()
      if (signal) process.stderr.write(`Takeloft was ended by ${signal}.\n`)
      process.exitCode = status ?? 2
    })
  } else {
    process.stderr.write(
      `Takeloft needs Node 22.18 or newer, and this is ${process.versions.node}; run "npm ci" in its folder to get one.\n`,
    )
    process.exitCode = 2
  }
}

function endCancelled() {
  const message = 'Cancelled.'
  if (process.argv.includes('--json')) {
    process.stdout.write(`${JSON.stringify({ failure: { code: 'cancelled', message, details: {} } })}\n`)
  }
  process.stderr.write(`${message}\n`)
  process.exit(2)
}

/** One sentence where a file of the program cannot be loaded; for any other error, also its stack. */
function sentenceOf(error) {
  const isUnloadable = typeof error?.code === 'string' || error instanceof SyntaxError
  return isUnloadable
    ? `Takeloft could not be started, because a file of it cannot be loaded (${error.message.split('\n')[0]}); install it again with "npm ci", or give this user permission to read it.\n`
    : `Takeloft could not be started: ${error?.stack ?? error}\n`
}
