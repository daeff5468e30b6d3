// The position of a layer between left and right: pan laws for mono layers, balance for
// stereo ones. Each law is named after its level per side at the centre.
// Source: the usual definitions: equal power (sine and cosine), linear, and between
// them the geometric mean of the two.

/** Level per side at the centre. */
export type PanLaw = 'minus-3-db' | 'minus-4.5-db' | 'minus-6-db'

/**
 * Gains of left and right for a mono layer.
 * @param position -1 left, 0 centre, +1 right
 */
export function panGains(position: number, law: PanLaw): readonly [left: number, right: number] {
  const angle = ((position + 1) * Math.PI) / 4
  // The sine of the other angle, so that hard left and hard right are exactly 0 on the far side.
  const equalPower = [Math.sin(((1 - position) * Math.PI) / 4), Math.sin(angle)] as const
  const linear = [(1 - position) / 2, (1 + position) / 2] as const
  switch (law) {
    case 'minus-3-db':
      return equalPower
    case 'minus-4.5-db':
      return [Math.sqrt(equalPower[0] * linear[0]), Math.sqrt(equalPower[1] * linear[1])]
    case 'minus-6-db':
      return linear
  }
}

/**
 * Gains of left and right for a stereo layer: both 1 at the centre, and the side that
 * is moved away from fades on a quarter sine.
 * @param position -1 left only, 0 as recorded, +1 right only
 */
export function balanceGains(position: number): readonly [left: number, right: number] {
  const far = Math.sin(((1 - Math.abs(position)) * Math.PI) / 2)
  return position > 0 ? [far, 1] : [1, far]
}
