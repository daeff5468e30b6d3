// Fourier transforms of two real frames at once: every vector holds one value of each frame. The passes and the order
// of operations are those of dsp/maths/fft.ts, so that the results are the same to the last bit.

/**
 * Windows two frames and transforms them.
 * @param first, second samples of the frames, 2 * half of each
 * @param order for each i below `half`, the place of a pair of samples, as 32-bit integers
 * @param turns twiddle factors of all passes by four, one after another
 * @param halfTurns cosine and sine of 2 pi k / (2 * half), in turn, for k from 0 to half / 2
 * @param re, im `half` + 1 vectors each, bins 0 to half the sample rate
 */
export function writeTwoSpectra(
  first: usize,
  second: usize,
  half: i32,
  window: usize,
  order: usize,
  turns: usize,
  halfTurns: usize,
  re: usize,
  im: usize,
): void {
  for (let i = 0; i < half; i++) {
    const from = load<u32>(order + (i << 2)) << 4
    const factors = v128.load(window + from)
    const a = f64x2.mul(v128.load(first + from), factors)
    const b = f64x2.mul(v128.load(second + from), factors)
    v128.store(re + (i << 4), v128.shuffle<f64>(a, b, 0, 2))
    v128.store(im + (i << 4), v128.shuffle<f64>(a, b, 1, 3))
  }
  let span = 4
  if (ctz(half) & 1) {
    span = 2
    firstPairs(re, im, half)
  } else {
    firstFours(re, im, half)
  }
  let at = turns
  while (span < half) {
    passOfFours(re, im, half, span, at)
    at += 48 * span
    span <<= 2
  }
  split(re, im, half, halfTurns)
}

/** Squared magnitude of every bin of both frames. */
export function writeSquares(re: usize, im: usize, bins: i32, squares: usize): void {
  for (let i = 0; i < bins << 4; i += 16) {
    const r = v128.load(re + i)
    const m = v128.load(im + i)
    v128.store(squares + i, f64x2.add(f64x2.mul(r, r), f64x2.mul(m, m)))
  }
}

/** Sum of `count` vectors, in their order. */
export function sumVectors(vectors: usize, count: i32, sum: usize): void {
  let total = f64x2.splat(0)
  for (let i = 0; i < count << 4; i += 16) total = f64x2.add(total, v128.load(vectors + i))
  v128.store(sum, total)
}

/** Butterflies of neighbouring values, whose twiddle factors are 1. */
function firstPairs(re: usize, im: usize, length: i32): void {
  for (let i = 0; i < length << 4; i += 32) {
    const r0 = v128.load(re + i)
    const m0 = v128.load(im + i)
    const r1 = v128.load(re + i, 16)
    const m1 = v128.load(im + i, 16)
    v128.store(re + i, f64x2.sub(r0, r1), 16)
    v128.store(im + i, f64x2.sub(m0, m1), 16)
    v128.store(re + i, f64x2.add(r0, r1))
    v128.store(im + i, f64x2.add(m0, m1))
  }
}

/** Two radix-2 passes in one: neighbouring values, then pairs, whose twiddles are quarter turns at most. */
function firstFours(re: usize, im: usize, length: i32): void {
  for (let i = 0; i < length << 4; i += 64) {
    const x0 = v128.load(re + i)
    const x1 = v128.load(re + i, 16)
    const x2 = v128.load(re + i, 32)
    const x3 = v128.load(re + i, 48)
    const y0 = v128.load(im + i)
    const y1 = v128.load(im + i, 16)
    const y2 = v128.load(im + i, 32)
    const y3 = v128.load(im + i, 48)
    const r0 = f64x2.add(x0, x1)
    const m0 = f64x2.add(y0, y1)
    const r1 = f64x2.sub(x0, x1)
    const m1 = f64x2.sub(y0, y1)
    const r2 = f64x2.add(x2, x3)
    const m2 = f64x2.add(y2, y3)
    const r3 = f64x2.sub(x2, x3)
    const m3 = f64x2.sub(y2, y3)
    v128.store(re + i, f64x2.add(r0, r2))
    v128.store(im + i, f64x2.add(m0, m2))
    v128.store(re + i, f64x2.add(r1, m3), 16)
    v128.store(im + i, f64x2.sub(m1, r3), 16)
    v128.store(re + i, f64x2.sub(r0, r2), 32)
    v128.store(im + i, f64x2.sub(m0, m2), 32)
    v128.store(re + i, f64x2.sub(r1, m3), 48)
    v128.store(im + i, f64x2.add(m1, r3), 48)
  }
}

