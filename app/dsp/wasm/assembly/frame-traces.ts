// Counts of equal magnitudes in the frames of lossy coders, at every offset (check/coding/). Coefficients are compared
// in bands of 16. Sums over many samples are doubles; what is compared is floats, four to a vector.

const BAND: i32 = 16

/**
 * Slides Fourier bins by `count` samples: bin = bin * turn + difference * half turn.
 * @param differences what enters less what leaves, one for each sample
 * @param bins rounded up to a multiple of 2
 * @param re, im the bins
 * @param turns cosines, sines, cosines of half and sines of half of each bin's turn, four rows of `bins`
 */
export function slideBins(
  differences: usize,
  count: i32,
  bins: i32,
  re: usize,
  im: usize,
  turns: usize,
): void {
  const row = ((bins + 1) & ~1) << 3
  for (let n = 0; n < count; n++) {
    const difference = f64x2.splat(load<f64>(differences + (n << 3)))
    for (let i = 0; i < row; i += 16) {
      const x = v128.load(re + i)
      const y = v128.load(im + i)
      const cosine = v128.load(turns + i)
      const sine = v128.load(turns + row + i)
      const entering = f64x2.mul(difference, v128.load(turns + 2 * row + i))
      const enteringIm = f64x2.mul(difference, v128.load(turns + 3 * row + i))
      v128.store(re + i, f64x2.add(f64x2.sub(f64x2.mul(x, cosine), f64x2.mul(y, sine)), entering))
      v128.store(im + i, f64x2.add(f64x2.add(f64x2.mul(x, sine), f64x2.mul(y, cosine)), enteringIm))
    }
  }
}

/**
 * Adds the pairs of equal magnitude under each window to its counts.
 * @param bins, re, im the bins that `slideBins` left; the first one belongs to an even coefficient less `terms` - 1
 * @param windows `windowCount` rows of `terms` floats, the sines of each window
 * @param lines how many coefficients, a multiple of 16
 * @param tolerance share of a band's mean magnitude within which magnitudes are equal
 * @param work 2 * bins + 64 floats
 * @param counts one double for each window, `stride` bytes apart
 */
export function countUnderWindows(
  bins: i32,
  re: usize,
  im: usize,
  windows: usize,
  windowCount: i32,
  terms: i32,
  lines: i32,
  tolerance: f64,
  work: usize,
  counts: usize,
  stride: i32,
): void {
  const rows = (bins + 1) & ~1
  // Even coefficients need differences of real and imaginary part, odd ones sums; a term reads both rows in turn.
  const own = work
  const next = work + (rows << 2)
  const doubled = next + (rows << 2)
  for (let i = 0; i < rows; i += 2) {
    const x = v128.load(re + (i << 3))
    const y = v128.load(im + (i << 3))
    const difference = f64x2.sub(x, y)
    const sum = f64x2.add(x, y)
    v128.store64_lane(own + (i << 2), f32x4.demote_f64x2_zero(v128.shuffle<f64>(difference, sum, 0, 3)), 0)
    v128.store64_lane(next + (i << 2), f32x4.demote_f64x2_zero(v128.shuffle<f64>(sum, difference, 0, 3)), 0)
  }
  for (let w = 0; w < windowCount; w++) {
    const window = windows + ((w * terms) << 2)
    let pairs = 0
    for (let first = 0; first < lines; first += BAND) {
      for (let c = 0; c < BAND; c += 4) {
        let value = f32x4.splat(0)
        let below = first + c + terms - 1
        let above = below + 1
        for (let m = 0; m < terms; m++, below--, above++) {
          // A window of fewer sines ends with zeros.
          if (load<f32>(window + (m << 2)) === 0) break
          const factor = v128.load32_splat(window + (m << 2))
          const isOwn = ((terms - 1 - m) & 1) === 0
          const a = v128.load((isOwn ? own : next) + (below << 2))
          const b = v128.load((isOwn ? next : own) + (above << 2))
          value = f32x4.add(value, f32x4.mul(factor, f32x4.sub(a, b)))
        }
        const magnitude = f32x4.abs(value)
        v128.store(doubled + (c << 2), magnitude)
        v128.store(doubled + ((c + BAND) << 2), magnitude)
      }
      pairs += pairsInBand(doubled, <f32>tolerance)
    }
    const at = counts + w * stride
    store<f64>(at, load<f64>(at) + <f64>pairs)
  }
}

