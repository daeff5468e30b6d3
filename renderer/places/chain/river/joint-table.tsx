// The measurement as a table: every joint, strand and stage.

import { STRANDS } from '../../../../app/contract/joints.ts'
import type { ChainRows } from '../../../formats/chain/chain-rows.ts'
import { STAGE_NAMES } from '../../../formats/chain/stage-words.ts'
import { formatNumber } from '../../../formats/format.ts'
import type { MeasuredChain } from './use-chain-measurement.ts'

const numberOf = (value: number | null): string => (value === null ? '—' : formatNumber(value, 1))

export function JointTable({ chain, rows }: { chain: MeasuredChain; rows: ChainRows }) {
  const lines = [
    { key: 0, name: 'In', joint: chain.input, stage: null },
    ...rows.map((row, index) => ({
      key: row.key,
      name: `After ${STAGE_NAMES[row.stage.kind]}${row.stage.on ? '' : ' (off)'}`,
      joint: chain.rows[index].after,
      stage: chain.rows[index].stage,
    })),
  ]
  return (
    <div className="joint-table-frame">
      <table className="joint-table">
        <caption>
          Measured over the active parts of the take, without its pauses: RMS level, peak, crest factor,
          loudness (BS.1770), the level of each strand, and gain reduction.
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
          {lines.map(({ key, name, joint, stage }) => (
            <tr key={key}>
              <th scope="row">{name}</th>
              <td>{numberOf(joint.levelDbfs)}</td>
              <td>{numberOf(joint.samplePeakDbfs)}</td>
              <td>{numberOf(joint.crestDb)}</td>
              <td>{numberOf(joint.loudnessLufs)}</td>
              {STRANDS.map(({ name: strand }, index) => (
                <td key={strand}>{numberOf(joint.strandsDbfs[index])}</td>
              ))}
              <td>{numberOf(stage?.medianReductionDb ?? null)}</td>
              <td>{numberOf(stage?.maxReductionDb ?? null)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}
