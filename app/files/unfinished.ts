// A journal of files and folders that are being written, so that a later start finds and removes
// what a killed program left behind. Every path has a random name, noted before it is created. In a
// folder, only the noted files are removed: whatever else somebody put there stays.

import { randomBytes } from 'node:crypto'
import {
  closeSync,
  constants,
  existsSync,
  lstatSync,
  mkdirSync,
  openSync,
  readFileSync,
  realpathSync,
  rmdirSync,
  rmSync,
  unlinkSync,
  writeFileSync,
  writeSync,
} from 'node:fs'
import { hostname } from 'node:os'
import { basename, dirname, join, relative, sep } from 'node:path'
import envPaths from 'env-paths'
import { errorCode, writeFailure } from './file-failures.ts'
import { namesIn } from './names-in.ts'

/** A name that is unique and cannot be guessed, short enough for every file system. */
export const freshName = (): string => `.takeloft-${randomBytes(12).toString('hex')}`
/** The same for a folder that may stay, and so is not hidden. */
export const waitingName = (): string => `sent-${randomBytes(12).toString('hex')}`
const FRESH_NAME = /^(\.takeloft|sent)-[0-9a-f]{24}$/

/** `own`: the program's own, removed with all that is in it. `folder`: only its noted files are removed. */
type Kind = 'file' | 'folder' | 'own'

interface Entry {
  readonly path: string
  readonly kind: Kind
  readonly host: string
  readonly pid: number
  /** When the process started, in the system's own count; null where the system does not report it. */
  readonly processStart: string | null
  /** The catalogue of which it may have become a take; only a start with this catalogue can tell. */
  readonly catalogue?: string
}

/** A note in the journal of unfinished work. */
export interface Unfinished {
  /** Ends the note, unless the path is still there. */
  finish(): void
  /** Ends the note of a path that stays. */
  keep(): void
}

/** How long notes of another machine (a home folder on the network) and unreadable notes are left alone. */
const PATIENCE_MS = 7 * 24 * 3600 * 1000

const NOTE = '.json'
const LIST = '.files'

const journalFolder = (): string => join(envPaths('Takeloft', { suffix: '' }).cache, 'unfinished')

/**
 * Notes a path that is about to be created; its last part is a `freshName()` or a `waitingName()`.
 * @param catalogue path of the catalogue that may take it in; only a start with this one removes it
 */
export function noteUnfinished(path: string, kind: Kind, catalogue?: string): Unfinished {
  const note = join(journalFolder(), `${randomBytes(12).toString('hex')}${NOTE}`)
  const entry: Entry = {
    path,
    kind,
    host: hostname(),
    pid: process.pid,
    processStart: processStartOf(process.pid),
    ...(catalogue === undefined ? {} : { catalogue: realPathOf(catalogue) }),
  }
  let isNoted = writeNote(note, JSON.stringify(entry))
  if (isNoted && kind === 'folder') writeNote(listOf(path), '')
  const keep = (): void => {
    if (!isNoted) return
    isNoted = false
    removeQuietly(note)
    if (kind === 'folder') removeQuietly(listOf(path))
  }
  return {
    finish() {
      if (lstatSync(path, { throwIfNoEntry: false }) === undefined) keep()
    },
    keep,
  }
}

/** The list of files noted for an unfinished folder, beside the notes. Threads append to it. */
const listOf = (folder: string): string => join(journalFolder(), `${basename(folder)}${LIST}`)

/**
 * Notes a file that is about to be created in an unfinished folder or a folder of it, where the unfinished one has
 * a list.
 * @throws Failure 'disk-full' or 'not-writable'
 */
export const noteFileInside = (path: string): void => noteInside(path, '')

/** As noteFileInside, for a folder that is about to be created there. */
export const noteFolderInside = (path: string): void => noteInside(path, FOLDER_END)

/** The unfinished folder that a path is in. */
function unfinishedFolderOf(path: string): string | null {
  let folder = dirname(path)
  for (let level = 0; level <= MOST_LEVELS; level++) {
    if (FRESH_NAME.test(basename(folder))) return folder
    folder = dirname(folder)
  }
  return null
}
/** Folders within folders of an unfinished one. */
const MOST_LEVELS = 3

/** Ends the noted name of a folder; names are noted with this separator on every system. */
const FOLDER_END = '/'

function noteInside(path: string, end: string): void {
  const folder = unfinishedFolderOf(path)
  if (folder === null) return
  const name = `${relative(folder, path).replaceAll(sep, FOLDER_END)}${end}`
  try {
    const list = openList(folder)
    if (list === null) return
    try {
      // One call, so that lines of several threads do not interleave.
      writeSync(list, `${JSON.stringify(name)}\n`)
    } finally {
      closeSync(list)
    }
  } catch (error) {
    throw writeFailure(error, path)
  }
}

function openList(folder: string): number | null {
  try {
    return openSync(listOf(folder), constants.O_WRONLY | constants.O_APPEND)
  } catch (error) {
    if (errorCode(error) === 'ENOENT') return null
    throw error
  }
}

/** Whether the files in an unfinished folder are noted; they are not if the journal could not be written. */
export const hasList = (folder: string): boolean => existsSync(listOf(folder))

/**
 * Removes an unfinished folder with the files that were noted for it. Whatever else is in it stays,
 * and then the folder stays too. Errors leave the rest to a later sweep.
 * @returns whether nothing of the program's own is left there
 */
