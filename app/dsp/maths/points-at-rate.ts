/**
 * Points of a frame that lasts about as long as one of so many points at 48 kHz: doubled or halved with the rate, so
 * that a power of two stays one.
 */
export const pointsAtRate = (pointsAt48k: number, sampleRateHz: number): number =>
  pointsAt48k * 2 ** Math.round(Math.log2(sampleRateHz / 48_000))
