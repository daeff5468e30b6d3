// The static curves that the panels draw, from the settings and the published formulas.
// They show what a steady level comes to; what happens in time is measured at the joints.

/**
 * dB taken off `overDb` above the threshold.
 * Source: Giannoulis, Massberg and Reiss, J. Audio Eng. Soc. 60(6), 2012, eq. 4.
 */
export function softKneeReductionDb(overDb: number, ratio: number, kneeDb: number): number {
  const slope = 1 - 1 / ratio
  if (2 * overDb <= -kneeDb) return 0
  if (2 * overDb >= kneeDb) return slope * overDb
  return (slope * (overDb + kneeDb / 2) ** 2) / (2 * kneeDb)
}

export const optoOutputDbfs = (
  inputDbfs: number,
  settings: { thresholdDbfs: number; ratio: number; kneeDb: number; makeUpDb: number },
): number =>
  inputDbfs -
  softKneeReductionDb(inputDbfs - settings.thresholdDbfs, settings.ratio, settings.kneeDb) +
  settings.makeUpDb

/** Below the threshold each dB becomes `ratio` dB, down to the range. */
export const expanderOutputDbfs = (
  inputDbfs: number,
  settings: { thresholdDbfs: number; ratio: number; rangeDb: number },
): number =>
  inputDbfs -
  Math.min(settings.rangeDb, Math.max(0, (settings.thresholdDbfs - inputDbfs) * (settings.ratio - 1)))

/** Width of the knee of the de-esser, which has no control of its own. */
const DE_ESS_KNEE_DB = 4

/** dB taken off the sibilant band at a ratio of sibilance to voice; each dB over the threshold takes one. */
export const deEssReductionDb = (
  ratioDb: number,
  settings: { thresholdDb: number; rangeDb: number },
): number =>
  Math.min(
    settings.rangeDb,
    softKneeReductionDb(ratioDb - settings.thresholdDb, Number.POSITIVE_INFINITY, DE_ESS_KNEE_DB),
  )

/** How far the reference level lies under the knee of the curve at 0 dB of drive. */
const REFERENCE_BELOW_KNEE_DB = 12
const BIAS_AT_100_PERCENT = 0.5

/** Output sample of the drive's curve for an input sample, both with full scale 1, before oversampling and DC block. */
export function driveOutput(
  input: number,
  settings: {
    amountDb: number
    referenceDbfs: number
    evenPercent: number
    mixPercent: number
    outputDb: number
  },
): number {
  const push = 10 ** ((settings.amountDb - settings.referenceDbfs - REFERENCE_BELOW_KNEE_DB) / 20)
  const tanhBias = Math.tanh((BIAS_AT_100_PERCENT * settings.evenPercent) / 100)
  const bent = Math.tanh(push * input)
  // (tanh(u + b) - tanh b) / (1 - tanh(b)^2) by the addition theorem, over the same gain.
  const driven = bent / (1 + tanhBias * bent) / push
  const mix = settings.mixPercent / 100
  return (1 - mix) * input + mix * 10 ** (settings.outputDb / 20) * driven
}
