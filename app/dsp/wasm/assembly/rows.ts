// Operations on whole rows: products, maxima, interleaving. Counts are rounded up to a multiple of 2.

/** One row times another, in place. */
export function multiplyRow(samples: usize, gains: usize, frames: i32): void {
  for (let i = 0; i < frames << 3; i += 16) {
    v128.store(samples + i, f64x2.mul(v128.load(samples + i), v128.load(gains + i)))
  }
}

/** The greater of two rows, into the first. */
export function maximumRow(highest: usize, row: usize, frames: i32): void {
  for (let i = 0; i < frames << 3; i += 16) {
    v128.store(highest + i, f64x2.pmax(v128.load(highest + i), v128.load(row + i)))
  }
}

/** Two rows to one in which their values alternate. */
export function interleaveRows(first: usize, second: usize, both: usize, frames: i32): void {
  for (let i = 0; i < frames << 3; i += 16) {
    const a = v128.load(first + i)
    const b = v128.load(second + i)
    v128.store(both + (i << 1), v128.shuffle<f64>(a, b, 0, 2))
    v128.store(both + (i << 1), v128.shuffle<f64>(a, b, 1, 3), 16)
  }
}

/** One row with the values of two alternating, to two rows. */
export function deinterleaveRows(both: usize, first: usize, second: usize, frames: i32): void {
  for (let i = 0; i < frames << 3; i += 16) {
    const a = v128.load(both + (i << 1))
    const b = v128.load(both + (i << 1), 16)
    v128.store(first + i, v128.shuffle<f64>(a, b, 0, 2))
    v128.store(second + i, v128.shuffle<f64>(a, b, 1, 3))
  }
}

/** Sets states under 1e-15 to 0, before they become denormal numbers. */
export function flushDecayed(states: usize, count: i32): void {
  for (let i = 0; i < count << 3; i += 8) {
    if (abs(load<f64>(states + i)) < 1e-15) store<f64>(states + i, 0)
  }
}

/** Sum of the squares of a row's first `count` values. */
export function sumOfSquares(row: usize, count: i32): f64 {
  let a = f64x2.splat(0)
  let b = a
  let i = 0
  for (; i + 3 < count; i += 4) {
    const at = row + (i << 3)
    const x = v128.load(at)
    const y = v128.load(at, 16)
    a = f64x2.add(a, f64x2.mul(x, x))
    b = f64x2.add(b, f64x2.mul(y, y))
  }
  const both = f64x2.add(a, b)
  let sum = f64x2.extract_lane(both, 0) + f64x2.extract_lane(both, 1)
  for (; i < count; i++) {
    const x = load<f64>(row + (i << 3))
    sum += x * x
  }
  return sum
}

/** Adds a row times a gain to another. @param frames rounded up to a multiple of 2 */
export function addScaledRow(row: usize, gain: f64, sum: usize, frames: i32): void {
  const gains = f64x2.splat(gain)
  for (let i = 0; i < frames << 3; i += 16) {
    v128.store(sum + i, f64x2.add(v128.load(sum + i), f64x2.mul(v128.load(row + i), gains)))
  }
}
