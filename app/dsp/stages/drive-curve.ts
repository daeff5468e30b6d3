// The curve of the drive: tanh with a bias, small-signal gain 1, and no output for no
// input. With t = tanh(bias) the addition theorem turns
//
//   (tanh(u + bias) - tanh(bias)) / (1 - t^2)   into   tanh(u) / (1 + t tanh(u)),
//
// which has no difference of nearly equal numbers and gives the momentary gain y / u
// right down to u = 0, where it is 1.

/** Under this the first terms of the series are exact to the last bits, and tanh by exp is not. */
const SERIES_BELOW = 0.05
/** From here tanh is 1 in doubles, and exp would overflow later on. */
const FLAT_FROM = 20

/**
 * The curve's momentary gain minus 1, so that y = u + excess(u) u.
 * @param u input of the curve; 1 is its knee
 * @param tanhBias tanh of the bias, 0 for a curve with odd harmonics only
 */
export function driveExcess(u: number, tanhBias: number): number {
  if (u < SERIES_BELOW && u > -SERIES_BELOW) {
    const s = u * u
    const ratio = 1 - s * (1 / 3 - s * (2 / 15 - s * (17 / 315 - s * (62 / 2835))))
    return ratio / (1 + tanhBias * u * ratio) - 1
  }
  if (u > FLAT_FROM) return 1 / (u * (1 + tanhBias)) - 1
  if (u < -FLAT_FROM) return -1 / (u * (1 - tanhBias)) - 1
  // tanh u = (e - 1) / (e + 1) with e = exp(2 u), so that one division is enough.
  const e = Math.exp(2 * u)
  return (e - 1) / (u * (e + 1 + tanhBias * (e - 1))) - 1
}
