// Levels and gains of two values at once, in place of Math.log and Math.exp: the exponent
// is taken off and put back as bits of IEEE 754 doubles, and over the one octave that is
// left polynomials are within 3e-16 (minimax, fitted with 40 digits by chebyfit of mpmath).
// Constants lie in memory, from where a vector of them is one load.

/** Level in dB of twice the power, and of 2 artanh(f) in place of the logarithm. */
const DB_PER_OCTAVE_OF_POWER: f64 = (10 * Math.LN2) / Math.LN10
const DB_OF_ARTANH: f64 = 20 / Math.LN10
/** Octaves of amplitude in a dB. */
const OCTAVES_PER_DB: f64 = Math.LN10 / (20 * Math.LN2)

/**
 * 0: artanh(sqrt(s)) / sqrt(s) for s up to ((sqrt 2 - 1) / (sqrt 2 + 1))^2, highest power of
 * s first, each times DB_OF_ARTANH. 7: 2^x for |x| up to 1/2, highest power first. 17: 1.
 * 18: sqrt 2. 19: 1/2. 20: 2^52 + 1023. 21: DB_PER_OCTAVE_OF_POWER. 22: OCTAVES_PER_DB.
 */
const TABLE = memory.data<f64>([
  0.08418829985340244 * DB_OF_ARTANH,
  0.09060967215607607 * DB_OF_ARTANH,
  0.11111717273758953 * DB_OF_ARTANH,
  0.14285708010553835 * DB_OF_ARTANH,
  0.20000000030870807 * DB_OF_ARTANH,
  0.3333333333327646 * DB_OF_ARTANH,
  DB_OF_ARTANH,
  7.072585949269223e-9,
  1.0208690299958306e-7,
  1.321544258792169e-6,
  1.5252657260200837e-5,
  0.0001540353044173605,
  0.0013333558230164974,
  0.009618129107606888,
  0.05550410866444772,
  0.24022650695910097,
  // biome-ignore lint/suspicious/noApproximativeNumericConstant: a fitted coefficient, near ln 2
  0.69314718055995,
  1,
  Math.SQRT2,
  0.5,
  4503599627371519,
  DB_PER_OCTAVE_OF_POWER,
  OCTAVES_PER_DB,
])
/** Bits: 2^52, and the fraction of a double. */
const MASKS = memory.data<u64>([0x4330000000000000, 0x000fffffffffffff])

function next(sum: v128, x: v128, place: i32): v128 {
  return f64x2.add(f64x2.mul(sum, x), v128.load64_splat(TABLE + (place << 3)))
}

/** Levels in dB of two powers (mean squares), normal positive numbers. */
export function dbFromTwoPowers(powers: v128): v128 {
  const one = v128.load64_splat(TABLE, 136)
  // The exponent in the lowest bits of 2^52 and above is a number.
  const raised = v128.or(i64x2.shr_u(powers, 52), v128.load64_splat(MASKS))
  const m = v128.or(v128.and(powers, v128.load64_splat(MASKS, 8)), one)
  const isHigh = f64x2.gt(m, v128.load64_splat(TABLE, 144))
  const octaves = f64x2.add(f64x2.sub(raised, v128.load64_splat(TABLE, 160)), v128.and(isHigh, one))
  // Half of what lies above sqrt 2: taking away half of it, or nothing.
  const near = f64x2.sub(m, v128.and(isHigh, f64x2.mul(m, v128.load64_splat(TABLE, 152))))
  const f = f64x2.div(f64x2.sub(near, one), f64x2.add(near, one))
  const s = f64x2.mul(f, f)
  let sum = v128.load64_splat(TABLE)
  sum = inline.always(next(sum, s, 1))
  sum = inline.always(next(sum, s, 2))
  sum = inline.always(next(sum, s, 3))
  sum = inline.always(next(sum, s, 4))
  sum = inline.always(next(sum, s, 5))
  sum = inline.always(next(sum, s, 6))
  return f64x2.add(f64x2.mul(octaves, v128.load64_splat(TABLE, 168)), f64x2.mul(f, sum))
}

/** Amplitude ratios of two level differences in dB, within -6000 and 6000. */
export function gainFromTwoDb(db: v128): v128 {
  const octaves = f64x2.mul(db, v128.load64_splat(TABLE, 176))
  const whole = f64x2.nearest(octaves)
  const x = f64x2.sub(octaves, whole)
  let sum = v128.load64_splat(TABLE, 56)
  sum = inline.always(next(sum, x, 8))
  sum = inline.always(next(sum, x, 9))
  sum = inline.always(next(sum, x, 10))
  sum = inline.always(next(sum, x, 11))
  sum = inline.always(next(sum, x, 12))
  sum = inline.always(next(sum, x, 13))
  sum = inline.always(next(sum, x, 14))
  sum = inline.always(next(sum, x, 15))
  sum = inline.always(next(sum, x, 16))
  sum = inline.always(next(sum, x, 17))
  // 2^whole, put together from its exponent, which 2^52 + 1023 + whole holds in its lowest bits.
  return f64x2.mul(sum, i64x2.shl(f64x2.add(whole, v128.load64_splat(TABLE, 160)), 52))
}
