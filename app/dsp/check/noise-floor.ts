// The noise floor of a take and the level of the voice above it, from its level track. The
// floor is the level of the quietest 50 ms; digital zeros and their edges are left out.

import { dbFromPower } from '../maths/decibels.ts'
import type { LevelTrack } from './level-track.ts'

/** RMS from 80 Hz up, dBFS (a full-scale sine reads -3.01). */
export interface FloorAndVoice {
  /** null: nothing but digital zero, too short, or no pause in which a floor could be read. */
  readonly floorDbfs: number | null
  /** Seconds that the floor was read from. */
  readonly floorSeconds: number
  /** 95th percentile of the 10 ms levels; null for nothing but digital zero. */
  readonly voiceDbfs: number | null
}

const FRAMES_OF_FLOOR = 5
/** The search starts at this quantile of the 50 ms levels, and no lower than a few frames from the bottom. */
const START_SHARE = 0.02
const START_FRAMES = 3
/**
 * All 50 ms levels up to this far above the start are averaged. Those of steady noise scatter by
 * 0.2 dB when it is white and by 2 dB when most of it is in 20 Hz around hum, so nearly all of
 * them are included and the mean has no bias (a low percentile alone would read low).
 */
const SPREAD_DB = 2.5
/** Anything closer to the level of the voice is voice, breath or music (common practice). */
const MIN_DISTANCE_DB = 12
const MIN_SECONDS = 0.5

/** Floor and voice level of a whole take. */
export function floorAndVoice({ powers, frameSeconds }: LevelTrack): FloorAndVoice {
  const levels = powers.values()
  const sounding = levels.filter((power) => power > 0).sort()
  if (sounding.length === 0) return { floorDbfs: null, floorSeconds: 0, voiceDbfs: null }
  const voiceDbfs = dbFromPower(sounding[Math.floor(0.95 * (sounding.length - 1))])
  const long = longLevels(levels).sort()
  const noFloor = { floorDbfs: null, floorSeconds: 0, voiceDbfs }
  if (long.length * FRAMES_OF_FLOOR * frameSeconds < MIN_SECONDS) return noFloor
  const start = long[Math.min(long.length - 1, Math.max(START_FRAMES, Math.floor(START_SHARE * long.length)))]
  const limit = start * 10 ** (SPREAD_DB / 10)
  let sum = 0
  let count = 0
  while (count < long.length && long[count] <= limit) sum += long[count++]
  const floorDbfs = dbFromPower(sum / count)
  if (voiceDbfs - floorDbfs < MIN_DISTANCE_DB) return noFloor
  return { floorDbfs, floorSeconds: count * FRAMES_OF_FLOOR * frameSeconds, voiceDbfs }
}

/** Mean squares of the 50 ms blocks that have no digital zero in them or in the frames beside them. */
function longLevels(levels: Float64Array): Float64Array {
  const found = new Float64Array(Math.floor(levels.length / FRAMES_OF_FLOOR))
  let count = 0
  for (let at = 0; at + FRAMES_OF_FLOOR <= levels.length; at += FRAMES_OF_FLOOR) {
    let sum = 0
    let zeros = 0
    for (let i = Math.max(0, at - 1); i < Math.min(levels.length, at + FRAMES_OF_FLOOR + 1); i++) {
      if (levels[i] === 0) zeros++
      else if (i >= at && i < at + FRAMES_OF_FLOOR) sum += levels[i]
    }
    if (zeros === 0) found[count++] = sum / FRAMES_OF_FLOOR
  }
  return found.subarray(0, count)
}

/** In a tenth of a second are whole periods of 50 and 60 Hz, so that hum has no mean there. */
const FRAMES_OF_OFFSET = 10

/**
 * Mean of the samples over the quietest 10 % of the tenths of a second without digital zero; null where
 * there is none.
 */
export function quietOffset({ powers, means }: LevelTrack): number | null {
  const levels = powers.values()
  const stretches: { power: number; mean: number }[] = []
  for (let at = 0; at + FRAMES_OF_OFFSET <= levels.length; at += FRAMES_OF_OFFSET) {
    let power = 0
    let mean = 0
    let zeros = 0
    for (let i = at; i < at + FRAMES_OF_OFFSET; i++) {
      power += levels[i]
      mean += means.values()[i] / FRAMES_OF_OFFSET
      if (levels[i] === 0) zeros++
    }
    if (zeros === 0) stretches.push({ power, mean })
  }
  if (stretches.length === 0) return null
  stretches.sort((a, b) => a.power - b.power)
  const quiet = stretches.slice(0, Math.ceil(stretches.length / 10))
  return quiet.reduce((sum, { mean }) => sum + mean, 0) / quiet.length
}
