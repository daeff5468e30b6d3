// What a delivery will write: rate, length, chains, every file with its size, and what changed since the one before.

import type { DeliveryPreview as Preview } from '../../../app/contract/delivery/delivery-outcome.ts'
import { deliveryChangesWords, versionWord } from '../../../app/words/deliveries.ts'
import { formatBytes, formatDuration, formatRate } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { DialogFailure } from '../../parts/dialog.tsx'

const chainWords = ({ of, name, number }: Preview['chains'][number]): string =>
  `${of === '' ? 'All groups' : of}: ${number === 0 ? 'no chain' : `${name} v${number}`}`

/** @param complaint why nothing can be written @param printsPdf whether the recall sheet is written as PDF too */
export function DeliveryPreview({
  preview,
  complaint,
  printsPdf,
}: {
  preview: Preview | undefined
  complaint: string | null
  printsPdf: boolean
}) {
  if (complaint !== null || preview === undefined) {
    return (
      <div className="delivery-preview">
        <DialogFailure message={complaint} />
      </div>
    )
  }
  const { number, files, bytes, seconds, sampleRateHz, rangeName, chains, changes, remarks } = preview
  return (
    <section className="delivery-preview" aria-label="What will be written">
      <p className="delivery-example" title={preview.example}>
        {preview.example}
      </p>
      <dl>
        <dt>Version</dt>
        <dd>
          {versionWord(number)}, {deliveryChangesWords(number, changes)}
        </dd>
        <dt>Length</dt>
        <dd>
          {formatDuration(seconds)} at {formatRate(sampleRateHz)}
          {rangeName === '' ? '' : `, ${rangeName}`}
        </dd>
        <dt>Chains</dt>
        <dd>{chains.map(chainWords).join('; ')}</dd>
        <dt>Size</dt>
        <dd>
          {countOf(files.length, 'file')}, about {formatBytes(bytes)}
        </dd>
      </dl>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a long list scrolls, also by keyboard */}
      <div className="delivery-files" tabIndex={0}>
        <table aria-label="Files">
          <tbody>
            {files.map(({ path, bytes: size, kind }) => (
              <tr key={path}>
                <td className="delivery-file" title={path}>
                  {path}
                </td>
                <td className="number">{kind === 'document' ? '' : formatBytes(size)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {printsPdf ? null : (
        <p className="soft">
          The recall sheet is written as HTML only, because a browser cannot write a PDF for Takeloft. Print
          recall.html, or deliver from the desktop program.
        </p>
      )}
      {remarks.map((sentence) => (
        <p key={sentence} className="soft">
          {sentence}
        </p>
      ))}
    </section>
  )
}
