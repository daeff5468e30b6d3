// The song from left to right under the river: the wave of what is measured, and what each stage that acts on level does.

import { type KeyboardEvent, useCallback, useMemo, useState } from 'react'
import type { StageKind } from '../../../../app/words/chain/setting-names.ts'
import { STAGE_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { formatDuration } from '../../../../app/words/format.ts'
import { type Lane, lanesOf } from '../../../formats/song/lanes.ts'
import { secondsOfRows, wholeOf } from '../../../formats/song/range-figures.ts'
import {
  sessionSeconds,
  spanWords,
  type TakePlace,
  type TakeRange,
} from '../../../formats/song/song-ranges.ts'
import { keyActOf } from '../../../keys/key-table.ts'
import { useDrag } from '../../../parts/use-drag.ts'
import { useSize } from '../../../parts/use-size.ts'
import type { MeasuredChain } from '../river/match-measurement.ts'
import type { SongOfStages } from '../river/use-song.ts'
import { drawLane, drawWave, laneScaleDb, type View } from './draw-lane.ts'
import { LaneCanvas } from './lane-canvas.tsx'
import { FiguresHead, LaneFigures, Loudness } from './lane-figures.tsx'
import { SongPlayhead } from './song-playhead.tsx'

const WAVE_PX = 30
const LANE_PX = 18
/** A shorter drag is a click, which moves the playhead. */
const LEAST_DRAG_PX = 4
const TICKS_PX = 110
const STEPS_S = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600]

export interface SongViewProps {
  readonly song: SongOfStages
  /** As drawn in the river: tells which lanes are of settings before the last change. */
  readonly chain: MeasuredChain
  readonly rowKeys: readonly number[]
  readonly wholeName: string
  readonly place: TakePlace
  readonly range: TakeRange | null
  readonly kept: TakeRange | null
  readonly leftPx: number
  readonly rightPx: number
  /** Seconds of what is measured in sight. */
  readonly inSight: { readonly fromSeconds: number; readonly toSeconds: number }
  readonly onChoose: (range: TakeRange | null) => void
  readonly onSeek: (takeSeconds: number) => void
  readonly onKey: (event: KeyboardEvent) => void
}

