// Makes one version of two newest versions of a chain.

import type { BookVersion } from '../../../app/contract/book/voice-book.ts'
import type { ChainStages } from '../../../app/contract/chain-document.ts'
import { versionNumber } from '../../formats/chain/version-words.ts'
import { client } from '../../state/connection.ts'
import { attempt, remark } from '../../state/notices.ts'

type Joined = BookVersion & { readonly chainName: string }

/**
 * Saves the stages of `kept` as a version that was made from both. Both stay as they are, so there is nothing to undo.
 * A failure becomes a notice.
 */
export async function joinVersions(
  voiceId: number,
  other: Joined,
  kept: Joined,
  stages: ChainStages,
): Promise<void> {
  const saved = await attempt('The versions were not joined', () =>
    client.saveChain({
      ...{ voiceId, chainId: kept.chainId, name: kept.chainName, stages },
      note: `joins ${versionNumber(kept)} and ${versionNumber(other)}, with the settings of ${versionNumber(kept)}`,
      ...{ editedId: kept.id, mergedId: other.id },
    }),
  )
  if (saved !== undefined) {
    remark(
      `Saved ${saved.chainName} as version ${versionNumber(saved)}`,
      'Sessions keep the version they use; choose the new one in Chain.',
    )
  }
}
