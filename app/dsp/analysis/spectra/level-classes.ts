// Sums values by the level of their frame, in classes of 1 dB, so that which frames
// count can be decided at the end from the distribution of levels, with constant memory
// for takes of any length.

import { dbFromPower } from '../../maths/decibels.ts'

const LOWEST_DBFS = -160
const CLASSES = 190

interface LevelClasses {
  /** @param power mean square of the frame, more than 0 @param values as many as the width */
  add(power: number, values: Float64Array): void
  readonly frames: number
  /** Level below which this share of the frames from `fromDbfs` up is, to half a dB; null without frames. */
  levelAtShareDbfs(share: number, fromDbfs?: number): number | null
  /** Means of the values over the frames from one level up to another (excluded); null if there are none. */
  meansBetween(
    fromDbfs: number,
    toDbfs: number,
  ): { readonly frames: number; readonly means: Float64Array } | null
}

/** @param width values per frame */
export function createLevelClasses(width: number): LevelClasses {
  const sums = new Float64Array(CLASSES * width)
  const counts = new Float64Array(CLASSES)
  let frames = 0
  const classOf = (levelDbfs: number): number =>
    Math.min(CLASSES - 1, Math.max(0, Math.floor(levelDbfs - LOWEST_DBFS)))
  return {
    get frames() {
      return frames
    },
    add(power, values) {
      const at = classOf(dbFromPower(power))
      counts[at]++
      frames++
      for (let i = 0; i < width; i++) sums[at * width + i] += values[i]
    },
    levelAtShareDbfs(share, fromDbfs = LOWEST_DBFS) {
      const first = classOf(fromDbfs)
      let all = 0
      for (let at = first; at < CLASSES; at++) all += counts[at]
      let below = 0
      for (let at = first; at < CLASSES; at++) {
        below += counts[at]
        if (all > 0 && below >= share * all) return LOWEST_DBFS + at + 0.5
      }
      return null
    },
    meansBetween(fromDbfs, toDbfs) {
      const means = new Float64Array(width)
      let counted = 0
      for (let at = classOf(fromDbfs); at < classOf(toDbfs); at++) {
        counted += counts[at]
        for (let i = 0; i < width; i++) means[i] += sums[at * width + i]
      }
      if (counted === 0) return null
      for (let i = 0; i < width; i++) means[i] /= counted
      return { frames: counted, means }
    },
  }
}
