// Waveform of a take with marks: findings or sibilants on the waveform, phrases and breaths below
// it, and the playhead. The pointer starts playback; findings and sibilants are also listed as buttons.

import type { PointerEvent } from 'react'
import type { Take } from '../../../app/contract/entities.ts'
import { formatDuration } from '../../../app/words/format.ts'
import { useSize } from '../../parts/use-size.ts'
import { usePlayer, usePlayhead } from '../../playback/player.ts'
import { useEffectiveTheme } from '../../state/theme.ts'
import { TakeWave } from '../../waveform/take-wave.tsx'
import { usePeaks } from '../../waveform/use-peaks.ts'
import { playAt, playPlace } from './audition.ts'
import './findings.css'

/** A marked range of the take, in seconds. */
export interface WaveMark {
  readonly fromS: number
  readonly toS: number
  /** finding, hot and event cover the waveform, shared only its top edge; phrase and breath are below it. */
  readonly kind: 'finding' | 'shared' | 'hot' | 'event' | 'phrase' | 'breath'
  /** Tooltip. */
  readonly name: string
}

export interface MarkedWaveProps {
  readonly take: Take
  readonly sessionRateHz: number
  readonly heightPx: number
  readonly marks: readonly WaveMark[]
}

const LANE_PX = 9

/** A press this close to a mark counts as on the mark. */
const REACH_PX = 5
const NARROWEST_PX = 2

/**
 * Waveform of a whole take with marks. Pressing it plays from that position; on a mark other than a
 * phrase or breath, from shortly before the mark.
 */
export function MarkedWave({ take, sessionRateHz, heightPx, marks }: MarkedWaveProps) {
  const [frame, { width }] = useSize<HTMLDivElement>()
  const peaks = usePeaks(take.id)
  const theme = useEffectiveTheme()
  const seconds = take.frames / take.sampleRateHz
  const xOf = (atS: number): number => (atS / seconds) * width

  const onPointerDown = (event: PointerEvent): void => {
    const x = event.clientX - event.currentTarget.getBoundingClientRect().left
    const near = marks
      .filter(({ kind }) => kind !== 'phrase' && kind !== 'breath')
      .find(({ fromS, toS }) => x >= xOf(fromS) - REACH_PX && x <= xOf(toS) + REACH_PX)
    if (near === undefined) playAt(take, sessionRateHz, (x / width) * seconds)
    else playPlace(take, sessionRateHz, near)
  }

  return (
    <div
      ref={frame}
      className="marked-wave"
      style={{ height: heightPx + LANE_PX }}
      onPointerDown={onPointerDown}
    >
      {width === 0 ? null : (
        <>
          {peaks === undefined ? null : (
            <TakeWave
              peaks={peaks}
              frames={take.frames}
              width={width}
              height={heightPx}
              colour="--wave-lead"
              theme={theme}
            />
          )}
          <svg className="wave-marks" width={width} height={heightPx + LANE_PX} aria-hidden="true">
            <line className="wave-ground" x1={0} x2={width} y1={heightPx + 5} y2={heightPx + 5} />
            {marks.map(({ fromS, toS, kind, name }) => {
              const x = xOf(fromS)
              const long = Math.max(NARROWEST_PX, xOf(toS) - x)
              const isUnder = kind === 'phrase' || kind === 'breath'
              return (
                <g key={`${kind} ${fromS} ${name}`} className={`wave-mark wave-mark-${kind}`}>
                  <title>{`${name}, ${formatDuration(fromS)}`}</title>
                  {isUnder ? (
                    <rect x={x} y={heightPx + 3} width={long} height={4} />
                  ) : (
                    <>
                      <rect className="wave-mark-stretch" x={x} y={0} width={long} height={heightPx} />
                      <rect x={x} y={0} width={long} height={4} />
                    </>
                  )}
                </g>
              )
            })}
          </svg>
          <WavePlayhead takeId={take.id} heightPx={heightPx} xOf={xOf} />
        </>
      )}
    </div>
  )
}

function WavePlayhead(props: { takeId: number; heightPx: number; xOf: (atS: number) => number }) {
  const { source, opened } = usePlayer()
  const frame = usePlayhead()
  if (opened === null || source?.target.kind !== 'take' || source.target.takeId !== props.takeId) return null
  const x = props.xOf((frame - opened.startFrame) / opened.sampleRateHz)
  return (
    <div
      className="wave-ear"
      style={{ height: props.heightPx, transform: `translateX(${x.toFixed(1)}px)` }}
    />
  )
}
