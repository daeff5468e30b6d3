// Compares versions of a group's chain by ear in the whole stack.

import type { Group } from '../../../app/contract/entities.ts'
import { ByEarDialog } from '../../panels/by-ear/by-ear-dialog.tsx'
import { stackTarget } from '../../panels/by-ear/ear-target.ts'
import { useCurrentSession } from '../../state/queries.ts'

/** The dialog; nothing for a group without a chain. */
export function GroupByEar({ group, onClose }: { group: Group; onClose: () => void }) {
  const contents = useCurrentSession().data
  const isShared = contents?.session.chainSharing === 'shared'
  const versionId = isShared ? contents.session.sharedChainVersionId : group.chainVersionId
  const version = contents?.chainVersions.find(({ id }) => id === versionId)
  if (version === undefined) return null
  return (
    <ByEarDialog
      target={stackTarget(group.sessionId, isShared ? null : group.id, group.name)}
      voiceId={version.voiceId}
      current={version.stages}
      currentName="As in the stack"
      from={null}
      onClose={onClose}
    />
  )
}
