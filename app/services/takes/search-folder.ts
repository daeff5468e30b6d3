// Searches a folder and its subfolders for the files of takes: by size first, and then by hash.

import type { Dirent } from 'node:fs'
import { readdir, stat } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import type { TakeOnDisk } from '../../../db/tables/takes.ts'
import { cancelledFailure } from '../../contract/failure.ts'
import type { CallContext, OutputOf } from '../../contract/wire/commands.ts'
import { identityIfAny } from '../../files/file-identity.ts'
import type { Pool } from '../../workers/pool.ts'
import type { VerifiedFiles } from './verified-files.ts'
import { createWantedTakes, type WantedTakes } from './wanted-takes.ts'

interface Candidate {
  readonly path: string
  readonly sizeBytes: number
}

/** Concurrent stat calls: enough to keep the system busy. */
const ASKED_AT_ONCE = 64
/** Files that are handed to each thread at once, so that none waits for this one between short files. */
const QUEUED_PER_THREAD = 3
/** How often a listing reports how far it is, in files. */
const FILES_PER_REPORT = 500

/**
 * Links to folders are not followed, because they may lead in circles. Nothing is changed.
 * @param folder absolute path
 * @param isLast files that are taken only where no other has the bytes
 * @throws Failure when `folder` itself cannot be listed; 'cancelled'
 */
export async function searchFolder(
  { pool, verifiedFiles }: { readonly pool: Pool; readonly verifiedFiles: VerifiedFiles },
  folder: string,
  takes: readonly TakeOnDisk[],
  isLast: (path: string) => boolean,
  { signal, report }: CallContext,
): Promise<OutputOf<'searchMissingTakes'>> {
  const wanted = createWantedTakes(takes)
  if (takes.length === 0) return { found: [], files: 0, unread: 0 }
  const { candidates, files, unread: unlisted } = await listCandidates(folder, wanted, signal, report)
  let unread = unlisted
  const found: { id: number; path: string }[] = []
  const bytes = candidates.reduce((sum, { sizeBytes }) => sum + sizeBytes, 0)
  let bytesRead = 0
  const read = async ({ path, sizeBytes }: Candidate): Promise<void> => {
    let told = 0
    const tell = (fraction: number): void => {
      bytesRead += (fraction - told) * sizeBytes
      told = fraction
      report(bytesRead / Math.max(1, bytes), `${found.length} of ${takes.length} found`)
    }
    if (wanted.mayBeOneOfSize(sizeBytes)) {
      try {
        const identity = identityIfAny(path)
        const sha256 = await pool.run('hashFile', { path }, { signal, onProgress: tell })
        const take = wanted.takeOut(sha256)
        if (take !== undefined) {
          found.push({ id: take.id, path })
          if (identity !== null) verifiedFiles.rememberIfUntouched(path, sha256, identity)
        }
      } catch {
        // Another file of the folder may still be the take.
        unread++
      }
    }
    tell(1)
  }
  const { first, last } = inOrder(candidates, takes, isLast)
  // One after the other: of two files that are read at once, either may be found.
  for (const waiting of [first, last]) {
    let next = 0
    const worker = async (): Promise<void> => {
      while (next < waiting.length && !signal.aborted) await read(waiting[next++])
    }
    await Promise.all(Array.from({ length: QUEUED_PER_THREAD * pool.threads }, worker))
  }
  if (signal.aborted) throw cancelledFailure()
  return { found, files, unread }
}

/** Files that have kept the name of a take are probably that take, so they are among the first. */
function inOrder(
  candidates: readonly Candidate[],
  takes: readonly TakeOnDisk[],
  isLast: (path: string) => boolean,
): { readonly first: readonly Candidate[]; readonly last: readonly Candidate[] } {
  const names = new Set(takes.map(({ path }) => basename(path)))
  // What is asked of a file is the same for all of its folder.
  const lastFolders = new Map<string, boolean>()
  const isInLast = ({ path }: Candidate): boolean => {
    const folder = dirname(path)
    const isLastFolder = lastFolders.get(folder) ?? isLast(path)
    lastFolders.set(folder, isLastFolder)
    return isLastFolder
  }
  const [first, last]: [Candidate[], Candidate[]] = [[], []]
  for (const candidate of candidates) (isInLast(candidate) ? last : first).push(candidate)
  first.sort((a, b) => Number(names.has(basename(b.path))) - Number(names.has(basename(a.path))))
  return { first, last }
}

async function listCandidates(
  folder: string,
  wanted: WantedTakes,
  signal: AbortSignal,
  report: CallContext['report'],
): Promise<{ candidates: Candidate[]; files: number; unread: number }> {
  const candidates: Candidate[] = []
  const folders = [folder]
  let [files, told, unread] = [0, 0, 0]
  const look = async (path: string): Promise<void> => {
    const sizeBytes = await stat(path).then(
      (found) => (found.isFile() ? found.size : null),
      () => undefined,
    )
    if (sizeBytes === undefined) unread++
    if (sizeBytes === undefined || sizeBytes === null) return
    files++
    if (wanted.mayBeOneOfSize(sizeBytes)) candidates.push({ path, sizeBytes })
  }
  for (let next = folders.pop(); next !== undefined; next = folders.pop()) {
    const entries = await listFolder(next, next === folder)
    if (entries === null) unread++
    for (let k = 0; entries !== null && k < entries.length; k += ASKED_AT_ONCE) {
      if (signal.aborted) throw cancelledFailure()
      const some = entries.slice(k, k + ASKED_AT_ONCE)
      for (const entry of some) if (entry.isDirectory()) folders.push(join(next, entry.name))
      await Promise.all(
        some.filter((entry) => !entry.isDirectory()).map((entry) => look(join(next as string, entry.name))),
      )
      if (files - told < FILES_PER_REPORT) continue
      told = files
      report(0, `${files} files seen`)
    }
  }
  return { candidates, files, unread }
}

/** @returns null where it cannot be listed, unless it is the first */
async function listFolder(path: string, isFirst: boolean): Promise<Dirent[] | null> {
  try {
    return await readdir(path, { withFileTypes: true })
  } catch (error) {
    if (isFirst) throw error
    return null
  }
}
