// Six layers of recorded speech: the clips of one speaker, in another order for each layer, so that the layers have
// one long-term spectrum and are as unrelated as different takes are.

import { CLIPS_AT, speech } from '../fidelity/speech.ts'

/** The lead at 0 dB and five layers 8 to 12 dB under it, as the clips follow one another. */
export const SPEECH_LEVELS_DB = [0, -8, -9, -10, -11, -12] as const

/** All layers have one length; without their levels. */
export function speechLayers(count: number): Float64Array[] {
  const joined = speech()
  const starts = CLIPS_AT()
  return Array.from({ length: count }, (_, k) => {
    const order = starts.map((_start, i) => (i + k) % starts.length)
    const layer = new Float64Array(joined.length)
    let at = 0
    for (const i of order) {
      const clip = joined.subarray(starts[i], starts[i + 1] ?? joined.length)
      layer.set(clip, at)
      at += clip.length
    }
    return layer
  })
}

export const scaled = (samples: Float64Array, db: number): Float64Array =>
  samples.map((x) => x * 10 ** (db / 20))
