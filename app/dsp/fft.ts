// Fourier transform of real signals whose length is a power of two: a complex
// transform of half the length (decimation in time) and the usual split afterwards.

export interface RealFft {
  readonly size: number
  /**
   * X[k] = sum over n of x[n] exp(-2 pi i k n / size), unscaled.
   * @param input `size` samples, left as they are
   * @param re, im size / 2 + 1 values each, bins 0 to half the sample rate
   */
  transform(input: Float64Array, re: Float64Array, im: Float64Array): void
}

/** @throws RangeError unless `size` is a power of two, 4 or more */
export function createRealFft(size: number): RealFft {
  if (!(Number.isInteger(size) && size >= 4 && (size & (size - 1)) === 0)) {
    throw new RangeError(`a Fourier transform needs a power of two of 4 or more points, not ${size}`)
  }
  const half = size / 2
  const order = bitReversal(half)
  const cosine = Float64Array.from({ length: half + 1 }, (_, k) => Math.cos((2 * Math.PI * k) / size))
  const sine = Float64Array.from({ length: half + 1 }, (_, k) => Math.sin((2 * Math.PI * k) / size))

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
    for (let i = 0; i < half; i += 2) {
      const r = re[i + 1]
      const m = im[i + 1]
      re[i + 1] = re[i] - r
      im[i + 1] = im[i] - m
      re[i] += r
      im[i] += m
    }
    for (let span = 2; span < half; span *= 2) {
      const stride = half / span
      for (let start = 0; start < half; start += 2 * span) {
        for (let j = 0, t = 0; j < span; j++, t += stride) {
          const a = start + j
          const b = a + span
          const c = cosine[t]
          const s = sine[t]
          const r = re[b] * c + im[b] * s
          const m = im[b] * c - re[b] * s
          re[b] = re[a] - r
          im[b] = im[a] - m
          re[a] += r
          im[a] += m
        }
      }
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
