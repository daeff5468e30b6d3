#!/usr/bin/env node
// Starts the command line. Plain JavaScript, because it has to run on any Node to say or do
// the right thing about its version: Takeloft needs one that runs TypeScript.

import { spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import * as nodeModule from 'node:module'
import { fileURLToPath } from 'node:url'
import { setFlagsFromString } from 'node:v8'

/** They render on every processor, and all that is hot then runs in kernels. */
const RENDERING_VERBS = ['bounce', 'process', 'verify']

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP']

// Until the program is loaded and listens itself.
for (const signal of SIGNALS) process.on(signal, endCancelled)

const [major, minor] = process.versions.node.split('.').map(Number)
if (major > 22 || (major === 22 && minor >= 18)) {
  // Optimizing the code around the kernels as early as usual (after 3000 calls) takes more of the
  // processors' time than that code gives back over a song. Before the cache below, whose entries hold for the same flags alone.
  if (RENDERING_VERBS.includes(process.argv[2])) setFlagsFromString('--invocation-count-for-turbofan=100000')
  // What a start costs is mostly the stripping and compiling of sources; Node keeps that for
  // the next one. In the environment, so that worker threads find it too; where it already says a folder,
  // that is the user's choice.
  try {
    const { privateCompileCache } = await import('./compile-cache.mjs')
    const cache = process.env.NODE_COMPILE_CACHE ?? privateCompileCache()
    if (cache) {
      process.env.NODE_COMPILE_CACHE = cache
      nodeModule.enableCompileCache(cache)
    }
    // First of all, so that an interrupt while the rest is loaded ends in the same way.
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
    // Whoever ends this one means the other.
    for (const signal of SIGNALS) {
      process.off(signal, endCancelled)
      process.on(signal, () => run.kill(signal))
    }
    run.on('error', (error) => {
      process.stderr.write(`Takeloft could not be started: ${error.message}\n`)
      process.exitCode = 2
    })
    run.on('exit', (status, signal) => {
      // Before it could listen.
      if (SIGNALS.includes(signal)) endCancelled()
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

/** A file of the program that cannot be loaded is told in a sentence; what else went wrong, with its place as well. */
function sentenceOf(error) {
  const isUnloadable = typeof error?.code === 'string' || error instanceof SyntaxError
  return isUnloadable
    ? `Takeloft could not be started, because a file of it cannot be loaded (${error.message.split('\n')[0]}); install it again with "npm ci", or give this user permission to read it.\n`
    : `Takeloft could not be started: ${error?.stack ?? error}\n`
}
