// Maintenance of an open catalogue: a large file, whose check would delay the start, is checked in a worker
// thread, and snapshots are kept while a window works on it.

import { isQuickToCheck } from '../../db/care/damage.ts'
import { Failure } from '../contract/failure.ts'
import { auditWhileIdle } from './keeping/audit.ts'
import type { Workplace } from './workplace.ts'

const SNAPSHOT_EVERY_MS = 3_600_000

/** @throws Failure `catalogue-damaged`; a small catalogue was checked when it was opened */
export async function checkCatalogue({ catalogue, pool }: Workplace): Promise<void> {
  if (!isQuickToCheck(catalogue.path)) await pool.run('checkCatalogue', { path: catalogue.path })
}

/**
 * Checks the catalogue, keeps hourly snapshots, reads takes again while there is nothing else to do, and reports
 * damage to the windows.
 * @returns a function that stops it
 */
export function careForCatalogue(workplace: Workplace): () => void {
  const { catalogue, pool, now } = workplace
  const warn = (error: unknown): void => {
    if (error instanceof Failure) workplace.warn(error.message)
  }
  // This job also checks the catalogue for damage first.
  const keep = (): void => void pool.run('keepSnapshot', { path: catalogue.path, now: now() }).catch(warn)
  keep()
  const timer = setInterval(keep, SNAPSHOT_EVERY_MS)
  timer.unref()
  const stopAudit = auditWhileIdle(workplace)
  return () => {
    clearInterval(timer)
    void stopAudit()
  }
}
