// The momentary gain of the drive's curve, tanh(u) / (u (1 + t tanh(u))), without exp.
//
// tanh(u) / u = P(s) / Q(s) with s = u u, both of degree 4, within 4e-17 of it up to
// |u| = 2 (minimax of the relative error, by Remez's exchange with 60 digits). Beyond, a
// sixteenth of u goes in and tanh(2 h) = 2 tanh(h) / (1 + tanh(h)^2) doubles it four
// times; from |u| = 20 on tanh is 1 in doubles. P and Q stay apart to the end, so that
// there is one division. Both are sums of positive terms, so nothing cancels.

import { storeSplit } from './half-band.ts'

/** P4 to P1, then Q4 to Q1; P0 and Q0 are 1. */
const TERMS = memory.data<f64>([
  2.7521367195587077e-8, 2.814817954465747e-5, 0.0038947066696962966, 0.13704495477808976,
  1.263231529118426e-6, 0.0003973424129611298, 0.027354136040183292, 0.4703782881114215,
])
const Q_TERMS: usize = 32
const NEAR_TO: f64 = 2
const FLAT_FROM: f64 = 20

function horner(terms: usize, s: v128): v128 {
  let sum = f64x2.add(f64x2.mul(v128.load64_splat(terms), s), v128.load64_splat(terms, 8))
  sum = f64x2.add(f64x2.mul(sum, s), v128.load64_splat(terms, 16))
  sum = f64x2.add(f64x2.mul(sum, s), v128.load64_splat(terms, 24))
  return f64x2.add(f64x2.mul(sum, s), f64x2.splat(1))
}

/** Gain less 1, for two |u| up to NEAR_TO. */
function excessNear(u: v128, tanhBias: v128): v128 {
  const s = f64x2.mul(u, u)
  const p = inline.always(horner(TERMS, s))
  const q = inline.always(horner(TERMS + Q_TERMS, s))
  const below = f64x2.add(q, f64x2.mul(f64x2.mul(tanhBias, u), p))
  return f64x2.sub(f64x2.div(p, below), f64x2.splat(1))
}

/** Gain less 1, for any two u. */
function excessFar(u: v128, tanhBias: v128): v128 {
  const most = f64x2.splat(FLAT_FROM)
  const held = f64x2.pmax(f64x2.pmin(u, most), f64x2.neg(most))
  // How far u lies beyond what was held; 1 within.
  const beyond = f64x2.pmax(f64x2.mul(f64x2.abs(u), f64x2.splat(1 / FLAT_FROM)), f64x2.splat(1))
  const h = f64x2.mul(held, f64x2.splat(1.0 / 16.0))
  const s1 = f64x2.mul(h, h)
  const p1 = inline.always(horner(TERMS, s1))
  const q1 = inline.always(horner(TERMS + Q_TERMS, s1))
  const four = f64x2.splat(4)
  const p2 = f64x2.mul(p1, q1)
  const q2 = f64x2.add(f64x2.mul(q1, q1), f64x2.mul(s1, f64x2.mul(p1, p1)))
  const s2 = f64x2.mul(s1, four)
  const p4 = f64x2.mul(p2, q2)
  const q4 = f64x2.add(f64x2.mul(q2, q2), f64x2.mul(s2, f64x2.mul(p2, p2)))
  const s4 = f64x2.mul(s2, four)
  const p8 = f64x2.mul(p4, q4)
  const q8 = f64x2.add(f64x2.mul(q4, q4), f64x2.mul(s4, f64x2.mul(p4, p4)))
  const s8 = f64x2.mul(s4, four)
  const p16 = f64x2.mul(p8, q8)
  const q16 = f64x2.add(f64x2.mul(q8, q8), f64x2.mul(s8, f64x2.mul(p8, p8)))
  const below = f64x2.mul(beyond, f64x2.add(q16, f64x2.mul(f64x2.mul(tanhBias, held), p16)))
  return f64x2.sub(f64x2.div(p16, below), f64x2.splat(1))
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
      excess0 = v128.bitselect(inline.always(excessFar(u0, biases)), excess0, isFar0)
      excess1 = v128.bitselect(inline.always(excessFar(u1, biases)), excess1, isFar1)
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