export function SongView(props: SongViewProps) {
  const { song, chain, rowKeys, wholeName, place, range, kept, leftPx, rightPx, inSight, onChoose, onSeek } =
    props
  const [frame, { width }] = useSize<HTMLDivElement>()
  const [dragged, setDragged] = useState<TakeRange | null>(null)
  const lanes = useMemo(() => lanesOf(song, song.stages), [song])
  const perRow = song.layout.rowFrames / song.layout.sampleRateHz
  const { fromSeconds, toSeconds } = inSight
  const view = useMemo(
    (): View => ({ fromRow: fromSeconds / perRow, toRow: toSeconds / perRow }),
    [fromSeconds, toSeconds, perRow],
  )
  const whole = secondsOfRows(song.layout, wholeOf(song))
  const xOf = (seconds: number): number => ((seconds - fromSeconds) / (toSeconds - fromSeconds)) * width
  const secondsAt = (clientX: number, element: Element): number => {
    const x = clientX - element.getBoundingClientRect().left
    const seconds = fromSeconds + (x / Math.max(1, width)) * (toSeconds - fromSeconds)
    return Math.min(whole.toSeconds, Math.max(0, seconds))
  }
  const drag = useDrag<{ from: number; startX: number }>({
    startsAtPx: LEAST_DRAG_PX,
    onPress: (event) => ({ from: secondsAt(event.clientX, event.currentTarget), startX: event.clientX }),
    onMove({ from }, event) {
      const to = secondsAt(event.clientX, event.currentTarget)
      setDragged({ name: 'Range', fromSeconds: Math.min(from, to), toSeconds: Math.max(from, to) })
    },
    onRelease({ startX, from }, event) {
      const chosen = dragged
      setDragged(null)
      if (Math.abs(event.clientX - startX) < LEAST_DRAG_PX) onSeek(from)
      else if (chosen !== null && chosen.toSeconds > chosen.fromSeconds) onChoose(chosen)
    },
    onCancel: () => setDragged(null),
  })
  const shown = dragged ?? range
  const output = song.joints[song.joints.length - 1]
  const wave = useCallback(
    (canvas: HTMLCanvasElement) => drawWave(canvas, { width, height: WAVE_PX }, view, song.joints[0], output),
    [width, view, song, output],
  )
  const step = STEPS_S.find((one) => (one / (toSeconds - fromSeconds)) * width >= TICKS_PX) ?? 1200
  const songFrom = sessionSeconds(place, fromSeconds)
  const ticks = Array.from(
    { length: Math.max(0, Math.floor((toSeconds - fromSeconds) / step) + 1) },
    (_, k) => (Math.ceil(songFrom / step) + k) * step,
  ).filter((tick) => tick <= songFrom + toSeconds - fromSeconds)

  return (
    <div className="song" style={{ gridTemplateColumns: `${leftPx}px minmax(0, 1fr) ${rightPx}px` }}>
      <div className="song-names" aria-hidden="true">
        <div className="song-ruler" />
        <div className="song-name" style={{ height: WAVE_PX }}>
          In and out
        </div>
        {lanes.map((lane) => (
          <div key={lane.stage} className="song-name" style={{ height: LANE_PX }}>
            {STAGE_NAMES[lane.kind as StageKind]}
            <small>{lane.measure === 'added' ? 'added' : `to ${laneScaleDb(lane)} dB`}</small>
          </div>
        ))}
      </div>
      <div
        className="song-lanes"
        ref={frame}
        role="slider"
        tabIndex={0}
        aria-label={`Along the song: ${lanes.length === 0 ? 'no stage here acts on level' : lanes.map(({ kind }) => STAGE_NAMES[kind as StageKind]).join(', ')}`}
        aria-valuemin={0}
        aria-valuemax={whole.toSeconds}
        aria-valuenow={range?.fromSeconds ?? 0}
        aria-valuetext={range === null ? wholeName : `${range.name}, ${spanWords(place, range)}`}
        onKeyDown={(event) => {
          if (dragged !== null && keyActOf(event, 'along') === 'wholeTake') {
            drag.cancel()
            event.preventDefault()
            event.stopPropagation()
          } else props.onKey(event)
        }}
        {...drag.dragProps}
      >
        <div className="song-ruler" aria-hidden="true">
          {ticks.map((tick) => (
            <span key={tick} style={{ left: xOf(tick - songFrom + fromSeconds) }}>
              {formatDuration(tick)}
            </span>
          ))}
        </div>
        <LaneCanvas width={width} height={WAVE_PX} draw={wave} isStale={isStaleOf(chain, null)} />
        {lanes.map((lane) => (
          <LaneRow
            key={lane.stage}
            lane={lane}
            width={width}
            view={view}
            isStale={isStaleOf(chain, rowOf(lane, song, rowKeys))}
          />
        ))}
        {kept === null ? null : <Marked kind="kept" range={kept} xOf={xOf} width={width} />}
        {shown === null ? null : <Marked kind="range" range={shown} xOf={xOf} width={width} />}
        <SongPlayhead place={place} {...inSight} width={width} />
      </div>
      <div className="song-figures" aria-hidden="true">
        <FiguresHead />
        <Loudness song={song} heightPx={WAVE_PX} />
        {lanes.map((lane) => {
          const row = rowOf(lane, song, rowKeys)
          return (
            <LaneFigures
              key={lane.stage}
              lane={lane}
              stage={chain.rows[row]?.stage ?? null}
              isStale={isStaleOf(chain, row)}
              heightPx={LANE_PX}
            />
          )
        })}
      </div>
    </div>
  )
}

/** The place of a lane's stage in the chain as it is now. */
const rowOf = (lane: Lane, song: SongOfStages, rowKeys: readonly number[]): number => {
  const index = rowKeys.indexOf(song.keys[lane.stage])
  // The same chain may have been measured under other keys.
  return index === -1 && rowKeys.length === song.keys.length ? lane.stage : index
}

/** @param row null for the sound itself, which is old where its last joint is */
const isStaleOf = (chain: MeasuredChain, row: number | null): boolean =>
  row === null
    ? chain.rows.some(({ ofJoint }) => ofJoint !== 'measured')
    : chain.rows[row]?.ofStage !== 'measured'

interface LaneRowProps {
  readonly lane: Lane
  readonly width: number
  readonly view: View
  readonly isStale: boolean
}

function LaneRow({ lane, width, view, isStale }: LaneRowProps) {
  const draw = useCallback(
    (canvas: HTMLCanvasElement) => drawLane(canvas, { width, height: LANE_PX - 2 }, view, lane),
    [width, view, lane],
  )
  return (
    <div className="song-lane" style={{ height: LANE_PX }}>
      <LaneCanvas width={width} height={LANE_PX - 2} draw={draw} isStale={isStale} />
    </div>
  )
}

interface MarkedProps {
  readonly kind: 'range' | 'kept'
  readonly range: TakeRange
  readonly xOf: (seconds: number) => number
  readonly width: number
}

/** At least as wide as can be seen, and never outside of the lanes. */
function Marked({ kind, range, xOf, width }: MarkedProps) {
  const left = Math.max(0, Math.min(width, xOf(range.fromSeconds)))
  const right = Math.max(0, Math.min(width, xOf(range.toSeconds)))
  if (right <= 0 || left >= width) return null
  return (
    <div
      className="song-marked"
      data-kind={kind}
      style={{ left, width: Math.max(2, right - left) }}
      aria-hidden="true"
    />
  )
}
