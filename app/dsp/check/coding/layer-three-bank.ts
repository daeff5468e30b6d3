// The hybrid filter bank of MPEG layer III (ISO/IEC 11172-3) at each sample in turn: 32 bands, an MDCT of 18
// coefficients in each of them (long blocks), and the butterflies between bands that reduce aliases.

import { layerThreePrototype } from './layer-three-prototype.ts'

/** Coefficients of one granule; each granule begins this many samples after the one before. */
export const GRANULE = 576
const BANDS = 32
const TAPS = 512
const LINES = 18
const BLOCK = 2 * LINES
/** Samples that the coefficients of one granule depend on. */
export const GRANULE_REACH = TAPS + BANDS * (BLOCK - 1)
/** Table 3-B.9 of the standard. */
const ALIAS = [-0.6, -0.535, -0.33, -0.185, -0.095, -0.041, -0.0142, -0.0037]
const EDGE = ALIAS.length

export interface LayerThreeBank {
  readonly coefficients: number
  /** Filters `count` frames' worth of samples from index `at` on: `count + GRANULE_REACH - 1` samples. */
  start(samples: Float64Array, at: number, count: number): void
  /** The coefficients of the granule that begins `offset` samples behind the start. */
  read(offset: number, coefficients: Float64Array): void
}

/**
 * @param firstBand, bands which of the 32 bands; the outer eight coefficients, which need one band more, are left out
 * @param most greatest `count` of `start`
 */
export function createLayerThreeBank(firstBand: number, bands: number, most: number): LayerThreeBank {
  const prototype = layerThreePrototype()
  const modulation = Float64Array.from({ length: bands * 64 }, (_, i) =>
    Math.cos(((2 * (firstBand + (i >> 6)) + 1) * ((i & 63) - 16) * Math.PI) / 64),
  )
  const filtered = Array.from({ length: bands }, () => new Float64Array(most + BANDS * (BLOCK - 1)))
  const folded = new Float64Array(64)
  const transform = Float64Array.from({ length: LINES * BLOCK }, (_, i) => {
    const n = i % BLOCK
    const k = Math.floor(i / BLOCK)
    return (
      Math.sin((Math.PI / BLOCK) * (n + 0.5)) *
      Math.cos((Math.PI / (2 * BLOCK)) * (2 * n + 1 + LINES) * (2 * k + 1))
    )
  })
  const lines = new Float64Array(bands * LINES)
  const own = ALIAS.map((c) => 1 / Math.hypot(1, c))
  const other = ALIAS.map((c) => c / Math.hypot(1, c))

  function transformBand(band: number, offset: number): void {
    const samples = filtered[band]
    // Odd bands are upside down, which the sign of every second sample turns.
    const sign = ((firstBand + band) & 1) === 1 ? -1 : 1
    for (let k = 0; k < LINES; k++) {
      let even = 0
      let odd = 0
      for (let n = 0; n < BLOCK; n += 2) {
        even += transform[k * BLOCK + n] * samples[offset + BANDS * n]
        odd += transform[k * BLOCK + n + 1] * samples[offset + BANDS * (n + 1)]
      }
      lines[band * LINES + k] = even + sign * odd
    }
  }

  return {
    coefficients: bands * LINES - 2 * EDGE,
    start(samples, at, count) {
      const outputs = count + BANDS * (BLOCK - 1)
      for (let n = 0; n < outputs; n++) {
        const newest = at + n + TAPS - 1
        for (let m = 0; m < 64; m++) {
          let sum = 0
          let p = m
          let x = newest - m
          for (let r = 0; r < 4; r++) {
            sum += prototype[p] * samples[x] - prototype[p + 64] * samples[x - 64]
            p += 128
            x -= 128
          }
          folded[m] = sum
        }
        for (let band = 0; band < bands; band++) {
          let sum = 0
          for (let m = 0; m < 64; m++) sum += modulation[64 * band + m] * folded[m]
          filtered[band][n] = sum
        }
      }
    },
    read(offset, coefficients) {
      for (let band = 0; band < bands; band++) transformBand(band, offset)
      for (let edge = LINES; edge < bands * LINES; edge += LINES) {
        for (let i = 0; i < EDGE; i++) {
          const below = lines[edge - 1 - i]
          const above = lines[edge + i]
          lines[edge - 1 - i] = below * own[i] + above * other[i]
          lines[edge + i] = above * own[i] - below * other[i]
        }
      }
      for (let c = 0; c < bands * LINES - 2 * EDGE; c++) coefficients[c] = lines[EDGE + c]
    },
  }
}
