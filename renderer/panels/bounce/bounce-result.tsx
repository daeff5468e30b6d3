// Result of a bounce: stems with their levels, and a button to verify them.

import { countOf } from '../../../app/words/numbers.ts'
import { dismissBounceOutcome, useBounceOutcome } from '../../acts/bounce-acts.ts'
import { formatLevel } from '../../formats/format.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { VerifyBounce } from './verify-bounce.tsx'

/** Shows the last finished bounce until it is dismissed. */
export function BounceResult() {
  const outcome = useBounceOutcome()
  if (outcome === null) return null
  return (
    <Dialog
      title={`Bounced ${countOf(outcome.stems.length, 'stem')}`}
      isOpen
      onClose={dismissBounceOutcome}
      width="wide"
    >
      <ul className="file-list">
        {outcome.stems.map((stem) => (
          <li key={stem.path}>
            <span className="file-list-name">{stem.name}</span>
            <span className="file-list-path">{stem.path}</span>
            <span className="file-list-levels number">
              {formatLevel(stem.integratedLufs, 'LUFS')}, {formatLevel(stem.truePeakDbtp, 'dBTP')}
            </span>
          </li>
        ))}
        <li>
          <span className="file-list-name">Manifest</span>
          <span className="file-list-path">{outcome.manifest}</span>
        </li>
      </ul>
      {outcome.remarks.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <VerifyBounce manifestPath={outcome.manifest} name="this bounce" />
      <DialogButtons>
        <Button look="main" onPress={dismissBounceOutcome}>
          Close
        </Button>
      </DialogButtons>
    </Dialog>
  )
}
