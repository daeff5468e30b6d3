// The position bar above the transport: the whole length of what is played, the loop and the
// playhead. Click, drag or use the arrow keys to seek.

import { type KeyboardEvent, type PointerEvent, useRef } from 'react'
import type { OpenedPlayback } from '../../../app/contract/playback.ts'
import { formatPlayTime } from '../../formats/play-time.ts'
import { type KeyActName, keyActOf } from '../../keys/key-table.ts'
import { useDrag } from '../../parts/use-drag.ts'
import { type Player, usePlayhead } from '../../playback/player.ts'
import { useSelection } from '../../state/selection.ts'

const SECONDS: Readonly<Partial<Record<KeyActName | '', number>>> = {
  secondBack: -1,
  secondOn: 1,
  farBack: -10,
  farOn: 10,
}

export const SeekLine = ({ player }: { player: Player }) =>
  player.opened === null || player.opened.frames === 0 ? (
    <div className="seek-line" />
  ) : (
    <OpenSeekLine player={player} opened={player.opened} />
  )

function OpenSeekLine({ player, opened }: { player: Player; opened: OpenedPlayback }) {
  const frame = usePlayhead()
  const { loop } = useSelection()
  const line = useRef<HTMLDivElement>(null)
  const { source } = player
  const { startFrame, frames, sampleRateHz } = opened
  const percent = (at: number): number => Math.min(100, Math.max(0, ((at - startFrame) / frames) * 100))
  const seekTo = (at: number): void =>
    player.seek(Math.round(Math.min(startFrame + frames - 1, Math.max(startFrame, at))))

  const seekToPointer = (event: PointerEvent): true => {
    const box = line.current!.getBoundingClientRect()
    seekTo(startFrame + ((event.clientX - box.left) / box.width) * frames)
    return true
  }
  const { dragProps } = useDrag<true>({
    onPress: seekToPointer,
    onMove: (_held, event) => void seekToPointer(event),
  })
  const onKeyDown = (event: KeyboardEvent): void => {
    const seconds = SECONDS[keyActOf(event, 'position') ?? '']
    if (seconds === undefined) return
    seekTo(frame + seconds * sampleRateHz)
    event.preventDefault()
  }

  const showsLoop = player.isLooping && loop !== null && source?.target.kind !== 'take'
  return (
    <div
      ref={line}
      className="seek-line"
      role="slider"
      tabIndex={0}
      aria-label="Position"
      aria-valuemin={0}
      aria-valuemax={Math.round(frames / sampleRateHz)}
      aria-valuenow={Math.round((frame - startFrame) / sampleRateHz)}
      aria-valuetext={formatPlayTime(frame, sampleRateHz)}
      {...dragProps}
      onKeyDown={onKeyDown}
    >
      <div className="seek-track" />
      {showsLoop ? (
        <div
          className="seek-loop"
          style={{
            left: `${percent(loop.fromFrame)}%`,
            width: `${percent(loop.toFrame) - percent(loop.fromFrame)}%`,
          }}
        />
      ) : null}
      <div className="seek-played" style={{ transform: `scaleX(${percent(frame) / 100})` }} />
    </div>
  )
}
