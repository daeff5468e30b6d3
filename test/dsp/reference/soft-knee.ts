// The static curve of a level control with a soft knee: how many dB are taken off at
// a level so many dB over the threshold. Used downwards by opto and de-ess.

/**
 * Reduction in dB, 0 or more.
 * @param overDb level minus threshold in dB
 * @param slope dB taken off per dB over the threshold, 1 - 1 / ratio
 * @param kneeDb width of the transition, centred on the threshold; 0 is a hard knee
 * Source: Giannoulis, Massberg and Reiss, J. Audio Eng. Soc. 60(6), 2012, eq. 4.
 */
export function softKneeReductionDb(overDb: number, slope: number, kneeDb: number): number {
  const half = kneeDb / 2
  if (overDb <= -half) return 0
  if (overDb >= half) return slope * overDb
  const intoKnee = overDb + half
  return (slope * intoKnee * intoKnee) / (2 * kneeDb)
}
