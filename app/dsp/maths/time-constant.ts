// The coefficient of a one-pole smoother from its time constant. A time constant is
// the time in which a step reaches 63.2 % (1 - 1/e); no 10-90 % time is used anywhere.

/**
 * a in y = x + a (y - x), a = exp(-1 / (tau fs)), from 0 (no smoothing, for 0 s) to 1.
 * Source: Giannoulis, Massberg and Reiss, J. Audio Eng. Soc. 60(6), 2012.
 */
export function smoothingCoefficient(timeConstantSeconds: number, sampleRateHz: number): number {
  return Math.exp(-1 / (timeConstantSeconds * sampleRateHz))
}
