// Invented microphone curves, seeded: a low roll-off, presence, a dip, a high roll-off
// and the ripple that real measurements have. They imitate no microphone.

import type { Curve } from '../../app/dsp/correction/curve.ts'
import { octaveGridHz } from '../../app/dsp/correction/curve.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'

/** One invented curve from 20 Hz to 20 kHz, 12 points to the octave. */
export function inventedMicCurve(seed: number, rippleDb = 0.4): Curve {
  const random = createRandom(seed)
  const between = (low: number, high: number) => low + (high - low) * random.uniform()
  const lowHz = between(35, 140)
  const highHz = between(12000, 19000)
  const bumps = Array.from({ length: 3 }, (_, i) => ({
    logHz: Math.log([between(150, 500), between(2500, 6000), between(6000, 11000)][i]),
    widthNepers: between(0.25, 0.7),
    levelDb: [between(-2, 3), between(-1, 6), between(-3, 5)][i],
  }))
  const ripples = Array.from({ length: 4 }, () => ({
    perOctave: between(0.4, 2.5),
    phase: between(0, 2 * Math.PI),
  }))
  const frequenciesHz = octaveGridHz(20, 20000, 12)
  const levelsDb = frequenciesHz.map((frequencyHz) => {
    let levelDb =
      -10 * Math.log10(1 + (lowHz / frequencyHz) ** 2) - 10 * Math.log10(1 + (frequencyHz / highHz) ** 4)
    for (const { logHz, widthNepers, levelDb: bumpDb } of bumps) {
      levelDb += bumpDb * Math.exp(-(((Math.log(frequencyHz) - logHz) / widthNepers) ** 2))
    }
    for (const { perOctave, phase } of ripples) {
      levelDb += (rippleDb / 4) * Math.sin(2 * Math.PI * perOctave * Math.log2(frequencyHz / 1000) + phase)
    }
    return levelDb
  })
  return { frequenciesHz, levelsDb }
}
