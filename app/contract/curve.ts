// Schema of a curve: magnitude in dB over frequency in Hz.

import { z } from 'zod'
import type { Curve } from '../dsp/correction/curve.ts'
import { listOf } from './text/bounded.ts'
import { MAX_CURVE_POINTS } from './text/limits.ts'

/** Frequency and level of one point of a curve. */
export const CurveFrequencyHz = z.number().min(1).max(200_000)
export const CurveLevelDb = z.number().min(-120).max(120)

/** At least 3 points, frequencies ascending and within 1 Hz to 200 kHz, levels within +-120 dB. */
export const CurvePoints = z
  .object({
    frequenciesHz: listOf(CurveFrequencyHz, MAX_CURVE_POINTS, 3),
    levelsDb: listOf(CurveLevelDb, MAX_CURVE_POINTS, 3),
  })
  .refine((curve) => curve.frequenciesHz.length === curve.levelsDb.length, {
    message: 'a curve needs one level for each frequency',
  })
  .refine((curve) => curve.frequenciesHz.every((f, i, all) => i === 0 || f > all[i - 1]), {
    message: 'the frequencies of a curve must rise from point to point',
  })
export type CurvePoints = z.infer<typeof CurvePoints>

// Compile-time check that the engine's type matches the schema.
null as unknown as CurvePoints satisfies Curve
