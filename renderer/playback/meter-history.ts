// The meter's readings at what is heard. The audio thread meters what it renders, which an output plays 30 ms to some
// tenths of a second later; drawn at once, levels would be ahead of the ear by that.

import { METER, METERS } from './live-meter.ts'

/** Readings that are kept: four seconds at 120 frames of the screen a second; no output is later by more than two. */
const KEPT = 480

/** Before anything is heard. */
export const SILENT_METERS = new Float32Array(METERS)
for (const figure of [METER.momentary, METER.shortTerm, METER.correlation]) SILENT_METERS[figure] = Number.NaN

export interface MeterHistory {
  /** Forgets all; what comes is heard from a frame of the stream on. */
  begin(fromFrame: number): void
  /**
   * Notes the readings now, and finds those of what is heard. Frames are of the stream.
   * @param readings by METER
   * @param readFrame up to which they are
   * @param heardFrame the one that is heard
   * @returns the noted readings nearest to it; valid until the next call
   */
  at(readings: Float32Array, readFrame: number, heardFrame: number): Float32Array
}

export function createMeterHistory(): MeterHistory {
  const kept = Array.from({ length: KEPT }, () => new Float32Array(METERS))
  const frames = new Float64Array(KEPT)
  let count = 0
  /** Place of the newest. */
  let newest = -1
  let begunAt = 0
  return {
    begin(fromFrame) {
      begunAt = fromFrame
      count = 0
    },
    at(readings, readFrame, heardFrame) {
      // Until the audio thread has read, the readings are those of the playback before.
      if (readFrame <= begunAt) return SILENT_METERS
      newest = (newest + 1) % KEPT
      kept[newest].set(readings)
      frames[newest] = readFrame
      count = Math.min(KEPT, count + 1)
      let best = newest
      for (let back = 1; back < count; back++) {
        const place = (newest - back + KEPT) % KEPT
        if (Math.abs(frames[place] - heardFrame) > Math.abs(frames[best] - heardFrame)) break
        best = place
      }
      return heardFrame < begunAt ? SILENT_METERS : kept[best]
    },
  }
}
