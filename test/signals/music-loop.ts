// A loop of music that is no voice: kick, closed hats, a saw bass and a pad of chords, two
// bars at 100 beats a minute over and over. For what must not be taken for a singer.

import { createRandom } from '../../app/dsp/maths/random.ts'

const BEAT_SECONDS = 0.6
const CHORDS_HZ = [
  [220, 261.63, 329.63],
  [174.61, 220, 261.63],
  [130.81, 164.81, 196],
  [196, 246.94, 293.66],
] as const

/** Peak about 0.7. */
export function musicLoop(seconds: number, sampleRateHz: number): Float64Array {
  const random = createRandom(77)
  const frames = Math.round(seconds * sampleRateHz)
  const out = new Float64Array(frames)
  let bass = 0
  let warm = 0
  for (let n = 0; n < frames; n++) {
    const t = n / sampleRateHz
    const beat = t / BEAT_SECONDS
    const inBeat = (beat % 1) * BEAT_SECONDS
    const inHalf = ((2 * beat) % 1) * (BEAT_SECONDS / 2)
    const chord = CHORDS_HZ[Math.floor(beat / 2) % 4]
    const kick =
      Math.sin(2 * Math.PI * (50 * inBeat + 4 * (1 - Math.exp(-inBeat * 30)))) * Math.exp(-inBeat * 9)
    const hat = (random.uniform() - 0.5) * Math.exp(-inHalf * 45)
    bass += chord[0] / 4 / sampleRateHz
    let pad = 0
    for (const hz of chord) pad += ((t * hz) % 1) - 0.5
    warm += 0.12 * (pad - warm)
    out[n] = 0.35 * kick + 0.2 * hat + 0.18 * ((bass % 1) - 0.5) + 0.16 * warm
  }
  return out
}
