// Tells whether a file has the bytes of a take. A file is hashed once, and again only when its size, times or
// identity differ from those noted then, so that asking before each playback costs one look at the folder.

import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { Failure } from '../../contract/failure.ts'
import { type FileIdentity, identityIfAny, isUntouched } from '../../files/file-identity.ts'
import { replaceOwnFile } from '../../files/write-file.ts'
import type { Pool } from '../../workers/pool.ts'

/** What is at a path: the take, nothing that can be read, or something else. */
type PlaceState = 'there' | 'missing' | 'changed'

/** The bytes that a file is to have. */
interface WantedBytes {
  readonly sha256: string
  /** null or absent where it is not known. */
  readonly sizeBytes?: number | null
}

export interface VerifiedFiles {
  /**
   * @param path absolute
   * @param isBrief whether a file without a note, as takes of earlier versions are, may be hashed in the
   *   background if that takes long; it counts as the take meanwhile
   */
  stateOf(path: string, wanted: WantedBytes, isBrief: boolean): Promise<PlaceState>
  /**
   * Notes that the file at `path` has these bytes, unless something has changed it since they were read.
   * @param before its identity before they were read
   */
  noteIfUntouched(path: string, sha256: string, before: FileIdentity): void
  /** Notes that the file at `path` has other bytes than these, as long as nothing touches it. */
  noteOther(path: string, sha256: string, identity: FileIdentity): void
  /** Which file was at `path`, and its time stamp, when it was last known to have these bytes; null where that is not noted. */
  lastRead(path: string, sha256: string): { readonly inode: string; readonly modifiedNs: string } | null
  /** As stateOf for a file that was read before; null, without reading it, for one of which nothing is noted. */
  stateIfNoted(path: string, wanted: WantedBytes): Promise<PlaceState | null>
  /** As noteIfUntouched, until the program ends; for files by the thousand. */
  rememberIfUntouched(path: string, sha256: string, before: FileIdentity): void
  /** Whether the program has read these bytes at `path` and nothing has touched the file since. */
  hasRead(path: string, sha256: string): boolean
}

/** How long a brief question waits: about as long as a press on Play may take. */
const BRIEF_MS = 500
/** Places of one take whose notes are kept. */
const MAX_NOTES = 8
const HEAD = '{"verified":'

/** Device numbers differ each time a disk is connected, so they are not kept. */
type Note = Record<'path' | 'inode' | 'sizeBytes' | 'modifiedNs' | 'changedNs', string>

interface Known {
  readonly identity: FileIdentity
  readonly isTake: boolean
}

/**
 * @param notesFolder notes are kept here, one small file per take; they can be made again
 * @param onChanged called when a file that counted as a take turned out to be another
 */
