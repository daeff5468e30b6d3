// Reads the file of a take again and tells what has become of it. Nothing is repaired.

import { resolve } from 'node:path'
import type { Take, TakeCheckResult } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { type FileIdentity, identityIfAny, isUntouched } from '../../files/file-identity.ts'
import { catalogueRoot } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'

export interface AuditedTake {
  readonly take: Take
  /** Absolute. */
  readonly path: string
  readonly result: TakeCheckResult
  /** Whether the check before, or the import, found something else. */
  readonly isNews: boolean
}

const DAY_MS = 24 * 3600 * 1000

/** 24 hours before a time, both in ISO 8601. */
export const dayBefore = (at: string): string => new Date(Date.parse(at) - DAY_MS).toISOString()

/**
 * Hashes the take's own file and stores the result.
 * @returns null where something has changed the file meanwhile; nothing can be said of it then
 * @throws Failure 'cancelled'
 */
export async function auditTake(
  workplace: Workplace,
  takeId: number,
  signal: AbortSignal,
): Promise<AuditedTake | null> {
  const { catalogue, pool, now, verifiedFiles } = workplace
  const take = catalogue.takes.get(takeId)
  const path = resolve(catalogueRoot(catalogue.path), take.path)
  const before = identityIfAny(path)
  const store = (result: TakeCheckResult): AuditedTake => {
    const at = now()
    const isNews = catalogue.takeChecks.insert(
      {
        takeId,
        checkedAt: at,
        sizeBytes: Number(before?.sizeBytes ?? take.sizeBytes ?? 0),
        modifiedNs: before === null ? null : String(before.modifiedNs),
        result,
      },
      dayBefore(at),
    )
    return { take, path, result, isNews }
  }
  if (before === null) return store('missing')
  // A folder, say, of the file's name: the file itself is gone.
  if (!before.isFile) return store('missing')
  let sha256: string | null
  try {
    sha256 = await pool.run('hashFile', { path }, { signal })
  } catch (error) {
    if (signal.aborted || !(error instanceof Failure)) throw error
    sha256 = null
  }
  const after = identityIfAny(path)
  if (after === null || !isUntouched(after, before) || after.changedNs !== before.changedNs) return null
  if (sha256 === null) return store('unreadable')
  if (sha256 === take.sha256) {
    verifiedFiles.noteIfUntouched(path, sha256, before)
    return store('sound')
  }
  const result = hasRotted(workplace, take, path, before) ? 'rot' : 'edited'
  verifiedFiles.noteOther(path, take.sha256, before)
  return store(result)
}

/**
 * Whether other bytes are damage of the disk: the file has the size of the import, and the time stamp of when its
 * bytes were last right. Where that is not known, a file that was not written to since the import counts as rotten.
 */
function hasRotted(
  { catalogue, verifiedFiles }: Workplace,
  take: Take,
  path: string,
  { sizeBytes, modifiedNs, inode }: FileIdentity,
): boolean {
  if (take.sizeBytes !== null && sizeBytes !== BigInt(take.sizeBytes)) return false
  const noted = verifiedFiles.lastRead(path, take.sha256)
  if (noted !== null) return noted.modifiedNs === String(modifiedNs) && noted.inode === String(inode)
  const sound = catalogue.takeChecks.latestSound(take.id)
  if (sound !== undefined) return sound.modifiedNs === String(modifiedNs)
  return modifiedNs <= BigInt(Date.parse(take.importedAt)) * 1_000_000n
}
