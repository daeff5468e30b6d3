// Pairs of equal magnitude among the coefficients of the hybrid filter bank of MPEG layer III (ISO/IEC 11172-3), in
// granules that begin at each sample in turn: 32 bands, an MDCT of 18 lines in each of them (long blocks), and the
// butterflies between bands that reduce aliases.

import { copyIn, createWorkRows, kernels, viewOf } from '../../wasm/kernels.ts'
import type { Row } from '../../wasm/row.ts'
import { layerThreePrototype } from './layer-three-prototype.ts'
import { STRETCH_HOP, type Stretch } from './loud-stretches.ts'
import { TOLERANCE } from './tolerance.ts'

/** Granules begin this many samples after one another. */
export const GRANULE = 576
/** Bands 8 to 11 of 32: 6 to 9 kHz at 48 kHz, but for the outer eight lines, which would need one band more. */
const FIRST_BAND = 8
const BANDS = 4
const STEP = 32
const TAPS = 512
const LINES = 18
const BLOCK = 2 * LINES
/** Outputs of the filters that the granules of a stretch need. */
const OUTPUTS = STRETCH_HOP + STEP * (BLOCK - 1)
const STRIDE_BYTES = 4 * OUTPUTS
/** Table 3-B.9 of the standard. */
const ALIAS = [-0.6, -0.535, -0.33, -0.185, -0.095, -0.041, -0.0142, -0.0037]

/** Pairs in a stretch by the sample at which granules begin, modulo 576. */
export function countGranulePairs({ samples }: Stretch): Float64Array {
  const rows = createWorkRows()
  const sound = rows.row(OUTPUTS + TAPS)
  const prototype = rows.row(TAPS)
  const modulation = rows.row(64 * BANDS)
  const filtered = rows.row((BANDS * OUTPUTS) / 2)
  const folded = rows.row(64)
  const folding = rows.row(BLOCK)
  const transform = rows.row((LINES * LINES) / 2)
  const butterflies = rows.row(ALIAS.length)
  const work = rows.row(2 * (LINES * BANDS + LINES))
  const counts = rows.row(GRANULE)

  copyIn(samples, sound, OUTPUTS + TAPS - 1)
  writeFilters(viewOf(prototype, TAPS), viewOf(modulation, 64 * BANDS))
  writeFolding(floatsOf(folding, 2 * BLOCK))
  const cosines = floatsOf(transform, LINES * LINES)
  for (let i = 0; i < cosines.length; i++) {
    cosines[i] = Math.cos((Math.PI / LINES) * (Math.floor(i / LINES) + 0.5) * ((i % LINES) + 0.5))
  }
  floatsOf(butterflies, 2 * ALIAS.length).set([
    ...ALIAS.map((c) => 1 / Math.hypot(1, c)),
    ...ALIAS.map((c) => c / Math.hypot(1, c)),
  ])
  const counted = viewOf(counts, GRANULE)
  counted.fill(0)
  kernels.filterBands(sound, OUTPUTS, prototype, modulation, BANDS, filtered, STRIDE_BYTES, folded)
  kernels.countInGranules(
    ...([STRETCH_HOP, filtered, STRIDE_BYTES, BANDS, FIRST_BAND & 1, folding, transform] as const),
    ...([butterflies, TOLERANCE, work, counts, GRANULE] as const),
  )
  return counted.slice()
}

/** Analysis filters of the standard (C.1.3), with the oldest of 512 samples first. */
function writeFilters(prototype: Float64Array, modulation: Float64Array): void {
  const values = layerThreePrototype()
  for (let n = 0; n < TAPS; n++) {
    const age = TAPS - 1 - n
    // The modulation of 64 samples before has the opposite sign in every band.
    prototype[n] = ((age >> 6) & 1) === 1 ? -values[age] : values[age]
  }
  for (let i = 0; i < modulation.length; i++) {
    const age = 63 - (i & 63)
    modulation[i] = Math.cos(((2 * (FIRST_BAND + (i >> 6)) + 1) * (age - 16) * Math.PI) / 64)
  }
}

/**
 * An MDCT of 36 samples is a cosine transform (type IV) of 18 folded ones. Odd bands are upside down, which the sign of
 * every second sample turns.
 */
function writeFolding(folding: Float32Array): void {
  const windowed = (n: number): number => Math.sin((Math.PI / BLOCK) * (n + 0.5))
  for (let odd = 0; odd < 2; odd++) {
    const sign = (n: number): number => (odd === 1 && (n & 1) === 1 ? -1 : 1)
    for (let i = 0; i < LINES; i++) {
      const [one, other] = i < LINES / 2 ? [26 - i, 27 + i] : [i - 9, 26 - i]
      folding[odd * BLOCK + 2 * i] = (i < LINES / 2 ? -1 : 1) * sign(one) * windowed(one)
      folding[odd * BLOCK + 2 * i + 1] = -sign(other) * windowed(other)
    }
  }
}

function floatsOf(row: Row, count: number): Float32Array {
  const { buffer, byteOffset } = viewOf(row, count / 2)
  return new Float32Array(buffer, byteOffset, count)
}
