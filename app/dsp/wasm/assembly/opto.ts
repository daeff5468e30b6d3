// The opto: level of the leader, static curve, cells, gains. Each step as in test/dsp/reference,
// the level's two branches in the two halves of a vector.

import { dbFromTwoPowers, gainFromTwoDb } from './decibels.ts'

/**
 * One channel's squared envelope behind its high-pass, smoothed, in place. The envelope's
 * second branch is a sample late by design.
 * @param coefficients p11, p21, p22, q2, y0, y1, y2 of the high-pass, the smoother's a, then
 *   four vectors of all-pass coefficients
 * @param state c1, c2 of the high-pass, its last result, a place that is not used, then as
 *   vectors the last and last but one of what goes into the all-passes and of what comes
 *   out of each; at the end the smoothed power
 * @param floor constant power that keeps the state out of denormal numbers
 */
export function writeOptoPower(
  samples: usize,
  frames: i32,
  coefficients: usize,
  state: usize,
  floor: f64,
): void {
  const p11 = load<f64>(coefficients)
  const p21 = load<f64>(coefficients, 8)
  const p22 = load<f64>(coefficients, 16)
  const q2 = load<f64>(coefficients, 24)
  const y0 = load<f64>(coefficients, 32)
  const y1 = load<f64>(coefficients, 40)
  const y2 = load<f64>(coefficients, 48)
  const smooth = load<f64>(coefficients, 56)
  const take = 1 - smooth
  const a = v128.load(coefficients, 64)
  const b = v128.load(coefficients, 80)
  const c = v128.load(coefficients, 96)
  const d = v128.load(coefficients, 112)
  let s1 = load<f64>(state)
  let s2 = load<f64>(state, 8)
  let late = load<f64>(state, 16)
  let in1 = v128.load(state, 32)
  let in2 = v128.load(state, 48)
  let a1 = v128.load(state, 64)
  let a2 = v128.load(state, 80)
  let b1 = v128.load(state, 96)
  let b2 = v128.load(state, 112)
  let c1 = v128.load(state, 128)
  let c2 = v128.load(state, 144)
  let d1 = v128.load(state, 160)
  let d2 = v128.load(state, 176)
  let power = load<f64>(state, 192)
  for (let i = 0; i < frames << 3; i += 8) {
    const x = load<f64>(samples + i)
    const high = y0 * x + (y1 * s1 + y2 * s2)
    const next = p11 * s1 + p21 * (x - s2)
    s2 = p21 * s1 + (p22 * s2 + q2 * x)
    s1 = next
    const both = f64x2.replace_lane(f64x2.splat(high), 1, late)
    late = high
    const first = f64x2.sub(f64x2.mul(a, f64x2.add(both, a2)), in2)
    in2 = in1
    in1 = both
    const second = f64x2.sub(f64x2.mul(b, f64x2.add(first, b2)), a2)
    a2 = a1
    a1 = first
    const third = f64x2.sub(f64x2.mul(c, f64x2.add(second, c2)), b2)
    b2 = b1
    b1 = second
    const fourth = f64x2.sub(f64x2.mul(d, f64x2.add(third, d2)), c2)
    c2 = c1
    c1 = third
    d2 = d1
    d1 = fourth
    const squares = f64x2.mul(fourth, fourth)
    const envelope = f64x2.extract_lane(squares, 0) + f64x2.extract_lane(squares, 1) + floor
    power = smooth * power + take * envelope
    store<f64>(samples + i, power)
  }
  store<f64>(state, s1)
  store<f64>(state, s2, 8)
  store<f64>(state, late, 16)
  v128.store(state, in1, 32)
  v128.store(state, in2, 48)
  v128.store(state, a1, 64)
  v128.store(state, a2, 80)
  v128.store(state, b1, 96)
  v128.store(state, b2, 112)
  v128.store(state, c1, 128)
  v128.store(state, c2, 144)
  v128.store(state, d1, 160)
  v128.store(state, d2, 176)
  store<f64>(state, power, 192)
}

/**
 * Powers to the static curve's reductions in dB, in place.
 * @param frames rounded up to a multiple of 2
 * @returns whether any may be more than 0
 */
