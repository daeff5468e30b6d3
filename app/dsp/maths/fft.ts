// Fourier transform of real signals whose length is a power of two: a complex
// transform of half the length (decimation in time) and the usual split afterwards.

/** A transform of one size. */
export interface RealFft {
  readonly size: number
  /**
   * X[k] = sum over n of x[n] exp(-2 pi i k n / size), unscaled.
   * @param input `size` samples, left as they are
   * @param re, im size / 2 + 1 values each, bins 0 to half the sample rate
   */
  transform(input: Float64Array, re: Float64Array, im: Float64Array): void
}

/** What a transform of one size looks up. */
interface FftTables {
  /** Place of each pair of samples before the first pass. */
  readonly order: Uint32Array
  /** Of 2 pi k / size, for k from 0 to size / 2. */
  readonly cosine: Float64Array
  readonly sine: Float64Array
  /** Whether the first pass joins two values instead of four. */
  readonly isOddPower: boolean
  /** Twiddle factors of each later pass. */
  readonly passes: readonly Float64Array[]
}

/** @throws RangeError unless `size` is a power of two, 4 or more */
export function createFftTables(size: number): FftTables {
  if (!(Number.isInteger(size) && size >= 4 && (size & (size - 1)) === 0)) {
    throw new RangeError(`a Fourier transform needs a power of two of 4 or more points, not ${size}`)
  }
  const half = size / 2
  const isOddPower = Math.log2(half) % 2 === 1
  const passes: Float64Array[] = []
  for (let span = isOddPower ? 2 : 4; span < half; span *= 4) passes.push(turnsOfPass(span))
  return {
    order: bitReversal(half),
    cosine: Float64Array.from({ length: half + 1 }, (_, k) => Math.cos((2 * Math.PI * k) / size)),
    sine: Float64Array.from({ length: half + 1 }, (_, k) => Math.sin((2 * Math.PI * k) / size)),
    isOddPower,
    passes,
  }
}

/** @throws RangeError unless `size` is a power of two, 4 or more */
export function createRealFft(size: number): RealFft {
  const half = size / 2
  const { order, cosine, sine, isOddPower, passes } = createFftTables(size)

  return {
    size,
    transform(input, re, im) {
      for (let i = 0; i < half; i++) {
        const from = 2 * order[i]
        re[i] = input[from]
        im[i] = input[from + 1]
      }
      complexInPlace(re, im)
      split(re, im)
    },
  }

  function complexInPlace(re: Float64Array, im: Float64Array): void {
    let span = isOddPower ? 2 : 4
    if (isOddPower) firstPairs(re, im, half)
    else firstFours(re, im, half)
    for (const turns of passes) {
      passOfFours(re, im, half, span, turns)
      span *= 4
    }
  }

  /** From the transform of even + i odd samples to the transform of all, bins k and half - k at once. */
  function split(re: Float64Array, im: Float64Array): void {
    const dc = re[0]
    const alternating = im[0]
    re[0] = dc + alternating
    im[0] = 0
    re[half] = dc - alternating
    im[half] = 0
    for (let k = 1; k <= half / 2; k++) {
      const mirror = half - k
      const evenRe = (re[k] + re[mirror]) / 2
      const evenIm = (im[k] - im[mirror]) / 2
      const oddRe = (im[k] + im[mirror]) / 2
      const oddIm = (re[mirror] - re[k]) / 2
      const turnedRe = oddRe * cosine[k] + oddIm * sine[k]
      const turnedIm = oddIm * cosine[k] - oddRe * sine[k]
      re[k] = evenRe + turnedRe
      im[k] = evenIm + turnedIm
      re[mirror] = evenRe - turnedRe
      im[mirror] = turnedIm - evenIm
    }
  }
}

function bitReversal(length: number): Uint32Array {
  const order = new Uint32Array(length)
  for (let i = 1; i < length; i++) order[i] = (order[i >> 1] >> 1) | (i & 1 ? length >> 1 : 0)
  return order
}

/** Butterflies of neighbouring values, whose twiddle factors are 1. */
function firstPairs(re: Float64Array, im: Float64Array, length: number): void {
  for (let i = 0; i < length; i += 2) {
    const r = re[i + 1]
    const m = im[i + 1]
    re[i + 1] = re[i] - r
    im[i + 1] = im[i] - m
    re[i] += r
    im[i] += m
  }
}

/** Two radix-2 passes in one: neighbouring values, then pairs, whose twiddles are quarter turns at most. */
function firstFours(re: Float64Array, im: Float64Array, length: number): void {
  for (let i = 0; i < length; i += 4) {
    const r0 = re[i] + re[i + 1]
    const m0 = im[i] + im[i + 1]
    const r1 = re[i] - re[i + 1]
    const m1 = im[i] - im[i + 1]
    const r2 = re[i + 2] + re[i + 3]
    const m2 = im[i + 2] + im[i + 3]
    const r3 = re[i + 2] - re[i + 3]
    const m3 = im[i + 2] - im[i + 3]
    re[i] = r0 + r2
    im[i] = m0 + m2
    re[i + 1] = r1 + m3
    im[i + 1] = m1 - r3
    re[i + 2] = r0 - r2
    im[i + 2] = m0 - m2
    re[i + 3] = r1 - m3
    im[i + 3] = m1 + r3
  }
}

/** Twiddle factors: cosine and sine of 1, 2 and 3 times 2 pi j / (4 span), for each j below `span`. */
function turnsOfPass(span: number): Float64Array {
  const turns = new Float64Array(6 * span)
  for (let j = 0; j < span; j++) {
    for (let times = 1; times <= 3; times++) {
      const angle = (2 * Math.PI * times * j) / (4 * span)
      turns[6 * j + 2 * times - 2] = Math.cos(angle)
      turns[6 * j + 2 * times - 1] = Math.sin(angle)
    }
  }
  return turns
}

/** Two radix-2 passes in one, from transforms of `span` points to transforms of four times as many. */
function passOfFours(
  re: Float64Array,
  im: Float64Array,
  length: number,
  span: number,
  turns: Float64Array,
): void {
  const step = 4 * span
  for (let j = 0, t = 0; j < span; j++, t += 6) {
    const c1 = turns[t]
    const s1 = turns[t + 1]
    const c2 = turns[t + 2]
    const s2 = turns[t + 3]
    const c3 = turns[t + 4]
    const s3 = turns[t + 5]
    for (let i0 = j; i0 < length; i0 += step) {
      const i1 = i0 + span
      const i2 = i1 + span
      const i3 = i2 + span
      // In bit-reversed order the second quarter holds the terms that turn twice as fast.
      const r1 = re[i1] * c2 + im[i1] * s2
      const m1 = im[i1] * c2 - re[i1] * s2
      const r2 = re[i2] * c1 + im[i2] * s1
      const m2 = im[i2] * c1 - re[i2] * s1
      const r3 = re[i3] * c3 + im[i3] * s3
      const m3 = im[i3] * c3 - re[i3] * s3
      const ar = re[i0] + r1
      const am = im[i0] + m1
      const br = re[i0] - r1
      const bm = im[i0] - m1
      const cr = r2 + r3
      const cm = m2 + m3
      const dr = r2 - r3
      const dm = m2 - m3
      re[i0] = ar + cr
      im[i0] = am + cm
      re[i1] = br + dm
      im[i1] = bm - dr
      re[i2] = ar - cr
      im[i2] = am - cm
      re[i3] = br - dm
      im[i3] = bm + dr
    }
  }
}
