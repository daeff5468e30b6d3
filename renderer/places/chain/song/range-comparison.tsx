// Two ranges of the song beside one another, both through the chain as it is: verse against hook.

import { STRANDS } from '../../../../app/contract/joints.ts'
import type { StageKind } from '../../../../app/words/chain/setting-names.ts'
import { STAGE_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { formatGain, formatNumber } from '../../../../app/words/format.ts'
import { lanesOf } from '../../../formats/song/lanes.ts'
import { measurementOver, rowsOfSeconds, wholeOf } from '../../../formats/song/range-figures.ts'
import { spanWords, type TakePlace, type TakeRange } from '../../../formats/song/song-ranges.ts'
import { Button } from '../../../parts/button.tsx'
import type { SongOfStages } from '../river/use-song.ts'

export interface RangeComparisonProps {
  readonly song: SongOfStages
  readonly kept: TakeRange
  /** null for the whole. */
  readonly range: TakeRange | null
  readonly wholeName: string
  readonly place: TakePlace
  readonly onLeave: () => void
  readonly onSwap: () => void
}

interface Line {
  readonly name: string
  readonly unit: string
  readonly kept: number | null
  readonly now: number | null
}

function linesOf(song: SongOfStages, kept: TakeRange, range: TakeRange | null): Line[] {
  const over = (one: TakeRange | null) => {
    const rows = one === null ? wholeOf(song) : rowsOfSeconds(song.layout, one.fromSeconds, one.toSeconds)
    return rows === null ? null : measurementOver(song, song, rows)
  }
  const before = over(kept)
  const now = over(range)
  const last = song.joints.length - 1
  const out = [before?.joints[last], now?.joints[last]]
  return [
    { name: 'Loudness', unit: 'LUFS', kept: out[0]?.loudnessLufs ?? null, now: out[1]?.loudnessLufs ?? null },
    { name: 'Crest', unit: 'dB', kept: out[0]?.crestDb ?? null, now: out[1]?.crestDb ?? null },
    ...STRANDS.map(({ name }, s) => ({
      name,
      unit: 'dBFS',
      kept: out[0]?.strandsDbfs[s] ?? null,
      now: out[1]?.strandsDbfs[s] ?? null,
    })),
    ...lanesOf(song, song.stages)
      .filter(({ measure }) => measure === 'reduction')
      .map(({ stage, kind }) => ({
        name: `${STAGE_NAMES[kind as StageKind]}, usual`,
        unit: 'dB',
        kept: before?.stages[stage].medianReductionDb ?? null,
        now: now?.stages[stage].medianReductionDb ?? null,
      })),
  ]
}

const numberOf = (value: number | null): string => (value === null ? '—' : formatNumber(value, 1))

export function RangeComparison({
  song,
  kept,
  range,
  wholeName,
  place,
  onLeave,
  onSwap,
}: RangeComparisonProps) {
  const lines = linesOf(song, kept, range)
  const nowName = range?.name ?? wholeName
  return (
    <div className="song-comparison">
      <div className="song-comparison-scroll">
        <table className="joint-table">
          <caption className="visually-hidden">
            {`What comes out of the chain in ${kept.name} and in ${nowName}`}
          </caption>
          <thead>
            <tr>
              <th scope="col">Behind the chain</th>
              {lines.map(({ name, unit }) => (
                <th key={name} scope="col">
                  {name} <small>{unit}</small>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            <tr>
              <th scope="row">
                {kept.name} <small>{spanWords(place, kept)}</small>
              </th>
              {lines.map((line) => (
                <td key={line.name} className="number">
                  {numberOf(line.kept)}
                </td>
              ))}
            </tr>
            <tr>
              <th scope="row">
                {nowName} <small>{range === null ? '' : spanWords(place, range)}</small>
              </th>
              {lines.map((line) => (
                <td key={line.name} className="number">
                  {numberOf(line.now)}
                </td>
              ))}
            </tr>
            <tr>
              <th scope="row">Difference</th>
              {lines.map((line) => (
                <td key={line.name} className="number">
                  {line.kept === null || line.now === null ? '—' : formatGain(line.now - line.kept)}
                </td>
              ))}
            </tr>
          </tbody>
        </table>
      </div>
      <div className="song-comparison-acts">
        <Button look="plain" onPress={onSwap}>
          Swap ranges
        </Button>
        <Button look="plain" onPress={onLeave}>
          End comparison
        </Button>
      </div>
    </div>
  )
}
