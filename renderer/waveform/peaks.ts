// Stored peaks of a take for drawing: one envelope of minima and maxima, cut to a range and reduced
// to pixel columns. No audio is decoded here.

import { Failure } from '../../app/contract/failure.ts'

/** Full scale is 1. One envelope covers all channels, so that no channel is hidden. */
export interface Peaks {
  readonly framesPerPeak: number
  readonly minima: Float32Array
  readonly maxima: Float32Array
}

/** Full scale of the stored values. */
const FULL_SCALE = 32_767

/**
 * @param bytes Int16 pairs of minimum and maximum, channel after channel, little-endian
 * @throws Failure `damaged` if the length does not fit the channels
 */
export function decodePeaks(bytes: ArrayBuffer, channels: number, framesPerPeak: number): Peaks {
  const perChannel = bytes.byteLength / 4 / channels
  if (!(channels >= 1 && framesPerPeak >= 1 && Number.isInteger(perChannel))) {
    throw new Failure(
      'damaged',
      `The stored peaks of this take are damaged (${bytes.byteLength} bytes for ${channels} channels). Import the take again to rebuild them.`,
      { bytes: bytes.byteLength, channels },
    )
  }
  const view = new DataView(bytes)
  const minima = new Float32Array(perChannel)
  const maxima = new Float32Array(perChannel)
  for (let i = 0; i < perChannel; i++) {
    let low = 32_767
    let high = -32_768
    for (let channel = 0; channel < channels; channel++) {
      const at = (channel * perChannel + i) * 4
      low = Math.min(low, view.getInt16(at, true))
      high = Math.max(high, view.getInt16(at + 2, true))
    }
    minima[i] = low / FULL_SCALE
    maxima[i] = high / FULL_SCALE
  }
  return { framesPerPeak, minima, maxima }
}

/** Coarser copies of peaks, each half as long as the one before; made when they are first needed. */
const pyramids = new WeakMap<Peaks, Peaks[]>()

function coarserOf(peaks: Peaks, factor: number): Peaks {
  let levels = pyramids.get(peaks)
  if (levels === undefined) {
    levels = [peaks]
    pyramids.set(peaks, levels)
  }
  const wanted = Math.max(0, Math.floor(Math.log2(factor)))
  while (levels.length <= wanted) levels.push(halved(levels.at(-1)!))
  return levels[wanted]
}

function halved({ framesPerPeak, minima, maxima }: Peaks): Peaks {
  const length = Math.ceil(minima.length / 2)
  const low = new Float32Array(length)
  const high = new Float32Array(length)
  for (let i = 0; i < length; i++) {
    const second = Math.min(2 * i + 1, minima.length - 1)
    low[i] = Math.min(minima[2 * i], minima[second])
    high[i] = Math.max(maxima[2 * i], maxima[second])
  }
  return { framesPerPeak: 2 * framesPerPeak, minima: low, maxima: high }
}

/**
 * The envelope between two frames of the take, with at most one pair per column. Its cost depends on the
 * columns, not on the frames: where many peaks fall into a column, coarser ones are read.
 * @param gain factor on the values, which are then clipped to ±1; 1 draws full scale at the edge
 */
export function slicePeaks(
  finest: Peaks,
  fromFrame: number,
  toFrame: number,
  columns: number,
  gain = 1,
): { maxima: Float32Array; minima: Float32Array } {
  // At least four peaks of the level for each column, so that its edges stay within a quarter of one.
  const perColumn = (toFrame - fromFrame) / finest.framesPerPeak / Math.max(1, columns)
  const peaks = coarserOf(finest, Math.max(1, perColumn / 4))
  const count = peaks.minima.length
  const first = Math.min(count, Math.max(0, Math.floor(fromFrame / peaks.framesPerPeak)))
  const last = Math.min(count, Math.max(first, Math.ceil(toFrame / peaks.framesPerPeak)))
  const length = Math.max(0, Math.min(Math.floor(columns), last - first))
  const maxima = new Float32Array(length)
  const minima = new Float32Array(length)
  for (let column = 0; column < length; column++) {
    const from = first + Math.floor((column * (last - first)) / length)
    const to = first + Math.floor(((column + 1) * (last - first)) / length)
    let low = Number.POSITIVE_INFINITY
    let high = Number.NEGATIVE_INFINITY
    for (let i = from; i < to; i++) {
      low = Math.min(low, peaks.minima[i])
      high = Math.max(high, peaks.maxima[i])
    }
    minima[column] = Math.max(-1, Math.min(1, low * gain))
    maxima[column] = Math.max(-1, Math.min(1, high * gain))
  }
  return { maxima, minima }
}

/** Gain that draws the highest peak at the edge, for waveforms that show shape rather than level. */
export function gainToOwnPeak(peaks: Peaks): number {
  let peak = 0
  for (let i = 0; i < peaks.minima.length; i++) peak = Math.max(peak, -peaks.minima[i], peaks.maxima[i])
  return peak === 0 ? 1 : 1 / peak
}
