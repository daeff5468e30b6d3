// Runs the command line as a person does: a real process, its two streams and its exit status.

import { spawn } from 'node:child_process'
import { existsSync, statSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { watchFiles } from '../unharmed-takes.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
export const LAUNCHER = join(ROOT, 'app/hosts/command-line/takeloft.mjs')
/** The Node that the project pins. */
export const PINNED_NODE = join(ROOT, 'node_modules/.bin/node')

/** The Node of the machine itself: the first on PATH that is not a project's own; null where there is none. */
export function machineNode(): string | null {
  const folders = (process.env.PATH ?? '')
    .split(delimiter)
    .filter((folder) => !folder.includes('node_modules'))
  return folders.map((folder) => join(folder, 'node')).find((path) => existsSync(path)) ?? null
}

export interface Run {
  readonly status: number | null
  readonly stdout: string
  readonly stderr: string
  /** The last line on standard error, where a failure's sentence stands. */
  readonly sentence: string
}

const isFile = (path: string): boolean => statSync(path, { throwIfNoEntry: false })?.isFile() === true

/** @param node which Node starts the launcher */
export function runTakeloft(words: readonly string[], node: string = PINNED_NODE): Promise<Run> {
  // Whatever files a call names are inputs, but for the catalogue.
  const inputs = words.filter((word, k) => words[k - 1] !== '--catalogue' && isFile(word))
  const inputsUnharmed = watchFiles(inputs)
  return new Promise((resolve, reject) => {
    const child = spawn(node, [LAUNCHER, ...words], { stdio: ['ignore', 'pipe', 'pipe'] })
    const out: Buffer[] = []
    const err: Buffer[] = []
    child.stdout.on('data', (part: Buffer) => out.push(part))
    child.stderr.on('data', (part: Buffer) => err.push(part))
    child.on('error', reject)
    child.on('close', (status) => {
      try {
        inputsUnharmed()
      } catch (error) {
        reject(error)
      }
      const stderr = Buffer.concat(err).toString()
      resolve({
        status,
        stdout: Buffer.concat(out).toString(),
        stderr,
        sentence: stderr.trimEnd().split('\n').at(-1) ?? '',
      })
    })
  })
}

/** The one JSON document on standard output. */
export const documentOf = ({ stdout }: Run): Record<string, unknown> =>
  JSON.parse(stdout) as Record<string, unknown>
