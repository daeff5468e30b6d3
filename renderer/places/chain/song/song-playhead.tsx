// The place in the song that is heard, as a line across the lanes.

import { measuredSeconds, type TakePlace } from '../../../formats/song/song-ranges.ts'
import { usePlayer, usePlayhead } from '../../../playback/player.ts'

export interface SongPlayheadProps {
  readonly place: TakePlace
  /** Seconds of what is measured that are in sight. */
  readonly fromSeconds: number
  readonly toSeconds: number
  readonly width: number
}

export function SongPlayhead(props: SongPlayheadProps) {
  const { place, fromSeconds, toSeconds, width } = props
  const { source } = usePlayer()
  const frame = usePlayhead()
  const seconds = measuredSeconds(place, frame, source?.target.kind === 'take')
  if (seconds < fromSeconds || seconds > toSeconds) return null
  const x = ((seconds - fromSeconds) / (toSeconds - fromSeconds)) * width
  return <div className="song-playhead" style={{ transform: `translateX(${x}px)` }} aria-hidden="true" />
}
