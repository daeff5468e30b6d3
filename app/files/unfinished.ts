// A journal of files and folders that are being written, so that what a killed program leaves
// behind is found again and removed, and nothing else ever is: every entry names a path with
// a random name that was noted before it was created.

import { randomBytes } from 'node:crypto'
import { lstatSync, mkdirSync, readdirSync, readFileSync, rmSync, unlinkSync, writeFileSync } from 'node:fs'
import { hostname } from 'node:os'
import { basename, join } from 'node:path'
import envPaths from 'env-paths'

/** A name that nobody else has or guesses, short enough for every file system. */
export const freshName = (): string => `.takeloft-${randomBytes(12).toString('hex')}`
/** The same for a folder that may stay, and so is not hidden. */
export const waitingName = (): string => `sent-${randomBytes(12).toString('hex')}`
const FRESH_NAME = /^(\.takeloft|sent)-[0-9a-f]{24}$/

interface Entry {
  readonly path: string
  readonly host: string
  readonly pid: number
  /** When the process started, in the system's own count; null where the system does not tell. */
  readonly processStart: string | null
}

export interface Unfinished {
  /** Ends the note, unless the path is still there. */
  finish(): void
  /** Ends the note of a path that stays. */
  keep(): void
}

/** Notes of another machine (a home folder on the network) and unreadable ones are left alone for so long. */
const PATIENCE_MS = 7 * 24 * 3600 * 1000

const journalFolder = (): string => join(envPaths('Takeloft', { suffix: '' }).cache, 'unfinished')

/** Notes a path that is about to be created; its last part is a `freshName()` or a `waitingName()`. */
export function noteUnfinished(path: string): Unfinished {
  const note = join(journalFolder(), `${randomBytes(12).toString('hex')}.json`)
  const entry: Entry = {
    path,
    host: hostname(),
    pid: process.pid,
    processStart: processStartOf(process.pid),
  }
  let isNoted = writeNote(note, entry)
  const keep = (): void => {
    if (!isNoted) return
    isNoted = false
    removeQuietly(note)
  }
  return {
    finish() {
      if (lstatSync(path, { throwIfNoEntry: false }) === undefined) keep()
    },
    keep,
  }
}

/** @returns whether it was written; without a place for notes the work itself goes on */
function writeNote(note: string, entry: Entry): boolean {
  const write = (): void => writeFileSync(note, JSON.stringify(entry), { flag: 'wx', mode: 0o600 })
  try {
    write()
    return true
  } catch {
    try {
      mkdirSync(journalFolder(), { recursive: true, mode: 0o700 })
      write()
      return true
    } catch {
      return false
    }
  }
}

/**
 * Removes what programs that no longer run have left unfinished.
 * @param isKept whether something that must stay, such as a take, is at or below a path
 */
export function sweepUnfinished(isKept: (path: string) => boolean): void {
  for (const name of namesIn(journalFolder())) {
    const note = join(journalFolder(), name)
    const entry = readEntry(note)
    if (entry === null) {
      // Another process may be writing it at this moment.
      if (!isRecent(note)) removeQuietly(note)
      continue
    }
    if (isAtWork(entry, note) || isKept(entry.path)) continue
    try {
      rmSync(entry.path, { recursive: true, force: true })
      removeQuietly(note)
    } catch {
      // On a disk that is not connected or read-only now; a later start tries again.
    }
  }
}

function isAtWork({ host, pid, processStart }: Entry, note: string): boolean {
  if (host !== hostname()) return isRecent(note)
  try {
    process.kill(pid, 0)
  } catch (error) {
    return error instanceof Error && 'code' in error && error.code === 'EPERM'
  }
  // Numbers of processes are used again.
  return processStart === null || processStartOf(pid) === processStart
}

function isRecent(note: string): boolean {
  const written = lstatSync(note, { throwIfNoEntry: false })?.mtimeMs ?? 0
  return Date.now() - written < PATIENCE_MS
}

/** Field 22 of /proc/<pid>/stat with the boot it counts from (proc(5)); null where there is no such file. */
function processStartOf(pid: number): string | null {
  try {
    const afterName = readFileSync(`/proc/${pid}/stat`, 'latin1').split(') ').at(-1) ?? ''
    const boot = readFileSync('/proc/sys/kernel/random/boot_id', 'latin1').trim()
    return `${boot} ${afterName.split(' ')[19]}`
  } catch {
    return null
  }
}

function readEntry(note: string): Entry | null {
  try {
    const entry = JSON.parse(readFileSync(note, 'utf8')) as Partial<Entry>
    // The name is checked because what it names is removed.
    const isEntry =
      typeof entry.path === 'string' &&
      FRESH_NAME.test(basename(entry.path)) &&
      typeof entry.host === 'string' &&
      typeof entry.pid === 'number'
    return isEntry ? { ...(entry as Entry), processStart: entry.processStart ?? null } : null
  } catch {
    return null
  }
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder)
  } catch {
    return []
  }
}

function removeQuietly(path: string): void {
  try {
    unlinkSync(path)
  } catch {
    // Read again and removed by the next sweep.
  }
}
