// Calls that are none, takes at rates that are not supported, letters that move a cursor, and
// errors of our own: 2 and one sentence, never 1, which says that a verification differs.

import { spawn } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import { chunkBytes, fmtChunk, waveBytes } from '../signals/wave-bytes.ts'
import { at, CALLS, expectRefusal, good, store } from './hostile-places.ts'
import { LAUNCHER, PINNED_NODE } from './run-takeloft.ts'
import { startTakeloft } from './start-takeloft.ts'

describe('a verb', () => {
  it.each(['constructor', 'toString', '__proto__', 'hasOwnProperty', 'valueOf'])(
    'that JavaScript’s objects have is unknown: %s',
    async (verb) => {
      const ended = await startTakeloft([verb]).ended
      expect(ended).toMatchObject({ status: 2, stdout: '' })
      expect(ended.stderr).toContain(`unknown command '${verb}'`)
      expect(ended.stderr).not.toMatch(/^\s+at /m)
    },
  )
})

describe('a take at a rate that is not supported', () => {
  it.each([500, 4000, 7999])('(%d Hz) is refused, whatever is asked for', async (sampleRateHz) => {
    const path = store(
      'slow.wav',
      waveBytes([fmtChunk({ sampleRateHz }), chunkBytes('data', Buffer.alloc(48_000))]),
    )
    for (const call of [CALLS['take to measure'], CALLS['take for its levels'], CALLS['take to process']]) {
      const ended = await startTakeloft(call(path)).ended
      expectRefusal(ended, path)
      expect(ended.sentences[0]).toMatch(
        new RegExp(`has a sample rate of ${sampleRateHz} Hz; whole rates from 8000 to 768000 Hz can be read`),
      )
    }
  })
})

describe('letters that move a terminal’s cursor are not passed on to it', () => {
  it('from a file’s contents or its name', async () => {
    const path = store(
      '\u001b[2Jname.json',
      '{"format":"takeloft-chain","version":1,"stages":[{"kind":"\\u001b[2J"}]}',
    )
    const ended = await startTakeloft(['process', good, at('out.wav'), '--chain', path]).ended
    expect(ended.status).toBe(2)
    expect(ended.sentences).toHaveLength(1)
    expect(ended.stderr).not.toMatch(/[^\P{Cc}\n]/u)
  })
})

describe('an error of our own ends with 2 and does not look like a difference', () => {
  /** Runs a verification with a module that is loaded before the program. */
  const verifyWith = async (preload: string): Promise<{ status: unknown; stderr: string }> => {
    const child = spawn(PINNED_NODE, ['--import', store('preload.mjs', preload), LAUNCHER, 'verify', good], {
      stdio: ['ignore', 'ignore', 'pipe'],
    })
    let stderr = ''
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      stderr += text
    })
    const status = await new Promise((resolve) => child.on('close', resolve))
    return { status, stderr }
  }

  it('where a library is broken, as a half-finished installation leaves it', async () => {
    const broken = store(
      'broken.mjs',
      "export class Command {}\nexport class CommanderError {}\nthrow new Error('half installed')\n",
    )
    const { status, stderr } = await verifyWith(`
      import { registerHooks } from 'node:module'
      registerHooks({
        resolve: (name, context, next) =>
          name === 'commander' ? { url: ${JSON.stringify(`file://${broken}`)}, shortCircuit: true } : next(name, context),
      })`)
    expect(status).toBe(2)
    expect(stderr).toMatch(/^Takeloft could not be started: Error: half installed/)
  })

  it.each(['../compile-cache.mjs', './talk.ts', './main.ts'])(
    'where %s of the program cannot be loaded, in a sentence',
    async (file) => {
      const { status, stderr } = await verifyWith(`
        import { registerHooks } from 'node:module'
        registerHooks({
          resolve: (name, context, next) =>
            name === ${JSON.stringify(file)} ? { url: 'file:///none/here.mjs', shortCircuit: true } : next(name, context),
        })`)
      expect(status).toBe(2)
      expect(stderr).toMatch(
        /^Takeloft could not be started, because a file of it cannot be loaded \(.*none\/here\.mjs.*\); install it again with "npm ci", or give this user permission to read it\.\n$/,
      )
    },
  )

  it.each([
    ['in a callback', "setTimeout(() => { throw new Error('ours') }, 1)"],
    ['in a promise that nobody waits for', "setTimeout(() => Promise.reject(new Error('ours')), 1)"],
  ])('where it is thrown %s', async (_where, code) => {
    // Once the program has taken charge of how it ends.
    const { status, stderr } = await verifyWith(
      `const timer = setInterval(() => {
         if (process.listenerCount('uncaughtException') === 0) return
         clearInterval(timer)
         ${code}
       }, 1)`,
    )
    expect(status).toBe(2)
    expect(stderr).toMatch(/^Something went wrong inside Takeloft: ours\nError: ours\n/m)
  })

  it('where it waits for what never comes', async () => {
    const never = store('never.mjs', 'await new Promise(() => {})\n')
    const { status } = await verifyWith(`
      import { registerHooks } from 'node:module'
      registerHooks({
        resolve: (name, context, next) =>
          name.endsWith('/verbs/verify.ts') ? { url: ${JSON.stringify(`file://${never}`)}, shortCircuit: true } : next(name, context),
      })`)
    expect(status).toBe(2)
  })
})
