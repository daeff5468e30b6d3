// Reads the response of a mic at given frequencies from its curve.

import { type Curve, normaliseCurve, resampleCurve } from '../correction/curve.ts'

/** Levels of a mic in dB, 0 dB at its mean from 300 Hz to 3 kHz; null where its curve has no data. */
export function micLevelsDb(curve: Curve, frequenciesHz: readonly number[]): readonly (number | null)[] {
  const lowestHz = curve.frequenciesHz[0]
  const highestHz = curve.frequenciesHz[curve.frequenciesHz.length - 1]
  const { levelsDb } = resampleCurve(normaliseCurve(curve), frequenciesHz)
  return frequenciesHz.map((hz, i) => (hz < lowestHz || hz > highestHz ? null : levelsDb[i]))
}
