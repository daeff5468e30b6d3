// The mono signal that the check analyses: the take itself, or the mean of its channels.
// Two channels of opposite polarity would cancel, so that is detected and one of them
// inverted.

import type { Channels } from '../stage.ts'

interface MonoFeed {
  read(channels: Channels, from: number, count: number, into: Float64Array, at: number): void
  /** Whether the two channels carry the same sound with opposite signs. */
  areOpposite(): boolean
}

const OPPOSITE_CORRELATION = -0.9
/** Least energy before polarity is judged: a tenth of a second at -50 dBFS. */
const MIN_ENERGY_SECONDS = 0.1 * 1e-5

/** @param layout of the take, one or two channels */
export function createMonoFeed(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): MonoFeed {
  const { sampleRateHz, channels: channelCount } = layout
  let product = 0
  let energy = 0
  let isTurned = false

  function areOpposite(): boolean {
    return energy > MIN_ENERGY_SECONDS * sampleRateHz && product < OPPOSITE_CORRELATION * (energy / 2)
  }

  return {
    areOpposite,
    read(channels, from, count, into, at) {
      const first = channels[0]
      if (channelCount === 1) {
        for (let n = 0; n < count; n++) into[at + n] = first[from + n]
        return
      }
      if (channelCount > 2) {
        for (let n = 0; n < count; n++) {
          let sum = 0
          for (let c = 0; c < channelCount; c++) sum += channels[c][from + n]
          into[at + n] = sum / channelCount
        }
        return
      }
      const second = channels[1]
      for (let n = from; n < from + count; n++) {
        product += first[n] * second[n]
        energy += first[n] * first[n] + second[n] * second[n]
      }
      // Decided once for the rest of the take, so that the mix does not flip back and forth.
      isTurned ||= areOpposite()
      const share = isTurned ? -0.5 : 0.5
      for (let n = 0; n < count; n++) into[at + n] = 0.5 * first[from + n] + share * second[from + n]
    },
  }
}
