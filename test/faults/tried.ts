// One act under one fault, and everything that must hold afterwards.

import { type SpawnSyncReturns, spawnSync } from 'node:child_process'
import { cpSync, existsSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { decodePeaks } from '../../app/audio/peaks.ts'
import { MANIFEST_FILE } from '../../app/services/bounces/delivery-folder.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import { hashOf } from '../hash-of.ts'
import { LAUNCHER, PINNED_NODE } from '../hosts/run-takeloft.ts'
import { CATALOGUE, CHAIN, DELIVERED, OLD_CATALOGUE, ORIGINALS } from './template.ts'

export type ActName = 'import' | 'save' | 'migrate' | 'bounce' | 'deliver' | 'process' | 'demo'

export interface Fault {
  /** Number of the call, from 1; 0: none. */
  readonly at: number
  readonly mode: 'once' | 'on' | 'short' | 'kill'
  /** Number of the system's error for once and on. */
  readonly errno: number
}

export const NO_FAULT: Fault = { at: 0, mode: 'once', errno: 0 }

/** Where the act `deliver` writes to. */
const DELIVERIES = 'deliveries'

const CHILD = join(import.meta.dirname, 'child.ts')

/** The program's words for an act. */
export function wordsOf(act: ActName, root: string): string[] {
  switch (act) {
    case 'bounce':
      return [
        LAUNCHER,
        ...['bounce', '--catalogue', join(root, CATALOGUE), '--session', '1', '--out', join(root, DELIVERED)],
      ]
    case 'deliver':
      return [
        LAUNCHER,
        ...[
          'deliver',
          '--catalogue',
          join(root, CATALOGUE),
          '--session',
          '1',
          '--out',
          join(root, DELIVERIES),
        ],
      ]
    case 'process':
      return [
        LAUNCHER,
        ...['process', join(root, ORIGINALS, 'c.flac'), join(root, 'processed.wav')],
        ...['--chain', join(root, CHAIN)],
      ]
    case 'demo':
      return [LAUNCHER, 'demo', join(root, 'demo')]
    default:
      return [CHILD, act, root]
  }
}

export interface Run {
  readonly status: number | null
  readonly signal: string | null
  /** Lines on standard output. */
  readonly said: readonly string[]
  readonly stderr: string
  /** Calls on the disk. */
  readonly calls: number
}

/** Everything that the program writes outside the folder it is told of is inside it too. */
export const environmentOf = (root: string): NodeJS.ProcessEnv => ({
  ...process.env,
  ...{ XDG_CACHE_HOME: join(root, 'cache'), TMPDIR: join(root, 'tmp'), HOME: root },
  // Of Node's own, and not what is tried.
  NODE_COMPILE_CACHE: join(root, '..', 'compile-cache'),
})

/** Runs an act as a program of its own. @param shim null: on a sound disk */
export function run(act: ActName, root: string, shim: string | null, fault: Fault | null): Run {
  const countFile = join(root, '..', 'calls')
  rmSync(countFile, { force: true })
  const faulty = {
    ...{ LD_PRELOAD: shim ?? '', UV_USE_IO_URING: '0', FAULT_ROOT: root, FAULT_COUNT: countFile },
    ...{ FAULT_AT: String(fault?.at ?? 0), FAULT_MODE: fault?.mode, FAULT_ERRNO: String(fault?.errno) },
  }
  const ended: SpawnSyncReturns<string> = spawnSync(PINNED_NODE, wordsOf(act, root), {
    encoding: 'utf8',
    timeout: 300_000,
    killSignal: 'SIGABRT',
    env: { ...environmentOf(root), ...(shim === null ? {} : faulty) },
  })
  return {
    status: ended.status,
    signal: ended.signal,
    said: act === 'bounce' || act === 'deliver' ? [] : ended.stdout.split('\n').filter((line) => line !== ''),
    stderr: ended.stderr,
    calls: existsSync(countFile) ? Number(readFileSync(countFile, 'utf8')) : 0,
  }
}

export const hashesOf = (folder: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => {
        const path = join(entry.parentPath, entry.name)
        return [path.slice(folder.length), hashOf(path)]
      }),
  )

/** What a folder held before the fault. */
export interface Before {
  readonly originals: Record<string, string>
  readonly delivered: Record<string, string>
}

export const before = (root: string): Before => ({
  originals: hashesOf(join(root, ORIGINALS)),
  delivered: hashesOf(join(root, DELIVERED)),
})

/**
 * Tries one fault on a copy of the template, then the same act again without one.
 * @returns how many calls the act made, and what does not hold, a sentence each
 */
export function tryFault(
  act: ActName,
  template: string,
  root: string,
  shim: string,
  fault: Fault,
): { calls: number; wrong: string[] } {
  rmSync(root, { recursive: true, force: true })
  cpSync(template, root, { recursive: true, preserveTimestamps: true })
  const was = before(root)
  const wrong: string[] = []
  const faulty = run(act, root, shim, fault)
  wrong.push(...wrongEnd(faulty, fault), ...harmAfter(act, root, was, faulty.said))
  const again = run(act, root, shim, NO_FAULT)
  // A process that came to its end before the kill has left its result there.
  const isDone = act === 'process' && existsSync(join(root, 'processed.wav')) && again.status === 2
  if (again.status !== 0 && !isDone)
    wrong.push(`the next run failed (${again.status}): ${again.stderr.trim()}`)
  wrong.push(...harmAfter(act, root, was, again.said))
  const left = leftovers(root)
  if (left.length > 0) wrong.push(`left after the next run: ${left.join(', ')}`)
  return { calls: faulty.calls, wrong }
}

