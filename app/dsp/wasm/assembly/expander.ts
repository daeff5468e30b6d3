// The expander: level, static curve, ballistics. Each step as in
// test/dsp/reference/expander.ts.

import { dbFromTwoPowers } from './decibels.ts'

/**
 * Samples to their smoothed square, in place.
 * @param state the last power
 * @param floor constant power that keeps the state out of denormal numbers
 */
export function followPower(samples: usize, frames: i32, state: usize, smooth: f64, floor: f64): void {
  const take = 1 - smooth
  let power = load<f64>(state)
  for (let i = 0; i < frames << 3; i += 8) {
    const x = load<f64>(samples + i)
    power = smooth * power + take * (x * x + floor)
    store<f64>(samples + i, power)
  }
  store<f64>(state, power)
}

/**
 * Powers to the static curve's reductions in dB, in place; -1 where the level is not
 * below the threshold.
 * @param frames rounded up to a multiple of 2
 * @returns whether any is below
 */
export function writeExpansions(
  powers: usize,
  frames: i32,
  thresholdPower: f64,
  thresholdDb: f64,
  slope: f64,
  rangeDb: f64,
): bool {
  const threshold = f64x2.splat(thresholdPower)
  const level = f64x2.splat(thresholdDb)
  const slopes = f64x2.splat(slope)
  const range = f64x2.splat(rangeDb)
  const open = f64x2.splat(-1)
  const none = f64x2.splat(0)
  let isAny = false
  for (let i = 0; i < frames << 3; i += 16) {
    const power = v128.load(powers + i)
    const isBelow = f64x2.lt(power, threshold)
    if (!v128.any_true(isBelow)) {
      v128.store(powers + i, open)
      continue
    }
    isAny = true
    const under = f64x2.sub(level, inline.always(dbFromTwoPowers(power)))
    const asked = f64x2.pmax(f64x2.pmin(f64x2.mul(slopes, under), range), none)
    v128.store(powers + i, v128.bitselect(asked, open, isBelow))
  }
  return isAny
}

/**
 * Static reductions to reductions with attack, hold and release, in dB and in place.
 * @param state reduction in dB, and frames of hold that remain
 * @returns the greatest
 */
export function runExpanderBallistics(
  askedDb: usize,
  frames: i32,
  state: usize,
  attack: f64,
  release: f64,
  holdFrames: f64,
  openDb: f64,
): f64 {
  const attackTake = 1 - attack
  const releaseTake = 1 - release
  let reduction = load<f64>(state)
  let hold = load<f64>(state, 8)
  let greatest: f64 = 0
  for (let i = 0; i < frames << 3; i += 8) {
    const asked = load<f64>(askedDb + i)
    if (asked < 0 || hold > 0) {
      hold = asked < 0 ? holdFrames : hold - 1
      reduction = reduction > openDb ? attack * reduction : 0
    } else if (asked < reduction) reduction = attack * reduction + attackTake * asked
    else reduction = release * reduction + releaseTake * asked
    store<f64>(askedDb + i, reduction)
    if (reduction > greatest) greatest = reduction
  }
  store<f64>(state, reduction)
  store<f64>(state, hold, 8)
  return greatest
}
