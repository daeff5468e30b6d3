// The control of the ceiling, as in test/dsp/reference: from peaks to the reduction needed, held
// for the look-ahead, released, and smoothed by two running means over integers.

const PARTS: f64 = 1073741824
const RELEASED: f64 = 1e-6

/**
 * Peaks to reductions (1 - gain), in place.
 * @param state head, length and place of the queue; both sums and both positions; the last
 *   released reduction; frames since the last reduction; then the queue's values, their
 *   places, and both means' values
 * @param window of the queue
 * @returns the greatest
 */
export function runCeilingControl(
  peaks: usize,
  frames: i32,
  state: usize,
  ceiling: f64,
  release: f64,
  window: i32,
  firstLength: i32,
  secondLength: i32,
): f64 {
  const kept = state + 72
  const places = kept + (window << 3)
  const first = places + (window << 3)
  const second = first + (firstLength << 3)
  const scale = 1 / (<f64>firstLength * <f64>secondLength * PARTS)
  let head = <i32>load<f64>(state)
  let length = <i32>load<f64>(state, 8)
  let place = load<f64>(state, 16)
  let firstSum = load<f64>(state, 24)
  let secondSum = load<f64>(state, 32)
  let firstAt = <i32>load<f64>(state, 40)
  let secondAt = <i32>load<f64>(state, 48)
  let released = load<f64>(state, 56)
  let quiet = load<f64>(state, 64)
  let greatest: f64 = 0
  for (let i = 0; i < frames << 3; i += 8) {
    const peak = load<f64>(peaks + i)
    const needed = peak > ceiling ? 1 - ceiling / peak : 0

    // The greatest of the last `window`: a queue keeps what no later one has matched.
    if (length > 0 && load<f64>(places + (head << 3)) <= place - <f64>window) {
      head = head + 1 === window ? 0 : head + 1
      length--
    }
    let tail = head + length - 1
    if (tail >= window) tail -= window
    while (length > 0 && load<f64>(kept + (tail << 3)) <= needed) {
      length--
      tail = tail === 0 ? window - 1 : tail - 1
    }
    const next = length === 0 ? head : tail + 1 === window ? 0 : tail + 1
    store<f64>(kept + (next << 3), needed)
    store<f64>(places + (next << 3), place)
    length++
    place += 1
    const held = load<f64>(kept + (head << 3))

    released = held > released ? held : held + release * (released - held)
    if (released < RELEASED) released = held
    quiet = released > 0 ? 0 : quiet + 1

    const parts = ceil(released * PARTS)
    firstSum += parts - load<f64>(first + (firstAt << 3))
    store<f64>(first + (firstAt << 3), parts)
    firstAt = firstAt + 1 === firstLength ? 0 : firstAt + 1
    secondSum += firstSum - load<f64>(second + (secondAt << 3))
    store<f64>(second + (secondAt << 3), firstSum)
    secondAt = secondAt + 1 === secondLength ? 0 : secondAt + 1
    const taken = secondSum * scale
    store<f64>(peaks + i, taken)
    if (taken > greatest) greatest = taken
  }
  store<f64>(state, head)
  store<f64>(state, length, 8)
  store<f64>(state, place, 16)
  store<f64>(state, firstSum, 24)
  store<f64>(state, secondSum, 32)
  store<f64>(state, firstAt, 40)
  store<f64>(state, secondAt, 48)
  store<f64>(state, released, 56)
  store<f64>(state, quiet, 64)
  return greatest
}

/** Samples times 1 - reduction, in place. @param taken reductions, 0 to 1 @param frames rounded up to a multiple of 2 */
export function attenuateRow(samples: usize, taken: usize, frames: i32): void {
  const one = f64x2.splat(1)
  for (let i = 0; i < frames << 3; i += 16) {
    v128.store(samples + i, f64x2.mul(v128.load(samples + i), f64x2.sub(one, v128.load(taken + i))))
  }
}

/** Holds a row's samples within a limit both ways. @param frames rounded up to a multiple of 2 */
export function clampRow(samples: usize, frames: i32, limit: f64): void {
  const most = f64x2.splat(limit)
  const least = f64x2.splat(-limit)
  for (let i = 0; i < frames << 3; i += 16) {
    v128.store(samples + i, f64x2.pmax(f64x2.pmin(v128.load(samples + i), most), least))
  }
}
