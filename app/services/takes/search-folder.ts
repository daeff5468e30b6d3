// Searches a folder and its subfolders for the files of takes: by size first, and then by hash.

import type { Dirent } from 'node:fs'
import { readdir, stat } from 'node:fs/promises'
import { basename, join } from 'node:path'
import type { Take } from '../../contract/entities.ts'
import { cancelledFailure } from '../../contract/failure.ts'
import type { CallContext, OutputOf } from '../../contract/wire/commands.ts'
import type { Pool } from '../../workers/pool.ts'

interface Candidate {
  readonly path: string
  readonly sizeBytes: number
  /** The takes that it may be. */
  readonly takes: readonly Take[]
}

/** Concurrent stat calls: enough to keep the system busy. */
const ASKED_AT_ONCE = 64
/** How often a listing reports how far it is, in files. */
const FILES_PER_REPORT = 500
/** Of pictures, cue lists and padding around the sound: where a size was not noted, larger files are not tried. */
const MOST_OTHER_BYTES = 1 << 24

/**
 * Links to folders are not followed, because they may lead in circles. Nothing is changed.
 * @param folder absolute path
 * @throws Failure when `folder` itself cannot be listed; 'cancelled'
 */
export async function searchFolder(
  pool: Pool,
  folder: string,
  takes: readonly Take[],
  { signal, report }: CallContext,
): Promise<OutputOf<'searchMissingTakes'>> {
  const wanted = new Map(takes.map((take) => [take.sha256, take]))
  if (wanted.size === 0) return { found: [], files: 0, unread: 0 }
  const { candidates, files, unread: unlisted } = await listCandidates(folder, takes, signal, report)
  let unread = unlisted
  const found: { id: number; path: string }[] = []
  const bytes = candidates.reduce((sum, { sizeBytes }) => sum + sizeBytes, 0)
  const done = new Map<Candidate, number>()
  const tell = (): void => {
    const read = [...done].reduce((sum, [{ sizeBytes }, fraction]) => sum + sizeBytes * fraction, 0)
    report(read / Math.max(1, bytes), `${found.length} of ${takes.length} found`)
  }
  const waiting = likelyFirst(candidates)
  const worker = async (): Promise<void> => {
    for (let next = waiting.shift(); next !== undefined && !signal.aborted; next = waiting.shift()) {
      const candidate = next
      const { path } = candidate
      if (candidate.takes.some(({ sha256 }) => wanted.has(sha256))) {
        try {
          const sha256 = await pool.run(
            'hashFile',
            { path },
            {
              signal,
              onProgress: (fraction) => {
                done.set(candidate, fraction)
                tell()
              },
            },
          )
          const take = wanted.get(sha256)
          if (take !== undefined) {
            wanted.delete(sha256)
            found.push({ id: take.id, path })
          }
        } catch {
          // Another file of the folder may still be the take.
          unread++
        }
      }
      done.set(candidate, 1)
      tell()
    }
  }
  await Promise.all(Array.from({ length: pool.threads }, worker))
  if (signal.aborted) throw cancelledFailure()
  return { found, files, unread }
}

/** Files that have kept the name of a take are probably that take. */
function likelyFirst(candidates: readonly Candidate[]): Candidate[] {
  const hasName = ({ path, takes }: Candidate): boolean =>
    takes.some((take) => basename(take.path) === basename(path))
  return candidates.toSorted((a, b) => Number(hasName(b)) - Number(hasName(a)))
}

async function listCandidates(
  folder: string,
  takes: readonly Take[],
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
    const possible = takes.filter((take) => mayBe(take, sizeBytes))
    if (possible.length > 0) candidates.push({ path, sizeBytes, takes: possible })
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

/** Whether a file of this size can have the bytes of the take. */
function mayBe(
  { sizeBytes: known, frames, channels, encoding, container }: Take,
  sizeBytes: number,
): boolean {
  if (known !== null) return sizeBytes === known
  // The name of an encoding ends in its bits per sample.
  const soundBytes = (frames * channels * Number(/\d+$/.exec(encoding)?.[0] ?? 32)) / 8
  const least = container === 'flac' ? 0 : soundBytes
  return sizeBytes > least && sizeBytes <= soundBytes + MOST_OTHER_BYTES
}
