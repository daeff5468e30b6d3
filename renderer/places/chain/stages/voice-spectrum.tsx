// The voice's third octaves before and after a stage, behind its response: of the range, and of the moment while it plays.

import { useMemo } from 'react'
import { ROW_BANDS_HZ } from '../../../../app/contract/song/joint-rows.ts'
import { withUnit } from '../../../../app/words/format.ts'
import { bandLevelsOver } from '../../../formats/song/band-levels.ts'
import { momentRowsAt } from '../../../formats/song/moment.ts'
import { activeRuns, rowsOfSeconds, wholeOf } from '../../../formats/song/range-figures.ts'
import type { TakeRange } from '../../../formats/song/song-ranges.ts'
import { PlotCurve } from '../../../parts/plot/plot-curves.tsx'
import { usePlotScale } from '../../../parts/plot/plot-scale.ts'
import { useHeardMoment } from '../river/heard-chain.tsx'
import { placeInSong, type SongOfStages } from '../river/use-song.ts'

/** From the top of the plot to its bottom. The gains of the bands have a scale of their own. */
const HEIGHT_DB = 60
/** Room above the loudest band of the range, so that louder moments fit. */
const ROOM_DB = 12
const LABEL_PX = 14

export interface VoiceSpectrumProps {
  readonly song: SongOfStages
  readonly range: TakeRange | null
  /** Key of the stage's row, and its place in the chain. */
  readonly rowKey: number
  readonly index: number
  /** Ends of the axis of gains, dB. */
  readonly fromDb: number
  readonly toDb: number
}

type Levels = readonly (number | null)[]

export function VoiceSpectrum({ song, range, rowKey, index, fromDb, toDb }: VoiceSpectrumProps) {
  const { left, top } = usePlotScale()
  const moment = useHeardMoment()
  const stage = placeInSong(song, rowKey, index)
  const before = song.joints[stage]
  const after = song.joints[stage + 1]
  const [usualBefore, usualAfter] = useMemo((): readonly [Levels, Levels] => {
    if (before === undefined || after === undefined) return [[], []]
    const rows =
      (range === null ? null : rowsOfSeconds(song.layout, range.fromSeconds, range.toSeconds)) ??
      wholeOf(song)
    const runs = activeRuns(song.joints[0], rows)
    return [bandLevelsOver(before, runs), bandLevelsOver(after, runs)]
  }, [song, before, after, range])
  const loudest = Math.max(...usualBefore.map((level) => level ?? Number.NEGATIVE_INFINITY))
  if (before === undefined || after === undefined || !Number.isFinite(loudest)) return null
  const runs = moment === null ? null : [momentRowsAt(moment.row)]
  const curves = [
    ['voice-before', runs === null ? usualBefore : bandLevelsOver(before, runs)],
    ['voice-after', runs === null ? usualAfter : bandLevelsOver(after, runs)],
  ] as const
  /** A level on the axis of gains. */
  const placeOf = (level: number | null): number =>
    toDb - ((loudest + ROOM_DB - (level ?? -200)) / HEIGHT_DB) * (toDb - fromDb)
  return (
    <>
      {curves.map(([className, levels]) => (
        <PlotCurve
          key={className}
          xs={ROW_BANDS_HZ}
          ys={levels.map((level) => Math.max(2 * fromDb, placeOf(level)))}
          className={className}
        />
      ))}
      <text className="voice-spectrum-name" x={left + 6} y={top + LABEL_PX}>
        {moment === null ? (range?.name ?? 'Whole take') : 'Now'}: dashed before, solid after;{' '}
        {withUnit(String(HEIGHT_DB), 'dB')} high
      </text>
    </>
  )
}