/** @param doubled 16 magnitudes, twice, so that each of them has all others behind it */
function pairsInBand(doubled: usize, tolerance: f32): i32 {
  const a = v128.load(doubled)
  const b = v128.load(doubled, 16)
  const c = v128.load(doubled, 32)
  const d = v128.load(doubled, 48)
  const sums = f32x4.add(f32x4.add(a, b), f32x4.add(c, d))
  const sum =
    f32x4.extract_lane(sums, 0) +
    f32x4.extract_lane(sums, 1) +
    f32x4.extract_lane(sums, 2) +
    f32x4.extract_lane(sums, 3)
  const limit = f32x4.splat((tolerance * sum) / <f32>BAND)
  let pairs = i32x4.splat(0)
  for (let lag: usize = 4; lag < 32; lag += 4) {
    pairs = i32x4.add(pairs, f32x4.lt(f32x4.abs(f32x4.sub(a, v128.load(doubled + lag))), limit))
    pairs = i32x4.add(pairs, f32x4.lt(f32x4.abs(f32x4.sub(b, v128.load(doubled + lag, 16))), limit))
    pairs = i32x4.add(pairs, f32x4.lt(f32x4.abs(f32x4.sub(c, v128.load(doubled + lag, 32))), limit))
    pairs = i32x4.add(pairs, f32x4.lt(f32x4.abs(f32x4.sub(d, v128.load(doubled + lag, 48))), limit))
  }
  pairs = i32x4.add(pairs, f32x4.lt(f32x4.abs(f32x4.sub(a, c)), limit))
  pairs = i32x4.add(pairs, f32x4.lt(f32x4.abs(f32x4.sub(b, d)), limit))
  return -sumOfLanes(pairs)
}

function sumOfLanes(counts: v128): i32 {
  return (
    i32x4.extract_lane(counts, 0) +
    i32x4.extract_lane(counts, 1) +
    i32x4.extract_lane(counts, 2) +
    i32x4.extract_lane(counts, 3)
  )
}

/**
 * Bands of a polyphase filter bank at each sample.
 * @param samples `count` + 511 of them; the first output needs the first 512
 * @param prototype 512 values by age, oldest sample first, with the signs that fold 512 to 64
 * @param modulation 64 values for each band, in the same order
 * @param filtered a row of floats for each band, `stride` bytes apart
 * @param folded 64 doubles of work space
 */
export function filterBands(
  samples: usize,
  count: i32,
  prototype: usize,
  modulation: usize,
  bands: i32,
  filtered: usize,
  stride: i32,
  folded: usize,
): void {
  for (let n = 0; n < count; n++) {
    const from = samples + (n << 3)
    for (let i = 0; i < 512; i += 16) {
      let sum = f64x2.splat(0)
      for (let r = 0; r < 4096; r += 512) {
        sum = f64x2.add(sum, f64x2.mul(v128.load(from + r + i), v128.load(prototype + r + i)))
      }
      v128.store(folded + i, sum)
    }
    for (let band = 0; band < bands; band++) {
      const factors = modulation + (band << 9)
      let sum = f64x2.splat(0)
      for (let i = 0; i < 512; i += 16) {
        sum = f64x2.add(sum, f64x2.mul(v128.load(folded + i), v128.load(factors + i)))
      }
      const value = f64x2.extract_lane(sum, 0) + f64x2.extract_lane(sum, 1)
      store<f32>(filtered + band * stride + (n << 2), <f32>value)
    }
  }
}

/**
 * Counts pairs of equal magnitude in the hybrid bank's granules that begin at `count` samples in turn.
 * @param count a multiple of 4
 * @param filtered, stride what `filterBands` wrote
 * @param isFirstOdd 1 where the first band is an odd one, 0 elsewhere
 * @param folding 72 floats: window and signs of both samples that are folded to one, for even bands, then for odd ones
 * @param transform 18 times 18 floats, a row for each line
 * @param butterflies eight factors of the own line, then eight of the other
 * @param work 16 * (18 * bands + 18) bytes
 * @param counts a double for each sample modulo `offsets`; a multiple of 4
 */
