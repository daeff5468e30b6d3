// The measurement as a table: every joint, strand and stage.

import { STRANDS } from '../../../../app/contract/joints.ts'
import { STAGE_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { EQUAL_LOUDNESS } from '../../../../app/words/equal-loudness.ts'
import { formatNumber } from '../../../../app/words/format.ts'
import type { ChainRows } from '../../../formats/chain/chain-rows.ts'
import type { MeasuredChain } from './match-measurement.ts'

const numberOf = (value: number | null): string => (value === null ? '—' : formatNumber(value, 1))

export interface JointTableProps {
  readonly chain: MeasuredChain
  readonly rows: ChainRows
  /** The part of the take that the figures are of, in words, until the whole is measured; null for all of it. */
  readonly part: string | null
}

export function JointTable({ chain, rows, part }: JointTableProps) {
  const lines = [
    { key: 0, name: 'In', joint: chain.input, of: chain.ofInput, stage: null },
    ...rows.map((row, index) => ({
      key: row.key,
      name: `After ${STAGE_NAMES[row.stage.kind]}${row.stage.on ? '' : ' (off)'}`,
      joint: chain.rows[index].after,
      of: chain.rows[index].ofJoint,
      stage: chain.rows[index].stage,
    })),
  ]
  return (
    <div className="joint-table-frame">
      <table className="joint-table">
        <caption>
          {part === null ? '' : `From ${part} only, until the whole take is measured. `}
          Measured over the active parts of the take, without its pauses: RMS level, peak, crest factor,
          loudness (BS.1770), the level of each strand, and gain reduction. {EQUAL_LOUDNESS}
        </caption>
        <thead>
          <tr>
            <th scope="col">Joint</th>
            <th scope="col">
              Level <small>dBFS</small>
            </th>
            <th scope="col">
              Peak <small>dBFS</small>
            </th>
            <th scope="col">
              Crest <small>dB</small>
            </th>
            <th scope="col">
              Loudness <small>LUFS</small>
            </th>
            {STRANDS.map(({ name }) => (
              <th key={name} scope="col">
                {name} <small>dBFS</small>
              </th>
            ))}
            <th scope="col">
              Gain reduction, median <small>dB</small>
            </th>
            <th scope="col">
              Gain reduction, max <small>dB</small>
            </th>
          </tr>
        </thead>
        <tbody>
          {lines.map(({ key, name, joint, of, stage }) => {
            const textOf = (value: number | null): string => numberOf(of === 'unknown' ? null : value)
            return (
              <tr key={key} data-stale={of !== 'measured' || undefined}>
                <th scope="row">
                  {name}
                  {of === 'measured' ? (
                    ''
                  ) : (
                    <span className="visually-hidden"> (before the last change)</span>
                  )}
                </th>
                <td>{textOf(joint.levelDbfs)}</td>
                <td>{textOf(joint.samplePeakDbfs)}</td>
                <td>{textOf(joint.crestDb)}</td>
                <td>{textOf(joint.loudnessLufs)}</td>
                {STRANDS.map(({ name: strand }, index) => (
                  <td key={strand}>{textOf(joint.strandsDbfs[index])}</td>
                ))}
                <td>{numberOf(stage?.medianReductionDb ?? null)}</td>
                <td>{numberOf(stage?.maxReductionDb ?? null)}</td>
              </tr>
            )
          })}
        </tbody>
      </table>
    </div>
  )
}
