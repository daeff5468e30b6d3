// The frequency response of sections as they run: drawn curves and fits use the same
// coefficients as the audio.

import type { Band, LowCutSettings } from '../stages/settings.ts'
import { designBands, designLowCut } from './matched.ts'
import { type SvfCoefficients, svfPower } from './svf.ts'

/** Level in dB of sections in series, one per frequency from 0 to half the sample rate. */
export function sectionsResponseDb(
  sections: readonly SvfCoefficients[],
  frequenciesHz: ArrayLike<number>,
  sampleRateHz: number,
): Float64Array {
  return Float64Array.from(frequenciesHz, (frequencyHz) => {
    let power = 1
    for (const section of sections) power *= svfPower(section, frequencyHz, sampleRateHz)
    return (10 * Math.log(power)) / Math.LN10
  })
}

/** Level in dB of a list of bands as the tone and mic-correction stages run them. */
export function bandsResponseDb(
  bands: readonly Band[],
  frequenciesHz: ArrayLike<number>,
  sampleRateHz: number,
): Float64Array {
  return sectionsResponseDb(designBands(bands, sampleRateHz), frequenciesHz, sampleRateHz)
}

/** Level in dB of a low-cut as its stage runs it. */
export function lowCutResponseDb(
  settings: LowCutSettings,
  frequenciesHz: ArrayLike<number>,
  sampleRateHz: number,
): Float64Array {
  return sectionsResponseDb(designLowCut(settings, sampleRateHz), frequenciesHz, sampleRateHz)
}
