// What a mic does to a voice at a frequency, read off its curve.

import { type Curve, normaliseCurve, resampleCurve } from '../curve.ts'

/** Level of a mic at a frequency, 0 dB at its mean from 300 Hz to 3 kHz; null where its curve has no data. */
export function micReader(curve: Curve): (frequencyHz: number) => number | null {
  const level = normaliseCurve(curve)
  const lowestHz = curve.frequenciesHz[0]
  const highestHz = curve.frequenciesHz[curve.frequenciesHz.length - 1]
  return (frequencyHz) =>
    frequencyHz < lowestHz || frequencyHz > highestHz ? null : resampleCurve(level, [frequencyHz]).levelsDb[0]
}
