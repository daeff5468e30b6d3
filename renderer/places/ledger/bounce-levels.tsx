// Loudness and peaks of a bounce: its stems as its manifest has them, and the whole stack measured again.

import { useQuery } from '@tanstack/react-query'
import type { BounceRecord, SessionContents } from '../../../app/contract/entities.ts'
import { formatLevel, formatMoment } from '../../../app/words/format.ts'
import { roughLayerStemsOf } from '../../formats/rough-layer-stems.ts'
import { bounceLevelsQuery, bounceStackQuery } from '../../state/queries.ts'

interface Levels {
  readonly integratedLufs: number | null
  readonly loudnessRangeLu: number | null
  readonly truePeakDbtp: number | null
}

export function BounceLevels({ bounce, contents }: { bounce: BounceRecord; contents: SessionContents }) {
  const stems = useQuery(bounceLevelsQuery(bounce.id))
  const rough = stems.data?.some(({ kind }) => kind === 'layer') ? roughLayerStemsOf(contents) : null
  const stack = useQuery(bounceStackQuery(bounce.id))
  return (
    <section>
      <h4>Levels of the latest bounce, {formatMoment(bounce.createdAt)}</h4>
      {stems.error === null ? null : <p>{stems.error.message}</p>}
      <table>
        <thead>
          <tr>
            <th>Stem</th>
            <th className="number">Loudness</th>
            <th className="number">Range</th>
            <th className="number">True peak</th>
          </tr>
        </thead>
        <tbody>
          {(stems.data ?? []).map((stem) => (
            <Line key={stem.file} name={stem.name} levels={stem} />
          ))}
          {stack.data !== undefined ? (
            <Line name="Whole stack" levels={stack.data} />
          ) : (
            <tr>
              <td>Whole stack</td>
              <td colSpan={3} className="soft">
                {stack.error?.message ?? 'measuring…'}
              </td>
            </tr>
          )}
        </tbody>
      </table>
      {rough === null ? null : <p>{rough}</p>}
    </section>
  )
}

const Line = ({ name, levels }: { name: string; levels: Levels }) => (
  <tr>
    <td>{name}</td>
    <td className="number">{formatLevel(levels.integratedLufs, 'LUFS')}</td>
    <td className="number">{formatLevel(levels.loudnessRangeLu, 'LU')}</td>
    <td className="number">{formatLevel(levels.truePeakDbtp, 'dBTP')}</td>
  </tr>
)
