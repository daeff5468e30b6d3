// A delivery that went out: where it is, what changed, and a button to verify it.

import { deliveryManifestAt } from '../../../../app/contract/delivery/delivery-place.ts'
import type { LedgerEntry } from '../../../../app/contract/entities.ts'
import { deliveryChangesWords, versionWord } from '../../../../app/words/deliveries.ts'
import { formatMoment } from '../../../../app/words/format.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { VerifyBounce } from '../../../panels/bounce/verify-bounce.tsx'
import { Button } from '../../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../../parts/dialog.tsx'
import { bridge } from '../../../state/connection.ts'
import { attempt } from '../../../state/notices.ts'
import { openSession } from './open-things.ts'

export type DeliveredEntry = Pick<
  Extract<LedgerEntry, { kind: 'delivered' }>,
  'songTitle' | 'number' | 'folder' | 'files' | 'changes' | 'at' | 'sessionId'
>

export function DeliveredDialog({ delivery, onClose }: { delivery: DeliveredEntry; onClose: () => void }) {
  const { songTitle, number, folder, files, changes, at, sessionId } = delivery
  const manifest = deliveryManifestAt(folder)
  const words = deliveryChangesWords(number, changes)
  const { showFile } = bridge
  return (
    <Dialog title={`${songTitle}, delivered ${versionWord(number)}`} isOpen onClose={onClose} width="wide">
      <p>
        {formatMoment(at)}, {countOf(files, 'file')}. {words.charAt(0).toUpperCase()}
        {words.slice(1)}.
      </p>
      <p className="bounce-path">{folder}</p>
      <VerifyBounce manifestPath={manifest} name={`${songTitle}, ${versionWord(number)}`} />
      <DialogButtons>
        {showFile === null ? null : (
          <Button onPress={() => void attempt('The folder could not be shown', () => showFile(manifest))}>
            Show in folder
          </Button>
        )}
        {sessionId === null ? null : (
          <Button
            onPress={() => {
              onClose()
              openSession(sessionId)
            }}
          >
            Open session
          </Button>
        )}
        <Button look="main" autoFocus onPress={onClose}>
          Close
        </Button>
      </DialogButtons>
    </Dialog>
  )
}
