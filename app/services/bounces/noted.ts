// What bounces, deliveries and archives have in common when they are noted: the chains in use, and the entry of the ledger.

import type { SessionContents } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { Manifest } from '../../contract/manifest.ts'

/**
 * Notes in the ledger what is complete on the disk. If the catalogue fails here, the files are still whole, and the
 * failure must say so.
 * @param whole what is whole and was not noted, for the failure; the stems by default
 */
export function noteDelivered(
  note: () => void,
  folder: string,
  whole = `The stems are whole in ${folder} and can be verified, but the ledger could not note them`,
): void {
  try {
    note()
  } catch (error) {
    if (!(error instanceof Failure)) throw error
    throw new Failure(error.code, `${whole}: ${error.message}`, { ...error.details, folder }, error)
  }
}

/** The saved chain versions that a session uses, as a manifest has them. */
export function chainsUsed({ session, groups, chainVersions }: SessionContents): Manifest['chains'] {
  const used =
    session.chainSharing === 'shared'
      ? [{ groupId: null, versionId: session.sharedChainVersionId }]
      : groups.map((group) => ({ groupId: group.id, versionId: group.chainVersionId }))
  return used.flatMap(({ groupId, versionId }) => {
    const version = chainVersions.find((one) => one.id === versionId)
    if (version === undefined) return []
    return [
      {
        groupId,
        chainVersionId: version.id,
        name: version.chainName,
        number: version.number,
        sha256: version.sha256,
      },
    ]
  })
}
