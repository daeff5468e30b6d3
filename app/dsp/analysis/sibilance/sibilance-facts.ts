// Lists and ranks the sibilants of a take: each is compared with
// the same singer's other sibilants, never with a level of the voice.

import { dbFromPower } from '../../maths/decibels.ts'
import { median } from '../../maths/median.ts'
import { sumBelow } from '../spectra/frame-spectrum.ts'
import type { BandLevels } from '../spectra/long-term-spectrum.ts'
import { THIRD_OCTAVES } from '../spectra/third-octaves.ts'
import type { FoundSibilant } from './sibilant-events.ts'

interface SibilantEvent {
  readonly startSeconds: number
  readonly endSeconds: number
  readonly peakHz: number
  /** RMS of 4 to 11 kHz. */
  readonly levelDbfs: number
  /** 4 to 11 kHz over 0.2 to 4 kHz within the event; independent of gain. */
  readonly ratioDb: number
  /** 1 for the greatest ratio of this take. */
  readonly rank: number
}

/** All sibilants of a take and their medians. */
export interface Sibilance {
  /** In order of time. */
  readonly events: readonly SibilantEvent[]
  /** Medians over the events, null without any. */
  readonly peakHz: number | null
  readonly ratioDb: number | null
  /** Third quartile of the ratios: strength of this take's sibilants, hardly affected by weaker ones. */
  readonly upperRatioDb: number | null
  /** Events above this are hot: 4 dB over the third quartile of the ratios (our choice); null below eight. */
  readonly hotRatioDb: number | null
  /** Mean over the events' frames, from 500 Hz up; null without any. */
  readonly spectrum: { readonly levelsDbfs: BandLevels; readonly frames: number } | null
  /** 95th percentile over the vowel frames of the de-ess stage's ratio, 4.5 to 10.5 kHz over 0.2 to 4 kHz. */
  readonly vowelRatioP95Db: number | null
}

const HOT_OVER_QUARTILE_DB = 4
const FEWEST_FOR_QUARTILE = 8
/** Below this, the bins of short frames are too wide for third octaves. */
const LOWEST_BAND_HZ = 500

/** @param binHz spacing of the events' spectra @param vowelRatioP95Db see Sibilance */
export function sibilanceOf(
  found: readonly FoundSibilant[],
  binHz: number,
  vowelRatioP95Db: number | null,
): Sibilance {
  const ratios = found.map(({ ratioDb }) => ratioDb).sort((a, b) => a - b)
  const events = found.map(({ startSeconds, endSeconds, peakHz, levelDbfs, ratioDb }) => ({
    startSeconds,
    endSeconds,
    peakHz,
    levelDbfs,
    ratioDb,
    rank: ratios.length - ratios.lastIndexOf(ratioDb),
  }))
  const upperRatioDb = ratios.length === 0 ? null : ratios[Math.floor(0.75 * (ratios.length - 1))]
  return {
    events,
    peakHz: found.length === 0 ? null : median(found.map(({ peakHz }) => peakHz)),
    ratioDb: ratios.length === 0 ? null : median(ratios),
    upperRatioDb,
    hotRatioDb:
      upperRatioDb === null || ratios.length < FEWEST_FOR_QUARTILE
        ? null
        : upperRatioDb + HOT_OVER_QUARTILE_DB,
    spectrum: spectrumOf(found, binHz),
    vowelRatioP95Db,
  }
}

function spectrumOf(found: readonly FoundSibilant[], binHz: number): Sibilance['spectrum'] {
  if (found.length === 0) return null
  const bins = found[0].powers.length
  const sums = new Float64Array(bins + 1)
  let frames = 0
  for (const one of found) {
    for (let k = 0; k < bins; k++) sums[k + 1] += one.powers[k] * one.frames
    frames += one.frames
  }
  for (let k = 1; k <= bins; k++) sums[k] = sums[k - 1] + sums[k] / frames
  const topHz = (bins - 1) * binHz
  const levelsDbfs = THIRD_OCTAVES.map(({ nominalHz, lowerHz, upperHz }) => {
    if (nominalHz < LOWEST_BAND_HZ || upperHz > topHz) return null
    const power = sumBelow(sums, upperHz / binHz) - sumBelow(sums, lowerHz / binHz)
    return power > 0 ? dbFromPower(power) : null
  })
  return { levelsDbfs, frames }
}
