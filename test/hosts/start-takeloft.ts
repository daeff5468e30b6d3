// The command line as a process that is watched: with a temporary folder of its own, to see
// what is left in it, and with the most memory it held.

import { type ChildProcess, spawn } from 'node:child_process'
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import { LAUNCHER, PINNED_NODE } from './run-takeloft.ts'

/** Far more than any of these calls takes; a call that is still there then hangs. */
const HANGS_AFTER_MS = 60_000
const LOOK_EVERY_MS = 10

export interface Ended {
  /** null where it was killed, because it hung or by a signal. */
  readonly status: number | null
  readonly stdout: string
  readonly stderr: string
  /** What stands on standard error besides progress, line by line. */
  readonly sentences: readonly string[]
  /** Names in its temporary folder. */
  readonly left: readonly string[]
  /** Bytes, from the kernel's high-water mark; null where /proc does not tell. */
  readonly mostMemory: number | null
}

export interface Started {
  readonly child: ChildProcess
  readonly ended: Promise<Ended>
  /** Resolves once standard error holds this. */
  said(words: string): Promise<void>
}

/** @param nodeOptions in front of the launcher */
export function startTakeloft(
  words: readonly string[],
  node: string = PINNED_NODE,
  nodeOptions: readonly string[] = [],
): Started {
  const temporary = mkdtempSync(join(tmpdir(), 'takeloft-started-'))
  onTestFinished(() => rmSync(temporary, { recursive: true, force: true }))
  const cache = join(tmpdir(), 'takeloft-test-compile-cache')
  mkdirSync(cache, { recursive: true })
  const child = spawn(node, [...nodeOptions, LAUNCHER, ...words], {
    stdio: ['ignore', 'pipe', 'pipe'],
    env: { ...process.env, TMPDIR: temporary, NODE_COMPILE_CACHE: cache },
    killSignal: 'SIGKILL',
    timeout: HANGS_AFTER_MS,
  })
  let stdout = ''
  let stderr = ''
  let mostMemory: number | null = null
  const waiting: { words: string; heard: () => void }[] = []
  child.stdout!.setEncoding('utf8').on('data', (text: string) => {
    stdout += text
  })
  child.stderr!.setEncoding('utf8').on('data', (text: string) => {
    stderr += text
    for (const { words: wanted, heard } of waiting) if (stderr.includes(wanted)) heard()
  })
  const looking = setInterval(() => {
    mostMemory = highWaterMark(child.pid) ?? mostMemory
  }, LOOK_EVERY_MS)
  const ended = new Promise<Ended>((resolve, reject) => {
    child.on('error', reject)
    child.on('close', (status) => {
      clearInterval(looking)
      const sentences = stderr.split('\n').filter((line) => line !== '' && !line.endsWith('…'))
      resolve({ status, stdout, stderr, sentences, left: readdirSync(temporary), mostMemory })
    })
  })
  return {
    child,
    ended,
    said: (wanted) =>
      new Promise((resolve, reject) => {
        waiting.push({ words: wanted, heard: resolve })
        void ended.then(() => reject(new Error(`ended without saying "${wanted}": ${stderr}`)), reject)
      }),
  }
}

function highWaterMark(pid: number | undefined): number | null {
  try {
    const status = readFileSync(`/proc/${pid}/status`, 'utf8')
    return Number(/^VmHWM:\s+(\d+) kB$/m.exec(status)?.[1] ?? Number.NaN) * 1024 || null
  } catch {
    return null
  }
}
