// Result of a bounce: stems with their levels, and a button to verify them.

import { useState } from 'react'
import { formatNumber } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { dismissBounceOutcome, useBounceOutcome } from '../../acts/bounce-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { bridge } from '../../state/connection.ts'
import { attempt } from '../../state/notices.ts'
import { splitPath } from './bounce-folder.ts'
import { VerifyBounce } from './verify-bounce.tsx'

/** The unit stands in the head of the column. */
const figure = (value: number | null): string => (value === null ? '—' : formatNumber(value, 1))

/** Shows the last finished bounce until it is dismissed. */
export function BounceResult() {
  const outcome = useBounceOutcome()
  const [isCopied, setCopied] = useState(false)
  if (outcome === null) return null
  const { folder } = splitPath(outcome.manifest)
  const copy = async (): Promise<void> => {
    const done = await attempt('The folder could not be copied', async () => {
      await navigator.clipboard.writeText(folder)
      return true
    })
    setCopied(done === true)
  }
  const { showFile } = bridge
  return (
    <Dialog
      title={`Bounced ${countOf(outcome.stems.length, 'stem')}`}
      isOpen
      onClose={dismissBounceOutcome}
      width="wide"
    >
      <div className="bounce-at">
        <span className="bounce-at-path" title={folder}>
          {folder}
        </span>
        {showFile === null ? null : (
          <Button
            onPress={() => void attempt('The folder could not be shown', () => showFile(outcome.manifest))}
          >
            Show in folder
          </Button>
        )}
        <Button onPress={() => void copy()}>{isCopied ? 'Copied' : 'Copy folder'}</Button>
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a long list scrolls, also by keyboard */}
      <section className="bounce-stems" aria-label="Stems" tabIndex={0}>
        <table>
          <thead>
            <tr>
              <th scope="col">Stem</th>
              <th scope="col">File</th>
              <th scope="col" className="bounce-figure">
                LUFS
              </th>
              <th scope="col" className="bounce-figure">
                dBTP
              </th>
            </tr>
          </thead>
          <tbody>
            {outcome.stems.map((stem) => (
              <tr key={stem.path}>
                <th scope="row">{stem.name}</th>
                <td className="bounce-file">{splitPath(stem.path).file}</td>
                <td className="bounce-figure number">{figure(stem.integratedLufs)}</td>
                <td className="bounce-figure number">{figure(stem.truePeakDbtp)}</td>
              </tr>
            ))}
            <tr>
              <th scope="row">Manifest</th>
              <td className="bounce-file">{splitPath(outcome.manifest).file}</td>
              <td />
              <td />
            </tr>
          </tbody>
        </table>
      </section>
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
