// Invented microphone curves, seeded: a low roll-off, presence, a dip, a high roll-off
// and the ripple that real measurements have. They imitate no microphone. Wild ones have steeper and higher
// bumps than any microphone, and may end anywhere.

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

/** A tilt and five bumps of up to 8 dB, 12 points to the octave between its ends. */
export function wildCurve(seed: number, fromHz = 20, toHz = 20_000): Curve {
  const random = createRandom(seed)
  const between = (low: number, high: number) => low + (high - low) * random.uniform()
  const dbPerOctave = between(-1.5, 1.5)
  const bumps = Array.from({ length: 5 }, () => ({
    octave: between(0, 10),
    width: between(0.2, 1.2),
    levelDb: between(-8, 8),
  }))
  const frequenciesHz = octaveGridHz(fromHz, toHz, 12)
  const levelsDb = frequenciesHz.map((frequencyHz) =>
    bumps.reduce(
      (sum, { octave, width, levelDb }) =>
        sum + levelDb * Math.exp(-(((Math.log2(frequencyHz / 20) - octave) / width) ** 2)),
      dbPerOctave * Math.log2(frequencyHz / 1000),
    ),
  )
  return { frequenciesHz, levelsDb }
}

/** The points of a curve between two frequencies. */
export function cutTo({ frequenciesHz, levelsDb }: Curve, fromHz: number, toHz: number): Curve {
  const kept = frequenciesHz.map((f, i) => [f, levelsDb[i]]).filter(([f]) => f >= fromHz && f <= toHz)
  return { frequenciesHz: kept.map(([f]) => f), levelsDb: kept.map(([, levelDb]) => levelDb) }
}