export function createVerifiedFiles(pool: Pool, notesFolder: string, onChanged: () => void): VerifiedFiles {
  const known = new Map<string, Known>()
  const running = new Map<string, Promise<PlaceState>>()
  const notesPath = (sha256: string): string => join(notesFolder, `${sha256}.verified`)

  const noteIfUntouched: VerifiedFiles['noteIfUntouched'] = (path, sha256, identity) => {
    const now = identityIfAny(path)
    if (now === null || !isSame(now, identity)) return
    known.set(keyOf(path, sha256), { identity, isTake: true })
    writeNotes(
      sha256,
      [noteOf(path, identity), ...notesIn(notesPath(sha256)).filter((one) => one.path !== path)].slice(
        0,
        MAX_NOTES,
      ),
    )
  }

  const writeNotes = (sha256: string, notes: readonly Note[]): void => {
    try {
      replaceOwnFile(notesPath(sha256), `${HEAD}${JSON.stringify(notes)}}\n`, isNotes)
    } catch (error) {
      // Without a note the file is hashed again at the next start, which is slower and not wrong.
      if (!(error instanceof Failure)) throw error
    }
  }

  /** What can be told without reading the file; state null: nothing. */
  const glance = (
    path: string,
    { sha256, sizeBytes = null }: WantedBytes,
    identity: FileIdentity | null,
  ): { readonly state: PlaceState | null; readonly wasRead: boolean } => {
    if (identity === null) return { state: 'missing', wasRead: false }
    if (!identity.isFile) return { state: 'changed', wasRead: false }
    if (sizeBytes !== null && identity.sizeBytes !== BigInt(sizeBytes))
      return { state: 'changed', wasRead: false }
    const key = keyOf(path, sha256)
    const before = known.get(key)
    if (before !== undefined && isSame(identity, before.identity)) {
      return { state: before.isTake ? 'there' : 'changed', wasRead: true }
    }
    const noted = before === undefined ? notesIn(notesPath(sha256)).filter((one) => one.path === path) : []
    if (!noted.some((one) => isNoted(one, path, identity))) {
      return { state: null, wasRead: before !== undefined || noted.length > 0 }
    }
    known.set(key, { identity, isTake: true })
    return { state: 'there', wasRead: true }
  }

  const rememberIfUntouched: VerifiedFiles['rememberIfUntouched'] = (path, sha256, identity) => {
    const now = identityIfAny(path)
    if (now !== null && isSame(now, identity)) known.set(keyOf(path, sha256), { identity, isTake: true })
  }

  const hash = async (path: string, { sha256 }: WantedBytes, identity: FileIdentity): Promise<PlaceState> => {
    try {
      const isTake = (await pool.run('hashFile', { path })) === sha256
      if (isTake) noteIfUntouched(path, sha256, identity)
      else known.set(keyOf(path, sha256), { identity, isTake })
      return isTake ? 'there' : 'changed'
    } catch (error) {
      // A file that cannot be read may still be the take, so it is not called another one.
      return error instanceof Failure && error.code !== 'not-readable' && error.code !== 'not-found'
        ? 'changed'
        : 'missing'
    }
  }

  /** Reads the file. */
  const read = (path: string, wanted: WantedBytes, identity: FileIdentity): Promise<PlaceState> => {
    const key = keyOf(path, wanted.sha256)
    let state = running.get(key)
    if (state === undefined) {
      state = hash(path, wanted, identity).finally(() => running.delete(key))
      running.set(key, state)
    }
    return state
  }

  return {
    noteIfUntouched,
    rememberIfUntouched,
    hasRead(path, sha256) {
      const read = known.get(keyOf(path, sha256))
      const now = read?.isTake === true ? identityIfAny(path) : null
      return read !== undefined && now !== null && isSame(now, read.identity)
    },
    noteOther(path, sha256, identity) {
      known.set(keyOf(path, sha256), { identity, isTake: false })
      writeNotes(
        sha256,
        notesIn(notesPath(sha256)).filter((one) => one.path !== path),
      )
    },
    lastRead: (path, sha256) => notesIn(notesPath(sha256)).find((one) => one.path === path) ?? null,
    async stateOf(path, wanted, isBrief) {
      const identity = identityIfAny(path)
      const seen = glance(path, wanted, identity)
      if (seen.state !== null) return seen.state
      if (identity === null) return 'missing'
      const state = read(path, wanted, identity)
      const mayWait = !isBrief || seen.wasRead
      return mayWait ? state : orThereAfter(BRIEF_MS, state, onChanged)
    },
    async stateIfNoted(path, wanted) {
      const identity = identityIfAny(path)
      const { state, wasRead } = glance(path, wanted, identity)
      return state === null && wasRead && identity !== null ? read(path, wanted, identity) : state
    },
  }
}

async function orThereAfter(
  ms: number,
  state: Promise<PlaceState>,
  onChanged: () => void,
): Promise<PlaceState> {
  let timer: ReturnType<typeof setTimeout> | undefined
  const late = new Promise<'late'>((resolve) => {
    timer = setTimeout(resolve, ms, 'late')
  })
  const first = await Promise.race([state, late])
  clearTimeout(timer)
  if (first !== 'late') return first
  void state.then((found) => {
    if (found !== 'there') onChanged()
  })
  return 'there'
}

const isNotes = (head: Uint8Array): boolean => Buffer.from(head).toString('latin1').startsWith(HEAD)

const keyOf = (path: string, sha256: string): string => `${sha256} ${path}`

/** A change of permissions or links counts too; hashing once more costs less than missing a change. */
const isSame = (now: FileIdentity, before: FileIdentity): boolean =>
  isUntouched(now, before) && now.changedNs === before.changedNs

const noteOf = (path: string, { inode, sizeBytes, modifiedNs, changedNs }: FileIdentity): Note => ({
  path,
  inode: String(inode),
  sizeBytes: String(sizeBytes),
  modifiedNs: String(modifiedNs),
  changedNs: String(changedNs),
})

function isNoted(noted: Note, path: string, identity: FileIdentity): boolean {
  const now = noteOf(path, identity)
  return Object.entries(now).every(([field, value]) => noted[field as keyof Note] === value)
}

/** Empty where there are none, or they are damaged. */
function notesIn(path: string): readonly Note[] {
  try {
    const { verified } = JSON.parse(readFileSync(path, 'utf8')) as { verified: Note[] }
    return Array.isArray(verified) ? verified : []
  } catch {
    return []
  }
}