export function writeStaticReductions(
  powers: usize,
  frames: i32,
  untouchedPower: f64,
  thresholdDbfs: f64,
  slope: f64,
  kneeDb: f64,
): bool {
  const untouched = f64x2.splat(untouchedPower)
  const threshold = f64x2.splat(thresholdDbfs)
  const half = f64x2.splat(kneeDb / 2)
  const knee = f64x2.splat(kneeDb)
  const slopes = f64x2.splat(slope)
  const inKnee = f64x2.splat(kneeDb > 0 ? slope / (2 * kneeDb) : 0)
  const none = f64x2.splat(0)
  let isAny = false
  for (let i = 0; i < frames << 3; i += 16) {
    const power = v128.load(powers + i)
    const touched = f64x2.gt(power, untouched)
    if (!v128.any_true(touched)) {
      v128.store(powers + i, none)
      continue
    }
    isAny = true
    const over = f64x2.sub(inline.always(dbFromTwoPowers(power)), threshold)
    // The square of what lies within the knee, and the straight line from its upper end on.
    const into = f64x2.pmin(f64x2.pmax(f64x2.add(over, half), none), knee)
    const past = f64x2.pmax(f64x2.sub(over, half), none)
    const reduction = f64x2.add(f64x2.mul(f64x2.mul(inKnee, into), into), f64x2.mul(slopes, past))
    // By what it is itself, not by its neighbour: rounding may find more than 0 on the edge.
    v128.store(powers + i, v128.and(reduction, touched))
  }
  return isAny
}

const SLOW_SHARE: f64 = 0.4
const MEMORY_FULL_DB: f64 = 6
/** What is left of an attack from where on it settles: a share of the reduction asked for, and at most so many dB. */
const SETTLE_SHARE: f64 = 0.3
const SETTLE_DB: f64 = 1
const EMPTY_DB: f64 = 1e-5

/**
 * As test/dsp/reference/opto-cells.ts, in place.
 * @param coefficients attack, release, slow fill, memory fill and memory fade as smoothing
 *   coefficients, the shortest time of the slow cell and what memory adds, in frames, and the
 *   smoothing coefficient of the attack's last part
 * @param state fast and slow cell in dB, memory, both cells together
 * @returns the greatest reduction in dB
 */
export function runOptoCells(reductionsDb: usize, frames: i32, coefficients: usize, state: usize): f64 {
  const attackTake = 1 - load<f64>(coefficients)
  const release = load<f64>(coefficients, 8)
  const slowFill = load<f64>(coefficients, 16)
  const memoryFill = load<f64>(coefficients, 24)
  const memoryFade = load<f64>(coefficients, 32)
  const shortFrames = load<f64>(coefficients, 40) + 0.5
  const moreFrames = load<f64>(coefficients, 48)
  const settleTake = 1 - load<f64>(coefficients, 56)
  const releaseTake = 1 - release
  const slowTake = 1 - slowFill
  const fillTake = 1 - memoryFill
  const fadeTake = 1 - memoryFade
  let fast = load<f64>(state)
  let slow = load<f64>(state, 8)
  let remembered = load<f64>(state, 16)
  let total = load<f64>(state, 24)
  let greatest: f64 = 0
  for (let i = 0; i < frames << 3; i += 8) {
    const asked = load<f64>(reductionsDb + i)
    const lit = asked < MEMORY_FULL_DB ? asked * (1 / MEMORY_FULL_DB) : 1
    if (lit > remembered) remembered = memoryFill * remembered + fillTake * lit
    else {
      remembered = memoryFade * remembered + fadeTake * lit
      if (remembered < 1e-9) remembered = 0
    }
    const share = SLOW_SHARE * asked
    if (share > slow) {
      const filled = slowFill * slow + slowTake * share
      // The slow cell takes over from the fast one, so that together they never pass what is asked.
      fast = fast + slow > filled ? fast + slow - filled : 0
      slow = filled
    } else {
      // 1 - exp(-1 / t) for a t that moves: 1 / (t + 1/2) to within 1 part in 12 t^2.
      const take = 1 / (shortFrames + moreFrames * remembered)
      slow = (1 - take) * slow + take * share
      if (slow < EMPTY_DB) slow = 0
    }
    if (asked > total) {
      const left = asked - total
      const most = SETTLE_SHARE * asked
      total += (left > (most < SETTLE_DB ? most : SETTLE_DB) ? attackTake : settleTake) * left
      if (total < slow) total = slow
      fast = total - slow
    } else {
      const rest = asked > slow ? asked - slow : 0
      fast = release * fast + releaseTake * rest
      if (fast < EMPTY_DB && rest <= 0) fast = 0
      total = fast + slow
    }
    store<f64>(reductionsDb + i, total)
    if (total > greatest) greatest = total
  }
  store<f64>(state, fast)
  store<f64>(state, slow, 8)
  store<f64>(state, remembered, 16)
  store<f64>(state, total, 24)
  return greatest
}

/** Reductions in dB to gains, in place; without reduction the gain is exactly `makeUpGain`. */
export function writeGainsOfReductions(
  reductionsDb: usize,
  frames: i32,
  makeUpDb: f64,
  makeUpGain: f64,
): void {
  const makeUp = f64x2.splat(makeUpDb)
  const full = f64x2.splat(makeUpGain)
  for (let i = 0; i < frames << 3; i += 16) {
    const reduction = v128.load(reductionsDb + i)
    const gain = inline.always(gainFromTwoDb(f64x2.sub(makeUp, reduction)))
    v128.store(reductionsDb + i, v128.bitselect(full, gain, f64x2.eq(reduction, f64x2.splat(0))))
  }
}
