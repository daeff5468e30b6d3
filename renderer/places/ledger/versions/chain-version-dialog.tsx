// One saved version of a chain with all its settings, and the way to where it is used.

import { useQuery } from '@tanstack/react-query'
import { versionNumber } from '../../../formats/chain/version-words.ts'
import { Button } from '../../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../../parts/dialog.tsx'
import { chainVersionsQuery, sessionContentsQuery } from '../../../state/queries.ts'
import { queryClient } from '../../../state/query-client.ts'
import { goTo, selectGroup, selectSession } from '../../../state/selection.ts'
import { ChainSettings } from './chain-settings.tsx'

export interface ShownVersion {
  readonly chainId: number
  readonly chainVersionId: number
  /** A session that uses it; null if none does. */
  readonly sessionId: number | null
}

/** Opens the session that uses the version, with its group in Chain. */
async function openInChain({ sessionId, chainVersionId }: ShownVersion): Promise<void> {
  if (sessionId === null) return
  const { groups } = await queryClient.fetchQuery(sessionContentsQuery(sessionId))
  selectSession(sessionId)
  selectGroup(groups.find((group) => group.chainVersionId === chainVersionId)?.id ?? null)
  goTo('chain')
}

export function ChainVersionDialog({ version, onClose }: { version: ShownVersion; onClose: () => void }) {
  const { data, error } = useQuery(chainVersionsQuery(version.chainId))
  const shown = data?.find(({ id }) => id === version.chainVersionId)
  return (
    <Dialog
      title={shown === undefined ? 'Chain' : `${shown.chainName}, version ${versionNumber(shown)}`}
      isOpen
      onClose={onClose}
      width="wide"
    >
      {shown === undefined ? null : <ChainSettings version={shown} />}
      <DialogFailure message={error?.message ?? null} />
      <DialogButtons>
        <Button onPress={onClose}>Close</Button>
        <Button
          look="main"
          autoFocus
          isDisabled={version.sessionId === null}
          onPress={() => {
            onClose()
            void openInChain(version)
          }}
        >
          Open in Chain
        </Button>
      </DialogButtons>
    </Dialog>
  )
}
