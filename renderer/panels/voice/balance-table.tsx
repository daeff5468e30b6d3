// Band balance of the voice compared with its earlier takes.

import type { UsualBalances, VoiceAnalysed } from '../../../app/contract/voice-analysis.ts'
import { formatGain, formatLevel, formatNumber } from '../../../app/words/format.ts'
import { asRead, BALANCES } from '../../formats/voice/voice-words.ts'
import { UsualLine } from './usual-line.tsx'

export interface BalanceTableProps {
  readonly bands: VoiceAnalysed['bands']
  readonly usual: UsualBalances
}

/**
 * Band balance of the take in dB, next to mean and standard deviation of earlier takes if there are
 * enough of them.
 */
export function BalanceTable({ bands, usual }: BalanceTableProps) {
  const takes = Math.max(0, ...BALANCES.map(({ name }) => usual[name]?.takes ?? 0))
  return (
    <table className="voice-table balance-table">
      <caption>
        {takes === 0
          ? 'Band balance in dB. With two or more takes of this voice from earlier sessions, its usual values are shown for comparison.'
          : `Band balance in dB compared with ${takes} earlier takes of this voice. Tick: mean. Thick line: standard deviation. Thin line: usual range. Dot: this take.`}
      </caption>
      <thead>
        <tr>
          <th scope="col">Band</th>
          <th scope="col">This take</th>
          {takes === 0 ? null : (
            <>
              <th scope="col">Usual</th>
              <th scope="col">Difference</th>
              <th scope="col">
                <span className="visually-hidden">Chart</span>
              </th>
            </>
          )}
        </tr>
      </thead>
      <tbody>
        {BALANCES.map(({ name, title, of }) => {
          const today = bands[name]
          const spread = usual[name]
          const away = today === null || spread === null ? null : today - spread.mean
          const isUnusual = away !== null && spread !== null && Math.abs(away) > spread.limit
          return (
            <tr key={name} data-unusual={isUnusual || undefined}>
              <th scope="row">
                {title} <span className="soft">{asRead(of)}</span>
              </th>
              <td>{formatLevel(today, '')}</td>
              {takes === 0 ? null : (
                <>
                  <td>
                    {spread === null
                      ? '—'
                      : `${formatNumber(spread.mean, 1)} ± ${formatNumber(spread.spread, 1)}`}
                  </td>
                  <td>
                    {away === null ? '—' : formatGain(away)}
                    {isUnusual ? <span className="visually-hidden"> outside the usual range</span> : null}
                  </td>
                  <td>
                    {today === null || spread === null ? null : <UsualLine today={today} usual={spread} />}
                  </td>
                </>
              )}
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}