/** A sentence for people: no trace, no code of a library, no value of the language. */
const UNCLEAR = /\n\s+at |SQLITE_|SqliteError|undefined|\[object|inside Takeloft|Error:|node:internal/

function wrongEnd({ status, signal, stderr }: Run, { mode }: Fault): string[] {
  if (mode === 'kill') return signal === 'SIGKILL' || status === 0 ? [] : [`ended with ${status ?? signal}`]
  if (UNCLEAR.test(stderr)) return [`unclear: ${stderr.trim()}`]
  if (status === 0) return []
  const sentence = stderr.trimEnd().split('\n').at(-1) ?? ''
  const wrong = []
  if (status !== 2) wrong.push(`ended with ${status ?? signal}: ${stderr.trim()}`)
  if (!/^[A-Z/“].*\.$/.test(sentence)) wrong.push(`no sentence: ${JSON.stringify(sentence)}`)
  return wrong
}

/** Harm to what was there before. */
function harm(root: string, was: Before): string[] {
  const wrong = []
  const now = before(root)
  if (JSON.stringify(now.originals) !== JSON.stringify(was.originals)) wrong.push('AN ORIGINAL CHANGED')
  if (JSON.stringify(now.delivered) !== JSON.stringify(was.delivered)) wrong.push('a delivery changed')
  return wrong
}

/** What was there before is unharmed, and what the act made is whole. */
export function harmAfter(act: ActName, root: string, was: Before, said: readonly string[]): string[] {
  const wrong = harm(root, was)
  for (const name of readdirSync(root)) {
    if (/^out-v\d+$/.test(name) || name === DELIVERED) wrong.push(...brokenDelivery(join(root, name)))
  }
  for (const name of namesIn(join(root, DELIVERIES))) {
    if (!name.startsWith('.')) wrong.push(...brokenDelivery(join(root, DELIVERIES, name)))
  }
  for (const name of namesIn(join(root, 'peaks'))) {
    if (!name.endsWith('.peaks')) continue
    try {
      decodePeaks(readFileSync(join(root, 'peaks', name)))
    } catch {
      wrong.push(`peaks are half-written: ${name}`)
    }
  }
  if (act === 'migrate') return [...wrong, ...brokenOldCatalogue(root)]
  if (act === 'demo') return [...wrong, ...brokenDelivery(join(root, 'demo/bounces/demo'))]
  if (act === 'process') return wrong
  return [...wrong, ...lostSaves(root, said)]
}

/** A delivery stands whole or not at all. */
function brokenDelivery(folder: string): string[] {
  if (!existsSync(folder)) return []
  const manifestPath = join(folder, MANIFEST_FILE)
  if (!existsSync(manifestPath)) return [`${folder} has no manifest`]
  // Of a bounce or of a delivery.
  const { stems, files } = JSON.parse(readFileSync(manifestPath, 'utf8')) as {
    stems?: { file: string; sha256: string }[]
    files?: { path: string; sha256: string }[]
  }
  const all = stems ?? files?.map(({ path, sha256 }) => ({ file: path, sha256 })) ?? []
  if (all.length === 0) return [`${folder} lists no file`]
  if (files !== undefined && !existsSync(join(folder, 'manifest-sha256.txt')))
    return [`${folder} has no list`]
  return all.flatMap(({ file, sha256 }) => {
    const path = join(folder, file)
    return existsSync(path) && hashOf(path) === sha256 ? [] : [`${path} is not whole`]
  })
}

function lostSaves(root: string, said: readonly string[]): string[] {
  try {
    const catalogue = openCatalogue(join(root, CATALOGUE))
    try {
      const artists = new Set(catalogue.artists.list().map(({ name }) => name))
      const chains = new Set(catalogue.chains.list().map(({ name }) => name))
      const sessions = new Set(catalogue.sessions.list().map(({ songTitle }) => songTitle))
      return said.flatMap((line) => {
        const { take, artist, chain, session } = JSON.parse(line) as Record<string, string>
        const isThere =
          (take !== undefined && catalogue.takes.findBySha256(take) !== undefined) ||
          artists.has(artist) ||
          chains.has(chain) ||
          sessions.has(session)
        return isThere ? [] : [`acknowledged and lost: ${line}`]
      })
    } finally {
      catalogue.close()
    }
  } catch (error) {
    return [`the catalogue does not open: ${error instanceof Error ? error.message : error}`]
  }
}

function brokenOldCatalogue(root: string): string[] {
  const wrong = []
  const copies = readdirSync(root).filter((name) => /^old\.sqlite\.before-\d+(-\d+)?$/.test(name))
  for (const name of [OLD_CATALOGUE, ...copies]) {
    // Opened as a copy, because opening one migrates it.
    const copy = join(root, '..', 'opened.sqlite')
    for (const tail of ['', '-wal', '-shm']) {
      rmSync(copy + tail, { force: true })
      if (existsSync(join(root, name) + tail)) cpSync(join(root, name) + tail, copy + tail)
    }
    try {
      const catalogue = openCatalogue(copy)
      if (catalogue.takes.listOfSession(1).length !== 2) wrong.push(`${name} has lost takes`)
      catalogue.close()
    } catch (error) {
      wrong.push(`${name} does not open: ${error instanceof Error ? error.message : error}`)
    }
    for (const left of readdirSync(join(root, '..')).filter((one) => one.startsWith('opened.sqlite')))
      rmSync(join(root, '..', left))
  }
  return wrong
}

export const leftovers = (root: string): string[] =>
  readdirSync(root, { recursive: true, withFileTypes: true })
    .filter(({ name }) => name.startsWith('.takeloft-'))
    .map(({ parentPath, name }) => join(parentPath, name).slice(root.length))

const namesIn = (folder: string): string[] => (existsSync(folder) ? readdirSync(folder) : [])