export function countInGranules(
  count: i32,
  filtered: usize,
  stride: i32,
  bands: i32,
  isFirstOdd: i32,
  folding: usize,
  transform: usize,
  butterflies: usize,
  tolerance: f64,
  work: usize,
  counts: usize,
  offsets: i32,
): void {
  const lines = 18 * bands
  const folded = work + (lines << 4)
  let offset = 0
  for (let n = 0; n < count; n += 4) {
    for (let band = 0; band < bands; band++) {
      const from = filtered + band * stride + (n << 2)
      foldBlock(from, folding + ((band + isFirstOdd) & 1) * 144, folded)
      transformBlock(folded, transform, work + band * 288)
    }
    for (let edge = 18; edge < lines; edge += 18) {
      for (let i = 0; i < 8; i++) {
        const own = v128.load32_splat(butterflies + (i << 2))
        const other = v128.load32_splat(butterflies + ((i + 8) << 2))
        const lower = work + ((edge - 1 - i) << 4)
        const upper = work + ((edge + i) << 4)
        const below = v128.load(lower)
        const above = v128.load(upper)
        v128.store(lower, f32x4.add(f32x4.mul(below, own), f32x4.mul(above, other)))
        v128.store(upper, f32x4.sub(f32x4.mul(above, own), f32x4.mul(below, other)))
      }
    }
    let pairs = i32x4.splat(0)
    for (let first = 8; first + BAND + 8 <= lines; first += BAND) {
      pairs = i32x4.add(pairs, pairsOfFour(work + (first << 4), <f32>tolerance))
    }
    const at = counts + (offset << 3)
    store<f64>(at, load<f64>(at) - <f64>i32x4.extract_lane(pairs, 0))
    store<f64>(at, load<f64>(at, 8) - <f64>i32x4.extract_lane(pairs, 1), 8)
    store<f64>(at, load<f64>(at, 16) - <f64>i32x4.extract_lane(pairs, 2), 16)
    store<f64>(at, load<f64>(at, 24) - <f64>i32x4.extract_lane(pairs, 3), 24)
    offset += 4
    if (offset === offsets) offset = 0
  }
}

/** 36 samples, 32 apart, windowed and folded to 18, of four granules at once. */
function foldBlock(samples: usize, folding: usize, folded: usize): void {
  for (let i = 0; i < 18; i++) {
    const one = i < 9 ? 26 - i : i - 9
    const other = i < 9 ? 27 + i : 26 - i
    const a = f32x4.mul(v128.load(samples + (one << 7)), v128.load32_splat(folding + (i << 3)))
    const b = f32x4.mul(v128.load(samples + (other << 7)), v128.load32_splat(folding + (i << 3), 4))
    v128.store(folded + (i << 4), f32x4.add(a, b))
  }
}

function transformBlock(folded: usize, transform: usize, lines: usize): void {
  for (let k = 0; k < 18; k++) {
    const factors = transform + k * 72
    let even = f32x4.splat(0)
    let odd = f32x4.splat(0)
    for (let i = 0; i < 18; i += 2) {
      even = f32x4.add(even, f32x4.mul(v128.load(folded + (i << 4)), v128.load32_splat(factors + (i << 2))))
      odd = f32x4.add(
        odd,
        f32x4.mul(v128.load(folded + (i << 4), 16), v128.load32_splat(factors + (i << 2), 4)),
      )
    }
    v128.store(lines + (k << 4), f32x4.add(even, odd))
  }
}

/** The negative number of pairs in a band of four granules at once; takes the magnitudes of the lines in place. */
function pairsOfFour(lines: usize, tolerance: f32): v128 {
  let sum = f32x4.splat(0)
  for (let i = 0; i < BAND << 4; i += 16) {
    const magnitude = f32x4.abs(v128.load(lines + i))
    v128.store(lines + i, magnitude)
    sum = f32x4.add(sum, magnitude)
  }
  const limit = f32x4.mul(sum, f32x4.splat(tolerance / <f32>BAND))
  let pairs = i32x4.splat(0)
  for (let i = 16; i < BAND << 4; i += 16) {
    const one = v128.load(lines + i)
    for (let j = 0; j < i; j += 16) {
      pairs = i32x4.add(pairs, f32x4.lt(f32x4.abs(f32x4.sub(one, v128.load(lines + j))), limit))
    }
  }
  return pairs
}
