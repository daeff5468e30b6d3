// The voice's envelope through a take: its mean, and the envelope of each second, since a
// resonance of the room or the mic is present in most seconds while vowels change.

import { dbFromPower } from '../../maths/decibels.ts'

interface EnvelopeHistory {
  /** @param powers envelope of one voiced frame @param level mean square of the frame */
  add(atSeconds: number, powers: Float64Array, level: number): void
  /** @param gatePower seconds whose frames have less than this mean square on average do not count */
  finish(gatePower: number): EnvelopeFacts
}

interface EnvelopeFacts {
  /** Mean over all seconds that count, dB; empty when none does. */
  readonly meanDb: readonly number[]
  /** The same for each of those seconds. */
  readonly secondsDb: readonly Float32Array[]
}

/** Seconds with fewer voiced frames than this are ignored. */
const MIN_FRAMES_A_SECOND = 2

/** @param points of each envelope */
export function createEnvelopeHistory(points: number): EnvelopeHistory {
  const seconds: { readonly powers: Float32Array; readonly frames: number; readonly level: number }[] = []
  const sums = new Float64Array(points)
  let second = 0
  let frames = 0
  let level = 0

  function closeSecond(): void {
    if (frames > 0) seconds.push({ powers: Float32Array.from(sums), frames, level: level / frames })
    sums.fill(0)
    frames = 0
    level = 0
  }

  return {
    add(atSeconds, powers, frameLevel) {
      if (Math.floor(atSeconds) !== second) {
        closeSecond()
        second = Math.floor(atSeconds)
      }
      for (let i = 0; i < points; i++) sums[i] += powers[i]
      level += frameLevel
      frames++
    },
    finish(gatePower) {
      closeSecond()
      const counted = seconds.filter((one) => one.level >= gatePower && one.frames >= MIN_FRAMES_A_SECOND)
      if (counted.length === 0) return { meanDb: [], secondsDb: [] }
      const mean = new Float64Array(points)
      for (const { powers } of counted) for (let i = 0; i < points; i++) mean[i] += powers[i]
      return {
        meanDb: Array.from(mean, dbFromPower),
        secondsDb: counted.map(({ powers }) => powers.map(dbFromPower)),
      }
    },
  }
}
