// The momentary gain of the drive's curve, tanh(u) / (u (1 + t tanh(u))), without exp.
//
// tanh(u) / u = P(s) / Q(s) with s = u u, the 11th convergent of Lambert's continued
// fraction: within 2e-16 of tanh up to |u| = 2. Beyond, an eighth of u goes in and
// tanh(2 h) = 2 tanh(h) / (1 + tanh(h)^2) doubles it three times; from |u| = 20 on tanh
// is 1 in doubles. P and Q stay apart to the end, so that there is one division. Both
// are sums of positive terms, so nothing cancels.
// Source of the fraction: NIST Digital Library of Mathematical Functions, 4.39.1.

import { storeSplit } from './half-band.ts'

/** P1 to P5, then Q1 to Q5; P0 and Q0 are 1. */
const TERMS = memory.data<f64>([
  1964187225.0 / 13749310575.0,
  64324260.0 / 13749310575.0,
  675675.0 / 13749310575.0,
  2145.0 / 13749310575.0,
  1.0 / 13749310575.0,
  6547290750.0 / 13749310575.0,
  413513100.0 / 13749310575.0,
  7567560.0 / 13749310575.0,
  45045.0 / 13749310575.0,
  66.0 / 13749310575.0,
])
const NEAR_TO: f64 = 2
const FLAT_FROM: f64 = 20

function horner(terms: usize, s: v128): v128 {
  let sum = f64x2.add(f64x2.mul(v128.load64_splat(terms, 32), s), v128.load64_splat(terms, 24))
  sum = f64x2.add(f64x2.mul(sum, s), v128.load64_splat(terms, 16))
  sum = f64x2.add(f64x2.mul(sum, s), v128.load64_splat(terms, 8))
  sum = f64x2.add(f64x2.mul(sum, s), v128.load64_splat(terms))
  return f64x2.add(f64x2.mul(sum, s), f64x2.splat(1))
}

/** Gain less 1, for two |u| up to NEAR_TO. */
function excessNear(u: v128, tanhBias: v128): v128 {
  const s = f64x2.mul(u, u)
  const p = inline.always(horner(TERMS, s))
  const q = inline.always(horner(TERMS + 40, s))
  const below = f64x2.add(q, f64x2.mul(f64x2.mul(tanhBias, u), p))
  return f64x2.sub(f64x2.div(p, below), f64x2.splat(1))
}

/** Gain less 1, for any two u. */
function excessFar(u: v128, tanhBias: v128): v128 {
  const most = f64x2.splat(FLAT_FROM)
  const held = f64x2.pmax(f64x2.pmin(u, most), f64x2.neg(most))
  // How far u lies beyond what was held; 1 within.
  const beyond = f64x2.pmax(f64x2.mul(f64x2.abs(u), f64x2.splat(1 / FLAT_FROM)), f64x2.splat(1))
  const h = f64x2.mul(held, f64x2.splat(0.125))
  let s = f64x2.mul(h, h)
  let p = inline.always(horner(TERMS, s))
  let q = inline.always(horner(TERMS + 40, s))
  for (let doubling = 0; doubling < 3; doubling++) {
    const above = f64x2.mul(p, q)
    q = f64x2.add(f64x2.mul(q, q), f64x2.mul(s, f64x2.mul(p, p)))
    p = above
    s = f64x2.mul(s, f64x2.splat(4))
  }
  const below = f64x2.mul(beyond, f64x2.add(q, f64x2.mul(f64x2.mul(tanhBias, held), p)))
  return f64x2.sub(f64x2.div(p, below), f64x2.splat(1))
}

/** What the curve's gain is short of 1 at every sample. @param count rounded up to a multiple of 4 */
export function writeExcess(sound: usize, excess: usize, count: i32, push: f64, tanhBias: f64): void {
  const pushes = f64x2.splat(push)
  const biases = f64x2.splat(tanhBias)
  const nearTo = f64x2.splat(NEAR_TO)
  for (let i = 0; i < count << 3; i += 32) {
    const u0 = f64x2.mul(pushes, v128.load(sound + i))
    const u1 = f64x2.mul(pushes, v128.load(sound + i, 16))
    let excess0 = inline.always(excessNear(u0, biases))
    let excess1 = inline.always(excessNear(u1, biases))
    const isFar0 = f64x2.gt(f64x2.abs(u0), nearTo)
    const isFar1 = f64x2.gt(f64x2.abs(u1), nearTo)
    if (v128.any_true(v128.or(isFar0, isFar1))) {
      // Each value takes the way that is its own, whatever its neighbours do.
      excess0 = v128.bitselect(excessFar(u0, biases), excess0, isFar0)
      excess1 = v128.bitselect(excessFar(u1, biases), excess1, isFar1)
    }
    v128.store(excess + i, excess0)
    v128.store(excess + i, excess1, 16)
  }
}

/** Products of two rows, split into those of even and odd place. @param count rounded up to a multiple of 4 */
export function multiplySplit(a: usize, b: usize, toEven: usize, toOdd: usize, count: i32): void {
  for (let i = 0; i < count << 3; i += 32) {
    storeSplit(
      f64x2.mul(v128.load(a + i), v128.load(b + i)),
      f64x2.mul(v128.load(a + i, 16), v128.load(b + i, 16)),
      toEven + (i >> 1),
      toOdd + (i >> 1),
    )
  }
}