/** Two radix-2 passes in one, from transforms of `span` points to transforms of four times as many. */
function passOfFours(re: usize, im: usize, length: i32, span: i32, turns: usize): void {
  const quarter = (span as usize) << 4
  const step = quarter << 2
  const end = (length as usize) << 4
  for (let j: usize = 0; j < quarter; j += 16, turns += 48) {
    const c1 = v128.load64_splat(turns)
    const s1 = v128.load64_splat(turns, 8)
    const c2 = v128.load64_splat(turns, 16)
    const s2 = v128.load64_splat(turns, 24)
    const c3 = v128.load64_splat(turns, 32)
    const s3 = v128.load64_splat(turns, 40)
    for (let i0 = j; i0 < end; i0 += step) {
      const i1 = i0 + quarter
      const i2 = i1 + quarter
      const i3 = i2 + quarter
      const x0 = v128.load(re + i0)
      const y0 = v128.load(im + i0)
      const x1 = v128.load(re + i1)
      const y1 = v128.load(im + i1)
      const x2 = v128.load(re + i2)
      const y2 = v128.load(im + i2)
      const x3 = v128.load(re + i3)
      const y3 = v128.load(im + i3)
      // In bit-reversed order the second quarter holds the terms that turn twice as fast.
      const r1 = f64x2.add(f64x2.mul(x1, c2), f64x2.mul(y1, s2))
      const m1 = f64x2.sub(f64x2.mul(y1, c2), f64x2.mul(x1, s2))
      const r2 = f64x2.add(f64x2.mul(x2, c1), f64x2.mul(y2, s1))
      const m2 = f64x2.sub(f64x2.mul(y2, c1), f64x2.mul(x2, s1))
      const r3 = f64x2.add(f64x2.mul(x3, c3), f64x2.mul(y3, s3))
      const m3 = f64x2.sub(f64x2.mul(y3, c3), f64x2.mul(x3, s3))
      const ar = f64x2.add(x0, r1)
      const am = f64x2.add(y0, m1)
      const br = f64x2.sub(x0, r1)
      const bm = f64x2.sub(y0, m1)
      const cr = f64x2.add(r2, r3)
      const cm = f64x2.add(m2, m3)
      const dr = f64x2.sub(r2, r3)
      const dm = f64x2.sub(m2, m3)
      v128.store(re + i0, f64x2.add(ar, cr))
      v128.store(im + i0, f64x2.add(am, cm))
      v128.store(re + i1, f64x2.add(br, dm))
      v128.store(im + i1, f64x2.sub(bm, dr))
      v128.store(re + i2, f64x2.sub(ar, cr))
      v128.store(im + i2, f64x2.sub(am, cm))
      v128.store(re + i3, f64x2.sub(br, dm))
      v128.store(im + i3, f64x2.add(bm, dr))
    }
  }
}

/** From the transform of even + i odd samples to the transform of all, bins k and half - k at once. */
function split(re: usize, im: usize, half: i32, halfTurns: usize): void {
  const last = (half as usize) << 4
  const dc = v128.load(re)
  const alternating = v128.load(im)
  v128.store(re, f64x2.add(dc, alternating))
  v128.store(im, f64x2.splat(0))
  v128.store(re + last, f64x2.sub(dc, alternating))
  v128.store(im + last, f64x2.splat(0))
  const oneHalf = f64x2.splat(0.5)
  for (let k: usize = 16; k <= last >> 1; k += 16) {
    const mirror = last - k
    const x = v128.load(re + k)
    const y = v128.load(im + k)
    const u = v128.load(re + mirror)
    const v = v128.load(im + mirror)
    const evenRe = f64x2.mul(f64x2.add(x, u), oneHalf)
    const evenIm = f64x2.mul(f64x2.sub(y, v), oneHalf)
    const oddRe = f64x2.mul(f64x2.add(y, v), oneHalf)
    const oddIm = f64x2.mul(f64x2.sub(u, x), oneHalf)
    const cosine = v128.load64_splat(halfTurns + k)
    const sine = v128.load64_splat(halfTurns + k, 8)
    const turnedRe = f64x2.add(f64x2.mul(oddRe, cosine), f64x2.mul(oddIm, sine))
    const turnedIm = f64x2.sub(f64x2.mul(oddIm, cosine), f64x2.mul(oddRe, sine))
    v128.store(re + k, f64x2.add(evenRe, turnedRe))
    v128.store(im + k, f64x2.add(evenIm, turnedIm))
    v128.store(re + mirror, f64x2.sub(evenRe, turnedRe))
    v128.store(im + mirror, f64x2.sub(turnedIm, evenIm))
  }
}
