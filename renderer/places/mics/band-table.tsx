// Bands of a correction as a table.

import type { Band } from '../../../app/contract/chain-document.ts'
import { formatFrequency, formatNumber } from '../../../app/words/format.ts'
import { signed } from './curves/curve-plot.tsx'

const SHAPES = { 'low-shelf': 'low shelf', bell: 'bell', 'high-shelf': 'high shelf' } as const

/** Shape, frequency, gain in dB and Q of each band. */
export const BandTable = ({ bands, caption }: { bands: readonly Band[]; caption: string }) => (
  <table className="band-table">
    <caption>{caption}</caption>
    <thead>
      <tr>
        <th scope="col">Shape</th>
        <th scope="col">Frequency</th>
        <th scope="col">dB</th>
        <th scope="col">Q</th>
      </tr>
    </thead>
    <tbody>
      {bands.map((band) => (
        <tr key={`${band.shape} ${band.frequencyHz}`}>
          <th scope="row">{SHAPES[band.shape]}</th>
          <td>{formatFrequency(Number(band.frequencyHz.toPrecision(3)))}</td>
          <td>{signed(band.gainDb)}</td>
          <td>{formatNumber(band.q, 2)}</td>
        </tr>
      ))}
    </tbody>
  </table>
)
