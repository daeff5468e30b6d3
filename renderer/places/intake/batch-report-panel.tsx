// Report of the last import: how many takes were imported, which files were rejected, and why.

import { countOf } from '../../../app/words/numbers.ts'
import { dismissBatchReport, useBatchReport } from '../../acts/batch-acts.ts'
import { Button } from '../../parts/button.tsx'

/** Shown after an import until it is dismissed. */
export function BatchReportPanel() {
  const report = useBatchReport()
  if (report === null) return null
  return (
    <section
      className="batch-report"
      aria-label="Import report"
      data-refused={report.refused.length > 0 || undefined}
    >
      <div className="batch-report-head">
        <h2>
          {countOf(report.taken, 'take')} imported
          {report.refused.length > 0 ? `, ${countOf(report.refused.length, 'file')} rejected` : ''}
        </h2>
        <Button look="plain" onPress={dismissBatchReport}>
          Close
        </Button>
      </div>
      <ul>
        {report.refused.map(({ path, failure }) => (
          <li key={path}>
            {failure.message.startsWith(path) ? null : <strong>{path}: </strong>}
            {failure.message}
          </li>
        ))}
        {report.remarks.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  )
}
