// A finished delivery: where it is, its files with their levels, what changed, and a button to verify it.

import { deliveryChangesWords, versionWord } from '../../../app/words/deliveries.ts'
import { formatBytes, formatNumber } from '../../../app/words/format.ts'
import { dismissDeliveryOutcome, useDeliveryOutcome } from '../../acts/delivery-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { bridge } from '../../state/connection.ts'
import { attempt } from '../../state/notices.ts'
import { VerifyBounce } from '../bounce/verify-bounce.tsx'
import './delivery.css'

const asSentence = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`

/** The unit stands in the head of the column. */
const figure = (value: number | null): string => (value === null ? '' : formatNumber(value, 1))

/** Shows the last finished delivery until it is dismissed. */
export function DeliveryResult() {
  const outcome = useDeliveryOutcome()
  if (outcome === null) return null
  const { showFile } = bridge
  return (
    <Dialog
      title={`Delivered ${versionWord(outcome.number)}`}
      isOpen
      onClose={dismissDeliveryOutcome}
      width="wide"
    >
      <div className="bounce-at">
        <span className="bounce-at-path" title={outcome.folder}>
          {outcome.folder}
        </span>
        {showFile === null ? null : (
          <Button
            onPress={() => void attempt('The folder could not be shown', () => showFile(outcome.manifest))}
          >
            Show in folder
          </Button>
        )}
      </div>
      <p>{asSentence(deliveryChangesWords(outcome.number, outcome.changes))}</p>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a long list scrolls, also by keyboard */}
      <section className="bounce-stems" aria-label="Files" tabIndex={0}>
        <table>
          <thead>
            <tr>
              <th scope="col">File</th>
              <th scope="col" className="bounce-figure">
                LUFS
              </th>
              <th scope="col" className="bounce-figure">
                dBTP
              </th>
              <th scope="col" className="bounce-figure">
                Size
              </th>
            </tr>
          </thead>
          <tbody>
            {outcome.files.map((file) => (
              <tr key={file.path}>
                <th scope="row" className="bounce-file delivery-row" title={file.name}>
                  {file.path}
                </th>
                <td className="bounce-figure number">{figure(file.integratedLufs)}</td>
                <td className="bounce-figure number">{figure(file.truePeakDbtp)}</td>
                <td className="bounce-figure number">{formatBytes(file.bytes)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      {outcome.remarks.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <VerifyBounce manifestPath={outcome.manifest} name="this delivery" />
      <DialogButtons>
        <Button look="main" onPress={dismissDeliveryOutcome}>
          Close
        </Button>
      </DialogButtons>
    </Dialog>
  )
}
