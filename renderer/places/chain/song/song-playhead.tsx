// The place in the song that is heard, as a line across the lanes.

import { usePlayer, usePlayhead } from '../../../playback/player.ts'

export interface SongPlayheadProps {
  readonly sampleRateHz: number
  /** Session frame of the take's first frame. */
  readonly offsetFrames: number
  /** Seconds of the take that are in sight. */
  readonly fromSeconds: number
  readonly toSeconds: number
  readonly width: number
}

export function SongPlayhead(props: SongPlayheadProps) {
  const { sampleRateHz, offsetFrames, fromSeconds, toSeconds, width } = props
  const { source } = usePlayer()
  const frame = usePlayhead()
  // A take by itself is played from its own first frame.
  const seconds = (frame - (source?.target.kind === 'take' ? 0 : offsetFrames)) / sampleRateHz
  if (seconds < fromSeconds || seconds > toSeconds) return null
  const x = ((seconds - fromSeconds) / (toSeconds - fromSeconds)) * width
  return <div className="song-playhead" style={{ transform: `translateX(${x}px)` }} aria-hidden="true" />
}
