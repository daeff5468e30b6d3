// Where the spectrum of a take ends. A lossy coder or a sample-rate converter cuts it off
// within a few hundred hertz and leaves nothing above; a microphone rolls off over octaves,
// and its noise continues to the top.

import { dbFromPower } from '../maths/decibels.ts'
import { createRealFft } from '../maths/fft.ts'
import { pointsAtRate } from '../maths/points-at-rate.ts'

/** A steep upper limit of a take's spectrum. */
export interface SpectralEdge {
  /** Where the fall begins, Hz. */
  readonly edgeHz: number
  /** How far it falls within `EDGE_WIDTH_HZ`. */
  readonly dropDb: number
  /**
   * 'lower-rate' when the edge is where conversion from a lower standard rate puts it, 'coder' when it is
   * where lossy coders put theirs. One can be mistaken for the other near 10, 15 and 21 kHz.
   */
  readonly kind: 'lower-rate' | 'coder'
  /** The lower rate, Hz; null for a coder. */
  readonly fromRateHz: number | null
}

interface EdgeSearch {
  /** Takes `count` samples, any number, from index `from` on; about half of them are analysed. */
  add(samples: Float64Array, from: number, count: number): void
  edge(): SpectralEdge | null
}

const POINTS_AT_48K = 4096
/** One in this many stretches of a transform's length is analysed. */
const ONE_IN = 2
const MIN_FRAMES = 20
const EDGE_WIDTH_HZ = 1000
/** Smaller drops are not edges. */
export const MIN_DROP_DB = 25
/** Width of the bands in which levels are averaged. */
const BAND_HZ = 100
const LOWEST_EDGE_HZ = 3500
/** Range of converters' edges in shares of half the lower rate; coders that cut at 11 or 16 kHz are above. */
const CONVERTER_FROM = 0.9
const CONVERTER_TO = 0.975
/** Coders cut below this; between here and half of 44.1 kHz only converters do. */
const CODERS_TO_HZ = 20_600
const RATES_HZ = [16_000, 22_050, 32_000, 44_100, 48_000, 88_200, 96_000] as const

/** @param sampleRateHz of the mono samples that are added */
export function createEdgeSearch(sampleRateHz: number): EdgeSearch {
  const points = pointsAtRate(POINTS_AT_48K, sampleRateHz)
  const fft = createRealFft(points)
  // Four terms (Blackman-Harris) for side lobes at -92 dB, or the voice's bass would leak into the top.
  const window = Float64Array.from({ length: points }, (_, n) => blackmanHarris((n + 0.5) / points))
  const held = new Float64Array(points)
  const re = new Float64Array(points / 2 + 1)
  const im = new Float64Array(points / 2 + 1)
  const power = new Float64Array(points / 2 + 1)
  let filled = 0
  let passed = 0
  let frames = 0

  function takeFrame(): void {
    for (let n = 0; n < points; n++) held[n] *= window[n]
    fft.transform(held, re, im)
    for (let k = 0; k < power.length; k++) power[k] += re[k] * re[k] + im[k] * im[k]
    frames++
  }

  return {
    add(samples, from, count) {
      for (let read = 0; read < count; ) {
        if (passed > 0) {
          const skip = Math.min(passed, count - read)
          passed -= skip
          read += skip
          continue
        }
        const take = Math.min(count - read, points - filled)
        for (let i = 0; i < take; i++) held[filled + i] = samples[from + read + i]
        filled += take
        read += take
        if (filled < points) continue
        takeFrame()
        filled = 0
        passed = (ONE_IN - 1) * points
      }
    },
    edge() {
      if (frames < MIN_FRAMES) return null
      return findEdge(bandLevels(power, sampleRateHz / points), sampleRateHz)
    },
  }
}

/** Level of each 100 Hz band in dB, relative to an arbitrary reference. */
function bandLevels(power: Float64Array, binHz: number): Float64Array {
  const bands = new Float64Array(Math.floor(((power.length - 1) * binHz) / BAND_HZ))
  for (let b = 0; b < bands.length; b++) {
    const first = Math.round((b * BAND_HZ) / binHz)
    const end = Math.max(first + 1, Math.round(((b + 1) * BAND_HZ) / binHz))
    let sum = 0
    for (let k = first; k < end; k++) sum += power[k]
    bands[b] = dbFromPower(sum / (end - first) + 1e-300)
  }
  return bands
}

function findEdge(levels: Float64Array, sampleRateHz: number): SpectralEdge | null {
  const width = EDGE_WIDTH_HZ / BAND_HZ
  let at = -1
  let dropDb = 0
  for (let b = LOWEST_EDGE_HZ / BAND_HZ; b + width < levels.length; b++) {
    const before = meanOf(levels, b - 5, b)
    const after = meanOf(levels, b + width - 5, b + width)
    if (before - after > dropDb) {
      dropDb = before - after
      at = b
    }
  }
  if (at < 0 || dropDb < MIN_DROP_DB) return null
  // Sound that comes back above the drop means that it is no edge.
  const floor = meanOf(levels, at + width - 5, at + width)
  for (let b = at + width; b < levels.length; b++) if (levels[b] > floor + 10) return null
  // The edge itself is where the level is 6 dB below the level before the drop.
  const before = meanOf(levels, at - 5, at)
  let edge = at
  while (edge < at + width && levels[edge] > before - 6) edge++
  const edgeHz = edge * BAND_HZ
  const nyquistHz = sampleRateHz / 2
  // An edge this high is that of the converter that made the file.
  if (edgeHz > CONVERTER_FROM * nyquistHz) return null
  const fromRateHz =
    RATES_HZ.find((rateHz) => {
      const share = edgeHz / (rateHz / 2)
      const isAboveCoders = edgeHz > CODERS_TO_HZ
      return (
        rateHz < sampleRateHz && share >= CONVERTER_FROM && share <= (isAboveCoders ? 1.005 : CONVERTER_TO)
      )
    }) ?? null
  if (edgeHz > CODERS_TO_HZ && fromRateHz === null) return null
  // Coders at the file's own rate cut at 20 kHz, which is no sign of a lower rate.
  const isLowerRate = fromRateHz !== null && (edgeHz > CODERS_TO_HZ || fromRateHz < 44_100)
  return isLowerRate
    ? { edgeHz, dropDb, kind: 'lower-rate', fromRateHz }
    : { edgeHz, dropDb, kind: 'coder', fromRateHz: null }
}

function meanOf(values: Float64Array, from: number, to: number): number {
  let sum = 0
  for (let i = from; i < to; i++) sum += values[i]
  return sum / (to - from)
}

function blackmanHarris(share: number): number {
  const turn = 2 * Math.PI * share
  return 0.35875 - 0.48829 * Math.cos(turn) + 0.14128 * Math.cos(2 * turn) - 0.01168 * Math.cos(3 * turn)
}
