// The figures beside the lanes: what a stage usually and at most does in the range; while it plays, what it does now, and
// the short-term loudness of what goes in and comes out. All are read from the rows, so that they agree with the lanes.

import type { MeasuredStage } from '../../../../app/contract/joints.ts'
import { formatNumber, withUnit } from '../../../../app/words/format.ts'
import { ADDED_FLOOR_DB, type Lane } from '../../../formats/song/lanes.ts'
import { shortTermAt } from '../../../formats/song/moment.ts'
import { useHeardMoment } from '../river/heard-chain.tsx'
import type { SongOfStages } from '../river/use-song.ts'

const numberOf = (value: number | null): string => (value === null ? '—' : formatNumber(value, 1))

export const FiguresHead = () => (
  <div className="song-ruler">{useHeardMoment() === null ? 'usual / most' : 'now / most'}</div>
)

interface LoudnessProps {
  readonly song: SongOfStages
  readonly heightPx: number
}

/** Empty while nothing plays: the joints above have the loudness of the range. */
export function Loudness({ song, heightPx }: LoudnessProps) {
  const moment = useHeardMoment()
  const at = (joint: number): string => numberOf(shortTermAt(song.joints[joint], moment?.row ?? 0, song))
  return (
    <div
      className="song-name song-loudness number"
      style={{ height: heightPx }}
      title="Short-term loudness over 3 s, in and out, LUFS (EBU Tech 3341)"
    >
      {moment === null ? null : (
        <>
          <span>
            <small>S in</small> {at(0)}
          </span>
          <span>
            <small>S out</small> {at(song.joints.length - 1)}
          </span>
        </>
      )}
    </div>
  )
}

interface LaneFiguresProps {
  readonly lane: Lane
  /** In the range; null where it has not been measured. */
  readonly stage: MeasuredStage | null
  readonly isStale: boolean
  readonly heightPx: number
}

export function LaneFigures({ lane, stage, isStale, heightPx }: LaneFiguresProps) {
  const moment = useHeardMoment()
  const now = moment === null ? null : (lane.rows.rows.mostDb[moment.row] ?? null)
  return (
    <div className="song-name number" style={{ height: heightPx }} data-stale={isStale || undefined}>
      {lane.measure === 'added' ? addedText(now) : reductionText(now, stage)}
    </div>
  )
}

function addedText(nowDb: number | null): string {
  if (nowDb === null) return ''
  return nowDb <= ADDED_FLOOR_DB ? '—' : withUnit(formatNumber(nowDb, 0), 'dB')
}

function reductionText(nowDb: number | null, stage: MeasuredStage | null): string {
  if (stage === null || stage.maxReductionDb === null) return ''
  return `${numberOf(nowDb ?? stage.medianReductionDb)} / ${numberOf(stage.maxReductionDb)}`
}
