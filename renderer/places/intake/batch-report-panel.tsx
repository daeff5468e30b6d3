// Report of the last import in one line: how many takes, whether it was cancelled, problems and remarks. It
// unfolds to the list, and closes.

import { useState } from 'react'
import { countOf } from '../../../app/words/numbers.ts'
import { dismissBatchReport, useBatchReport } from '../../acts/batch-acts.ts'
import { importWords } from '../../formats/import-words.ts'
import { Button } from '../../parts/button.tsx'
import { CloseSign, OpenSign } from '../../parts/signs.tsx'

/** Shown after an import until it is dismissed or the next import begins. */
export function BatchReportPanel({ sessionId }: { sessionId: number }) {
  const report = useBatchReport(sessionId)
  const [isOpen, setOpen] = useState(false)
  if (report === null) return null
  const { refused, remarks } = report
  const counts = [
    ...(refused.length > 0 ? [countOf(refused.length, 'problem')] : []),
    ...(remarks.length > 0 ? [countOf(remarks.length, 'remark')] : []),
  ].join(', ')
  return (
    <section
      className="batch-report"
      aria-label="Import report"
      data-refused={refused.length > 0 || undefined}
    >
      <div className="batch-report-head" role="status">
        <span>{importWords(report)}.</span>
        {counts === '' ? null : (
          <Button
            look="plain"
            aria-expanded={isOpen}
            className="batch-report-open"
            onPress={() => setOpen(!isOpen)}
          >
            {counts} <OpenSign />
          </Button>
        )}
        <Button look="sign" aria-label="Close the report" onPress={() => dismissBatchReport(sessionId)}>
          <CloseSign />
        </Button>
      </div>
      {isOpen ? (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the list scrolls, so the keyboard must reach it
        <ul tabIndex={0} aria-label="Problems and remarks">
          {refused.map(({ path, failure }) => (
            <li key={path}>
              {failure.message.startsWith(path) ? null : <strong>{path}: </strong>}
              {failure.message}
            </li>
          ))}
          {remarks.map((sentence) => (
            <li key={sentence} className="soft">
              {sentence}
            </li>
          ))}
        </ul>
      ) : null}
    </section>
  )
}