export function removeNotedFiles(folder: string): boolean {
  try {
    // A link of that name leads to somebody else's folder.
    if (lstatSync(folder, { throwIfNoEntry: false })?.isDirectory() !== true) return true
    const names = notedNamesOf(folder).filter((name) => !leadsElsewhere(folder, name))
    const folders = names.filter((name) => name.endsWith(FOLDER_END))
    for (const name of names) {
      if (!name.endsWith(FOLDER_END)) rmSync(join(folder, name), { force: true, maxRetries: 3 })
    }
    for (const name of folders.toReversed()) removeIfEmpty(join(folder, name))
  } catch {
    return false
  }
  try {
    rmdirSync(folder)
  } catch {
    // Something else is in it.
  }
  return true
}

/** Whether a folder on the way to a noted name was replaced by a link, behind which is somebody else's. */
function leadsElsewhere(folder: string, name: string): boolean {
  const parts = name.split(FOLDER_END).slice(0, -1)
  return parts.some((_, k) => {
    const found = lstatSync(join(folder, ...parts.slice(0, k + 1)), { throwIfNoEntry: false })
    return found !== undefined && !found.isDirectory()
  })
}

function removeIfEmpty(folder: string): void {
  try {
    rmdirSync(folder)
  } catch {
    // It was never made, or something else is in it.
  }
}

/** Relative to the folder; those of folders end in a slash. */
function notedNamesOf(folder: string): string[] {
  let text: string
  try {
    text = readFileSync(listOf(folder), 'utf8')
  } catch {
    return []
  }
  return text.split('\n').flatMap((line) => {
    try {
      const name: unknown = JSON.parse(line)
      return typeof name === 'string' && isInner(name) ? [name] : []
    } catch {
      // An incomplete last line, from a program that was killed while writing.
      return []
    }
  })
}

/** Whether a noted name stays in its folder; one with the character NUL was never created. */
const isInner = (name: string): boolean =>
  !/[\\\0]/.test(name) &&
  name
    .replace(/\/$/, '')
    .split(FOLDER_END)
    .every((part) => part !== '' && part !== '.' && part !== '..')

/** @returns whether it was written; if not, the work goes on without a note */
function writeNote(note: string, text: string): boolean {
  const write = (): void => writeFileSync(note, text, { flag: 'wx', mode: 0o600 })
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
 * Removes unfinished work of processes that no longer run.
 * @param isKept whether something that must stay, such as a take, is at or below a path
 * @param catalogue the open catalogue, to which `isKept` belongs; none for work on single files
 */
export function sweepUnfinished(isKept: (path: string) => boolean, catalogue?: string): void {
  const openCatalogue = catalogue === undefined ? undefined : realPathOf(catalogue)
  const left: { note: string; entry: Entry }[] = []
  for (const name of namesIn(journalFolder())) {
    if (!name.endsWith(NOTE)) continue
    const note = join(journalFolder(), name)
    const entry = readEntry(note)
    if (entry !== null) left.push({ note, entry })
    // Another process may be writing it at this moment.
    else if (!isRecent(note)) removeQuietly(note)
  }
  // The program's own folders first, because they are removed with the unfinished folders in them.
  left.sort((a, b) => Number(b.entry.kind === 'own') - Number(a.entry.kind === 'own'))
  for (const { note, entry } of left) {
    if (isAtWork(entry, note)) continue
    const isOwn = entry.catalogue !== undefined && entry.catalogue === openCatalogue
    if (entry.catalogue !== undefined && !isOwn) {
      if (!existsSync(entry.path)) removeQuietly(note)
    } else if (isKept(entry.path)) {
      // The program was killed between storing the take and ending the note.
      if (isOwn) removeQuietly(note)
    } else if (removeLeft(entry)) removeQuietly(note)
  }
  removeOrphanedLists()
}

/** A note is written before its list and removed before it, so a list without a note belongs to nothing. */
function removeOrphanedLists(): void {
  // Lists are read first: a folder noted after that has no list among these.
  const lists = namesIn(journalFolder()).filter((name) => name.endsWith(LIST))
  if (lists.length === 0) return
  const noted = new Set(
    namesIn(journalFolder())
      .filter((name) => name.endsWith(NOTE))
      .flatMap((name) => readEntry(join(journalFolder(), name)) ?? [])
      .map(({ path }) => listOf(path)),
  )
  for (const list of lists.map((name) => join(journalFolder(), name))) {
    if (!noted.has(list)) removeQuietly(list)
  }
}

/** @returns false where it cannot be removed now (disk not connected or read-only); a later start retries */
function removeLeft({ path, kind }: Entry): boolean {
  if (kind === 'folder') return removeNotedFiles(path)
  try {
    rmSync(path, { recursive: kind === 'own', force: true })
    return true
  } catch {
    return false
  }
}

/** One path for all spellings of it, so that a catalogue is recognised when it is opened through a link. */
function realPathOf(path: string): string {
  try {
    return realpathSync(path)
  } catch {
    return path
  }
}

function isAtWork({ host, pid, processStart }: Entry, note: string): boolean {
  if (host !== hostname()) return isRecent(note)
  try {
    process.kill(pid, 0)
  } catch (error) {
    return errorCode(error) === 'EPERM'
  }
  // Process IDs are reused.
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
    // The name is checked because the path it names will be removed.
    const isEntry =
      typeof entry.path === 'string' &&
      FRESH_NAME.test(basename(entry.path)) &&
      (entry.kind === 'file' || entry.kind === 'folder' || entry.kind === 'own') &&
      typeof entry.host === 'string' &&
      typeof entry.pid === 'number'
    return isEntry ? { ...(entry as Entry), processStart: entry.processStart ?? null } : null
  } catch {
    return null
  }
}

function removeQuietly(path: string): void {
  try {
    unlinkSync(path)
  } catch {
    // The next sweep reads it again and removes it.
  }
}
