// A take's stored peaks as the window draws them: one envelope of minima and maxima,
// cut and thinned to the columns of a picture. Nothing here decodes audio.

import { Failure } from '../../app/contract/failure.ts'
import { FailureData } from '../../app/contract/wire/failure-data.ts'
import { peaksRoute } from '../../app/contract/wire/sound-routes.ts'
import { fetchFromHost } from '../state/host-fetch.ts'

/** Full scale is 1; all channels of the take share one envelope, so that no channel hides. */
export interface Peaks {
  readonly framesPerPeak: number
  readonly minima: Float32Array
  readonly maxima: Float32Array
}

/** As the services store it: 32767 is full scale. */
const FULL_SCALE = 32_767

/**
 * @param bytes Int16 pairs of minimum and maximum, channel after channel, little-endian
 * @throws Failure `damaged` where the length does not fit the channels
 */
export function decodePeaks(bytes: ArrayBuffer, channels: number, framesPerPeak: number): Peaks {
  const perChannel = bytes.byteLength / 4 / channels
  if (!(channels >= 1 && framesPerPeak >= 1 && Number.isInteger(perChannel))) {
    throw new Failure(
      'damaged',
      `The stored peaks of this take do not add up (${bytes.byteLength} bytes for ${channels} channels); import the take again to make them anew.`,
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

/** @throws Failure what the host says */
export async function fetchPeaks(takeId: number, signal: AbortSignal): Promise<Peaks> {
  const answer = await fetchFromHost(peaksRoute(takeId), { signal })
  if (!answer.ok) {
    const failure = FailureData.safeParse(await answer.json().catch(() => null))
    throw failure.success
      ? Failure.fromData(failure.data)
      : new Failure(
          'not-found',
          `The peaks of this take could not be read (${answer.status}); import it again.`,
        )
  }
  const channels = Number(answer.headers.get('x-channels'))
  const framesPerPeak = Number(answer.headers.get('x-frames-per-peak'))
  return decodePeaks(await answer.arrayBuffer(), channels, framesPerPeak)
}

/**
 * The envelope between two frames of the take, thinned so that at most one pair stands for each column.
 * @param gain factor on the picture, 1 draws full scale to the edge
 */
export function slicePeaks(
  peaks: Peaks,
  fromFrame: number,
  toFrame: number,
  columns: number,
  gain = 1,
): { maxima: Float32Array; minima: Float32Array } {
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

/** The factor that draws the loudest moment to the edge; a picture of form, not of level. */
export function gainToOwnPeak(peaks: Peaks): number {
  let peak = 0
  for (let i = 0; i < peaks.minima.length; i++) peak = Math.max(peak, -peaks.minima[i], peaks.maxima[i])
  return peak === 0 ? 1 : 1 / peak
}
