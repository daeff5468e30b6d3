// The lanes as a table: what each stage does in each phrase, and the level that comes out.

import type { StageKind } from '../../../../app/words/chain/setting-names.ts'
import { STAGE_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { formatNumber } from '../../../../app/words/format.ts'
import { addedOver, lanesOf } from '../../../formats/song/lanes.ts'
import { measurementOver, rowsOfSeconds } from '../../../formats/song/range-figures.ts'
import { spanWords, type TakePlace, type TakeRange } from '../../../formats/song/song-ranges.ts'
import { Button } from '../../../parts/button.tsx'
import type { SongOfStages } from '../river/use-song.ts'

const numberOf = (value: number | null): string => (value === null ? '—' : formatNumber(value, 1))

export interface SongTableProps {
  readonly song: SongOfStages
  readonly place: TakePlace
  readonly ranges: readonly TakeRange[]
  readonly onChoose: (range: TakeRange) => void
}

export function SongTable({ song, place, ranges, onChoose }: SongTableProps) {
  const lanes = lanesOf(song, song.stages)
  return (
    <div className="joint-table-frame">
      <table className="joint-table">
        <caption>
          Along the song: loudness (BS.1770) before and behind the chain, and what each stage that acts on
          level does, usual and most. The usual figure is the median while the voice sounds.
        </caption>
        <thead>
          <tr>
            <th scope="col">Range</th>
            <th scope="col">Time</th>
            <th scope="col">
              In <small>LUFS</small>
            </th>
            <th scope="col">
              Out <small>LUFS</small>
            </th>
            {lanes.map(({ stage, kind, measure }) => (
              <th key={stage} scope="col">
                {STAGE_NAMES[kind as StageKind]}{' '}
                <small>{measure === 'added' ? 'added, dB' : 'usual / most, dB'}</small>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {ranges.map((range) => {
            const rows = rowsOfSeconds(song.layout, range.fromSeconds, range.toSeconds)
            if (rows === null) return null
            const { joints, stages } = measurementOver(song, song, rows)
            return (
              <tr key={range.fromSeconds}>
                <th scope="row">
                  <Button look="plain" onPress={() => onChoose(range)}>
                    {range.name}
                  </Button>
                </th>
                <td className="number">{spanWords(place, range)}</td>
                <td className="number">{numberOf(joints[0].loudnessLufs)}</td>
                <td className="number">{numberOf(joints[joints.length - 1].loudnessLufs)}</td>
                {lanes.map((lane) => (
                  <td key={lane.stage} className="number">
                    {lane.measure === 'added'
                      ? numberOf(addedOver(lane, song, rows))
                      : `${numberOf(stages[lane.stage].medianReductionDb)} / ${numberOf(stages[lane.stage].maxReductionDb)}`}
                  </td>
                ))}
              </tr>
            )
          })}
        </tbody>
      </table>
    </div>
  )
}
