// Which 10 ms frames of a take contain nothing but its noise: they stay at the floor long enough.

import type { LevelTrack } from './level-track.ts'
import type { FloorAndVoice } from './noise-floor.ts'

/** Room for the scatter of 10 ms of noise with hum in it. */
const ABOVE_FLOOR_DB = 6
const MIN_FRAMES = 12
/** Frames left out at both ends of a pause, where the voice dies away. */
const GUARD_FRAMES = 2

/** 1 for each level frame within a pause. */
export function pausesOf({ powers }: LevelTrack, { floorDbfs }: FloorAndVoice): { isPause: Uint8Array } {
  const levels = powers.values()
  const isPause = new Uint8Array(levels.length)
  if (floorDbfs === null) return { isPause }
  const limit = 10 ** ((floorDbfs + ABOVE_FLOOR_DB) / 10)
  for (let i = 0; i < levels.length; ) {
    let end = i
    while (end < levels.length && levels[end] > 0 && levels[end] <= limit) end++
    if (end - i >= MIN_FRAMES) isPause.fill(1, i + GUARD_FRAMES, end - GUARD_FRAMES)
    i = end + 1
  }
  return { isPause }
}
