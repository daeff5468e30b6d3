// The check as tables: the findings in their order, and what each layer has of the stack in each band.

import type { StackCheck, StackFinding } from '../../../../app/contract/stack-check/stack-check.ts'
import { formatDuration, formatFrequency, formatNumber, withUnit } from '../../../../app/words/format.ts'
import { stackFindingWords, stackSuggestionWords } from '../../../../app/words/stack-findings.ts'
import { Button } from '../../../parts/button.tsx'

/** As in '0:12.3 to 0:15.0'. */
const timesOf = ({ fromS, toS }: StackFinding): string => `${formatDuration(fromS)} to ${formatDuration(toS)}`

export interface CheckTableProps {
  readonly check: StackCheck
  /** Index of the finding that is shown. */
  readonly shown: number | null
  readonly onShow: (finding: number) => void
}

export function CheckTable({ check, shown, onShow }: CheckTableProps) {
  const nameOf = (id: number): string => check.layers.find(({ layerId }) => layerId === id)?.name ?? ''
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, which needs the focus where nothing inside has it
    <section className="check-tables" aria-label="Stack check as tables" tabIndex={0}>
      <table className="check-table">
        <caption>Findings</caption>
        <thead>
          <tr>
            <th scope="col">No.</th>
            <th scope="col">Time</th>
            <th scope="col">Finding</th>
            <th scope="col">Suggestion</th>
          </tr>
        </thead>
        <tbody>
          {check.findings.map((finding, index) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: the index is the finding's number, and the list never changes
            <tr key={index} aria-current={index === shown || undefined}>
              <td className="number">{index + 1}</td>
              <td>
                <Button
                  look="plain"
                  aria-label={`${timesOf(finding)}, show finding ${index + 1}`}
                  onPress={() => onShow(index)}
                >
                  <span className="number">{timesOf(finding)}</span>
                </Button>
                {finding.places.length < 2 ? null : (
                  <span className="check-places soft">{finding.places.length} places</span>
                )}
              </td>
              <td>{stackFindingWords(finding, nameOf)}</td>
              <td>{finding.suggestion === null ? '—' : stackSuggestionWords(finding.suggestion, nameOf)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <table className="check-table">
        <caption>
          Build-up over the lead, and the share of each layer in percent; below 0 where it cancels
        </caption>
        <thead>
          <tr>
            <th scope="col">Band</th>
            <th scope="col">Build-up</th>
            {check.layers.map(({ layerId, name }) => (
              <th key={layerId} scope="col">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {check.bands
            .filter(({ shares }) => shares.length > 0)
            .map(({ hz, buildUpDb, shares }) => (
              <tr key={hz}>
                <th scope="row">{formatFrequency(hz)}</th>
                <td className="number">
                  {buildUpDb === null ? '—' : withUnit(formatNumber(buildUpDb, 1), 'dB')}
                </td>
                {shares.map(({ layerId, share }) => (
                  <td key={layerId} className="number">
                    {formatNumber(100 * share, 0)}
                  </td>
                ))}
              </tr>
            ))}
        </tbody>
      </table>
    </section>
  )
}
